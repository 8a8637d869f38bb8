"""How VTK's picture comes about: at one go, in two halves, or what moves over a kept picture of all else."""

from collections.abc import Callable
from typing import Any

from vtkmodules.vtkRenderingCore import vtkProp, vtkRenderer
from vtkmodules.vtkRenderingOpenGL2 import vtkGenericOpenGLRenderWindow

from app.view.kept_picture import KeptPicture

WHOLE, FIRST, SECOND = range(3)
"""A picture is made in one turn of the window, or in two where that takes long."""


class PictureMaker:
    """Knows what VTK's own buffer holds. `make` may only be called where the OpenGL context is current."""

    def __init__(self, window: vtkGenericOpenGLRenderWindow) -> None:
        self.renderer, self.front = vtkRenderer(), vtkRenderer()
        """All that stands still, and what moves meanwhile: hidden by what lies before it, like everything."""
        window.SetNumberOfLayers(2)
        self.front.SetLayer(1)
        self.front.PreserveDepthBufferOn()
        self.front.SetActiveCamera(self.renderer.GetActiveCamera())
        for renderer in (self.renderer, self.front):
            window.AddRenderer(renderer)
        self.kept = KeptPicture(window)
        self.complete = False
        """True while the buffer holds a full picture of all but the front things, which can be kept as it is."""

    @property
    def has_ground(self) -> bool:
        """True when the front things can be drawn without drawing the rest again."""
        return self.kept.valid or self.complete

    def forget(self) -> None:
        """What stands still changed."""
        self.kept.valid, self.complete = False, False

    def make(
        self,
        render: Callable[[], None],
        half: int,
        heavy: list[vtkProp],
        *,
        front_only: bool,
        smooth: bool,
        coarse: bool,
    ) -> None:
        """heavy: what takes longest to draw, the first half. front_only: the rest is kept for the next time."""
        in_front = self.front.VisibleActorCount() > 0
        if front_only and self.has_ground:
            if self.kept.valid:
                self.kept.put_back()
            else:
                self.kept.keep()
        else:
            last = half != FIRST
            self.renderer.SetUseFXAA(last and smooth and (front_only or not in_front))
            self.front.SetUseFXAA(smooth and in_front)  # the last one smooths the whole picture
            self.front.SetDraw(last and not front_only)
            self._make_still(render, half, heavy)
            self.front.DrawOn()
            self.complete = last and not in_front and not coarse
            if front_only and last:
                self.kept.keep()
        if front_only and half != FIRST:
            self.complete = False
            self.front.UseFXAAOff()
            self.renderer.DrawOff()
            render()
            self.renderer.DrawOn()

    def _make_still(self, render: Callable[[], None], half: int, heavy: list[vtkProp]) -> None:
        """All things, or those of a half; those of the second are drawn over the first."""
        waiting: list[vtkProp] = []
        if half != WHOLE:
            props = self.renderer.GetViewProps()
            shown: list[Any] = [props.GetItemAsObject(number) for number in range(props.GetNumberOfItems())]
            waiting = [prop for prop in shown if prop.GetVisibility() and (prop in heavy) == (half == SECOND)]
        for prop in waiting:
            prop.VisibilityOff()
        self.renderer.SetErase(half != SECOND)
        render()
        self.renderer.EraseOn()
        for prop in waiting:
            prop.VisibilityOn()
