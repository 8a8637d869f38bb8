"""Where the marks over the view lie: colour scale, axes, words at the plate; and a picture of them at another size."""

from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QObject
from PySide6.QtGui import QPainter

from app.panels.fields import ChoiceBox
from app.view.overlays import AxesMark, ColourScale, EdgeWord

if TYPE_CHECKING:
    from app.view.part_view import PartView

AXES_PX = 92
GAP_PX = 8


class ViewMarks(QObject):
    """Owns the marks of one view."""

    def __init__(self, view: "PartView") -> None:
        super().__init__(view)
        self._view = view
        self.scale, self.axes = ColourScale(view), AxesMark(view)
        self.front_word, self.blade_word = EdgeWord(view), EdgeWord(view)
        self.blade_word.setText(self.tr("recoater"))
        self.scale.hide()
        self.colour_choice = ChoiceBox(self.tr("Colours on the part"), view)
        self.colour_choice.hide()

    def show_plate_size(self, size_mm: tuple[float, float]) -> None:
        """Width and depth of the plate, to be read at its front edge."""
        width, depth = size_mm
        self.front_word.setText(self.tr("front of the plate, {0} × {1} mm").format(f"{width:g}", f"{depth:g}"))

    def place(self, *, plate_on: bool, from_above: bool) -> None:
        """Put everything where it belongs at the view's present size and camera."""
        view, scale, choice = self._view, self.scale, self.colour_choice
        scale.move(view.width() - scale.width() - GAP_PX, view.height() - scale.height() - GAP_PX)
        choice.resize(scale.width(), choice.sizeHint().height())
        choice.move(scale.x(), scale.y() - choice.height() - 4)
        beside = scale.x() >= AXES_PX or scale.isHidden()
        self.axes.resize(max(AXES_PX, min(250, (scale.x() if beside else view.width()) - GAP_PX)), AXES_PX)
        floor = view.height() if beside else choice.y()
        self.axes.move(4, floor - self.axes.height() - 4)
        self.axes.set_view(view.moves.axes(), view.moves.mm_per_px if view.moves.parallel else 0.0)
        taken = [mark.geometry() for mark in (self.axes, scale, choice)]
        if view.section_bar.isVisible():
            taken.append(view.section_bar.geometry())
        on = plate_on and view.has_part
        box = view.whole_box()
        ends = np.array(box) if box is not None else np.zeros((2, 3))
        part_px = view.moves.project(np.array([[x, y, z] for x in ends[:, 0] for y in ends[:, 1] for z in ends[:, 2]]))
        self.front_word.put_along(view.moves.project(view.scene.front_ends_mm), on, taken, part_px)
        if not self.front_word.isHidden():
            taken.append(self.front_word.geometry())
        self.blade_word.put_along(view.moves.project(view.scene.blade_ends_mm), on and from_above, taken)

    def paint_on(self, painter: QPainter, width: int, height: int, *, scale: bool) -> None:
        """Axes, and if wanted the colour scale, into the corners of a picture of another size."""
        times = max(1.0, min(width / 1280, height / 720))
        for mark, right in ((self.axes, False), *(((self.scale, True),) if scale else ())):
            painter.save()
            painter.scale(times, times)
            x = width / times - mark.width() - GAP_PX if right else 4.0
            painter.translate(x, height / times - mark.height() - GAP_PX)
            mark.draw(painter)
            painter.restore()
