"""A copy of the colours and depths of a picture, so that one moving thing can be drawn over it again and again."""

from vtkmodules.vtkCommonCore import VTK_UNSIGNED_CHAR
from vtkmodules.vtkRenderingOpenGL2 import vtkGenericOpenGLRenderWindow, vtkOpenGLFramebufferObject

GL_READ_FRAMEBUFFER = 0x8CA8
GL_DRAW_FRAMEBUFFER = 0x8CA9
GL_COLOR_AND_DEPTH = 0x4000 | 0x0100
GL_NEAREST = 0x2600
DEPTH_BITS = 24
"""As VTK's own buffer has it; depths can only be copied between equal formats."""


class KeptPicture:
    """Copies VTK's own buffer aside and back; both may only be done where the OpenGL context is current."""

    def __init__(self, window: vtkGenericOpenGLRenderWindow) -> None:
        self._window = window
        self._buffer: vtkOpenGLFramebufferObject | None = None
        self.valid = False

    def keep(self) -> None:
        """Copy what was rendered last."""
        shown = self._window.GetRenderFramebuffer()
        if self._buffer is None:
            self._buffer = vtkOpenGLFramebufferObject()
            self._buffer.SetContext(self._window)
        width, height = self._window.GetSize()
        self._buffer.PopulateFramebuffer(
            width, height, True, 1, VTK_UNSIGNED_CHAR, True, DEPTH_BITS, shown.GetMultiSamples()
        )
        self._copy(shown, self._buffer)
        self.valid = True

    def put_back(self) -> None:
        """Make the kept picture the ground on which is rendered next."""
        if self._buffer is not None:
            self._copy(self._buffer, self._window.GetRenderFramebuffer())

    def _copy(self, source: vtkOpenGLFramebufferObject, target: vtkOpenGLFramebufferObject) -> None:
        state = self._window.GetState()
        state.PushFramebufferBindings()
        source.Bind(GL_READ_FRAMEBUFFER)
        source.ActivateReadBuffer(0)
        target.Bind(GL_DRAW_FRAMEBUFFER)
        target.ActivateDrawBuffer(0)
        everything = (0, self._window.GetSize()[0] - 1, 0, self._window.GetSize()[1] - 1)
        vtkOpenGLFramebufferObject.Blit(everything, everything, GL_COLOR_AND_DEPTH, GL_NEAREST)
        state.PopFramebufferBindings()

    def free(self) -> None:
        """Give the graphics memory back; the context is still current."""
        self.valid = False
        if self._buffer is not None:
            self._buffer.ReleaseGraphicsResources(self._window)
            self._buffer = None
