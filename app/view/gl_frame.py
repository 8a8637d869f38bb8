"""A VTK render window inside a QOpenGLWidget: VTK draws into its own buffer, which is then copied to Qt's.

The way is that of VTK's C++ class QVTKRenderWindowAdapter. VTK never owns the context: it asks through observers to
make it current, and is answered without touching the frame buffer that is bound, which it keeps account of itself.
"""

import ctypes
import sys

import vtkmodules.vtkRenderingOpenGL2  # noqa: F401  (registers the OpenGL classes behind the common ones)
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication, QOpenGLContext, QOpenGLExtraFunctions, QSurface
from PySide6.QtOpenGLWidgets import QOpenGLWidget
from PySide6.QtWidgets import QWidget
from vtkmodules.vtkRenderingOpenGL2 import vtkGenericOpenGLRenderWindow

GL_DRAW_FRAMEBUFFER = 0x8CA9
GL_COLOR_ATTACHMENT0 = 0x8CE0
GL_COLOR_BUFFER_BIT = 0x4000
GL_SCISSOR_TEST = 0x0C11
GL_DEPTH_TEST = 0x0B71
GL_LEQUAL = 0x0203
GL_NEAREST = 0x2600


class GlFrame(QOpenGLWidget):
    """Holds the render window; `draw` makes a picture and may only be called from paintGL."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setUpdateBehavior(QOpenGLWidget.UpdateBehavior.PartialUpdate)
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._context: QOpenGLContext | None = None
        self._surface: QSurface | None = None
        self.render_window = vtkGenericOpenGLRenderWindow()
        self.render_window.SetReadyForRendering(False)
        self.render_window.SetFrameBlitModeToNoBlit()
        self._observers = [
            self.render_window.AddObserver("WindowMakeCurrentEvent", self._make_current),  # type: ignore[arg-type]  # VTK takes names too
            self.render_window.AddObserver("WindowIsCurrentEvent", self._tell_current),  # type: ignore[arg-type]  # VTK takes names too
        ]

    def _make_current(self, caller: object, event: str) -> None:
        if self._context is not None and self._surface is not None:
            self._context.makeCurrent(self._surface)

    def _tell_current(self, caller: object, event: str) -> None:
        mine = self._context is not None and QOpenGLContext.currentContext() is self._context
        self.render_window.SetIsCurrent(mine)

    def initializeGL(self) -> None:
        self._context = self.context()
        self._surface = self._context.surface()
        self._context.aboutToBeDestroyed.connect(self.free)
        _give_symbol_loader(self.render_window)
        self.render_window.SetOwnContext(0)
        self.render_window.OpenGLInitContext()
        self.render_window.OpenGLInit()
        state = self.render_window.GetState()
        state.Reset()
        state.vtkglDepthFunc(GL_LEQUAL)
        state.vtkglEnable(GL_DEPTH_TEST)
        # Core profiles draw lines one pixel wide only; told so, VTK makes wider ones of triangles.
        self.render_window.SetForceMaximumHardwareLineWidth(1)
        self.render_window.SetReadyForRendering(True)

    def resizeGL(self, w: int, h: int) -> None:
        self.render_window.SetSize(*self._size_in_pixels())
        self.render_window.SetDPI(round(72 * self.devicePixelRatioF()))

    def _size_in_pixels(self) -> tuple[int, int]:
        scale = self.devicePixelRatioF()
        return max(1, round(self.width() * scale)), max(1, round(self.height() * scale))

    def draw(self, *, shown: bool = True) -> None:
        """Render and copy the picture to the widget, or leave it in VTK's buffer."""
        if self._context is None or not self.render_window.GetReadyForRendering():
            return
        state = self.render_window.GetState()
        state.Reset()  # Qt changed things since the last picture
        state.Push()
        state.vtkglDepthFunc(GL_LEQUAL)
        self.make_picture()
        self.makeCurrent()
        if shown:
            self._copy(self._context.extraFunctions())
        state.Pop()

    def make_picture(self) -> None:
        """Make VTK's picture; called with the context current."""
        self.render_window.Render()

    def _copy(self, gl: QOpenGLExtraFunctions) -> None:
        """VTK's picture into the widget's buffer, opaque, so that nothing behind the window shines through."""
        gl.glBindFramebuffer(GL_DRAW_FRAMEBUFFER, self.defaultFramebufferObject())
        gl.glDrawBuffers(1, [GL_COLOR_ATTACHMENT0])
        self.render_window.GetState().vtkglDisable(GL_SCISSOR_TEST)
        gl.glDisable(GL_SCISSOR_TEST)
        width, height = self._size_in_pixels()
        drawn_width, drawn_height = self.render_window.GetSize()
        self.render_window.BlitDisplayFramebuffer(
            0, 0, 0, drawn_width, drawn_height, 0, 0, width, height, GL_COLOR_BUFFER_BIT, GL_NEAREST
        )
        gl.glColorMask(0, 0, 0, 1)
        gl.glClearColor(0.0, 0.0, 0.0, 1.0)
        gl.glViewport(0, 0, width, height)
        gl.glClear(GL_COLOR_BUFFER_BIT)
        gl.glColorMask(1, 1, 1, 1)

    def free(self) -> None:
        """Give the graphics memory back while the context still lives; nothing is drawn afterwards."""
        if self._context is None:
            return
        self._context.aboutToBeDestroyed.disconnect(self.free)
        if self._surface is not None:
            self._context.makeCurrent(self._surface)
        self.render_window.Finalize()
        self.render_window.SetReadyForRendering(False)
        for observer in self._observers:
            self.render_window.RemoveObserver(observer)
        self._observers.clear()
        self._context, self._surface = None, None


def _give_symbol_loader(window: vtkGenericOpenGLRenderWindow) -> None:
    """On Linux, tell VTK where GL functions come from: EGL on Wayland, GLX on X11. Elsewhere it finds them itself."""
    if not sys.platform.startswith("linux"):
        return
    wayland = QGuiApplication.platformName().startswith("wayland")
    library, name = ("libEGL.so.1", "eglGetProcAddress") if wayland else ("libGL.so.1", "glXGetProcAddressARB")
    try:
        loader = getattr(ctypes.CDLL(library), name)
    except (OSError, AttributeError):
        return
    window.SetOpenGLSymbolLoader2(ctypes.cast(loader, ctypes.c_void_p).value or 0, 0)
