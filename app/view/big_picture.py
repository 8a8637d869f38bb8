"""A picture of the view at any size, drawn off screen: finer lines, plain or transparent ground, with its marks."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage, QPainter
from vtkmodules.util.numpy_support import vtk_to_numpy
from vtkmodules.vtkCommonCore import vtkUnsignedCharArray

if TYPE_CHECKING:
    from app.view.part_view import PartView

AS_SHOWN, WHITE, CLEAR = "as shown", "white", "transparent"
LEAST_PX, MOST_PX = 64, 8192
"""Sides of a picture; graphics cards since 2008 draw 8192 pixels (OpenGL 3 asks for 1024, common practice)."""


@dataclass(frozen=True, kw_only=True)
class PictureChoice:
    """How a picture is made."""

    size_px: tuple[int, int]
    ground: str = AS_SHOWN
    marks: bool = True
    """With axes and colour scale."""


def big_picture(view: "PartView", choice: PictureChoice) -> QImage:
    """What the view shows, at least as much of it, at another size. The view itself stays as it is."""
    width, height = choice.size_px
    finer = 2 if 2 * max(width, height) <= MOST_PX else 1
    view.settle()
    drawn = _drawn(view, finer * width, finer * height, finer * max(1.0, min(width / 1280, height / 720)), choice)
    image = drawn.scaled(
        width, height, Qt.AspectRatioMode.IgnoreAspectRatio, Qt.TransformationMode.SmoothTransformation
    )
    if choice.marks:
        painter = QPainter(image)
        view.marks.paint_on(painter, width, height, scale=not view.scale.isHidden())
        painter.end()
    return image


def _drawn(view: "PartView", width: int, height: int, line_times: float, choice: PictureChoice) -> QImage:
    window, renderer = view.render_window, view.renderer
    size = window.GetSize()
    ground, alpha = renderer.GetBackground(), renderer.GetBackgroundAlpha()
    view.makeCurrent()
    state = window.GetState()
    state.Reset()
    state.Push()
    try:
        window.SetSize(width, height)
        view.moves.widen((size[0] / size[1]) / (width / height))
        if choice.ground != AS_SHOWN:
            renderer.GradientBackgroundOff()
            renderer.SetBackground(*((1.0,) * 3 if choice.ground == WHITE else (0.0,) * 3))
            renderer.SetBackgroundAlpha(1.0 if choice.ground == WHITE else 0.0)
        view.scene.blade.set_visible(False)  # without its word it says nothing
        view.scene.set_pixel_ratio(line_times)
        for one in (renderer, view.front):
            one.UseFXAAOff()
        window.Render()
        values = vtkUnsignedCharArray()
        window.GetRGBACharPixelData(0, 0, width - 1, height - 1, 0, values, 0)
    finally:
        window.SetSize(*size)
        view.moves.widen(1.0)
        renderer.GradientBackgroundOn()
        renderer.SetBackground(*ground)
        renderer.SetBackgroundAlpha(alpha)
        state.Pop()
        view.changed()
    rgba = np.ascontiguousarray(vtk_to_numpy(values).reshape(height, width, 4)[::-1])  # type: ignore[no-untyped-call]
    if choice.ground != CLEAR:
        rgba[..., 3] = 255
    return QImage(rgba.data, width, height, 4 * width, QImage.Format.Format_RGBA8888_Premultiplied).copy()
