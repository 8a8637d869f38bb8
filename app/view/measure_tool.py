"""Measuring in the view: two points give a distance with its parts along the axes; each also tells its powder gap."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from app.appearance import is_dark
from app.view.tool import Tool

if TYPE_CHECKING:
    from app.view.part_view import PartView

SNAP_PX = 7.0
"""A corner of the triangle under the mouse that is this near is taken in place of the point itself."""


@dataclass(frozen=True, kw_only=True)
class Gap:
    """Shortest way from a point to the nearest other body; to_mm (3,) is its far end there."""

    mm: float
    to_mm: tuple[float, float, float]
    body: str


GapAsker = Callable[[tuple[float, float, float], int, Callable[["Gap | None"], None]], None]
"""Asks for the gap at a point of a body (-1 part, else the sink's number) and is answered later; None without one."""


class MeasureTool(Tool):
    """Click two points; a third click starts over."""

    def __init__(self, view: "PartView", ask_gap: GapAsker) -> None:
        super().__init__(view)
        self._ask_gap = ask_gap
        self.points: list[tuple[float, float, float]] = []
        self.gap: Gap | None = None
        """At the point clicked last."""
        self._round = 0
        self._under: tuple[float, float, float] | None = None

    def words(self) -> str:
        if len(self.points) == 1:
            return self.tr("Click the second point · right drag turns · Esc ends")
        if len(self.points) == 2:
            return self.tr("Click to measure anew · Esc ends")
        return self.tr("Click the first point on the part or a sink · right drag turns · Esc ends")

    def put_down(self) -> None:
        self._forget()

    def _forget(self) -> None:
        self.points, self.gap, self._under = [], None, None
        self._round += 1

    def _point_at(self, at: QPointF) -> tuple[tuple[float, float, float] | None, int]:
        """The point of a body under the mouse, at a corner when one is near, and the body's number."""
        hit, owner = self.view.face_at(at)
        if hit is None:
            return None, -1
        corners = self.view.corners_of(owner, hit.face)
        if self.view.cut is not None:
            corners = corners[self.view.cut.keeps(corners)]
        if len(corners):
            away = np.linalg.norm(self.view.moves.project(corners) - [at.x(), at.y()], axis=1)
            if away.min() <= SNAP_PX:
                return tuple(corners[away.argmin()].tolist()), owner
        return hit.at_mm, owner

    def press(self, at: QPointF, keys: Qt.KeyboardModifier) -> None:
        point, owner = self._point_at(at)
        if point is None:
            self.said.emit(self.tr("Nothing lies there; click a point on the part or a sink · Esc ends"))
            return
        if len(self.points) == 2:
            self._forget()
        self.points.append(point)
        self.gap = None
        self._round += 1
        mine = self._round

        def answered(gap: Gap | None) -> None:
            if mine == self._round:
                self.gap = gap
                self._tell()

        self._ask_gap(point, owner, answered)
        self._tell()

    def _tell(self) -> None:
        told = [text for text in (*self.lines(), self.words()) if text]
        self.said.emit(" · ".join(told))
        self.view.tool_marks.update()

    def hover(self, at: QPointF | None) -> None:
        self._under = self._point_at(at)[0] if at is not None else None
        self.view.tool_marks.update()

    def lines(self) -> list[str]:
        """What was measured so far."""
        told = []
        if len(self.points) == 2:
            away = np.subtract(self.points[1], self.points[0])
            told.append(self.tr("Distance {0} mm").format(f"{np.linalg.norm(away):.3f}"))
            told.append("  ".join(f"d{axis} {part + 0.0:.3f}" for axis, part in zip("xyz", away, strict=True)))
        if self.gap is not None:
            told.append(self.tr("gap here {0} mm to {1}").format(f"{self.gap.mm:.3f}", self.gap.body))
        return told

    def paint(self, painter: QPainter) -> None:
        dark = is_dark(self.view.palette())
        ink = QColor("#ffd27a" if dark else "#5a1f8a")
        ends = self.points if len(self.points) == 2 or self._under is None else [*self.points, self._under]
        px = [QPointF(*at) for at in self.view.moves.project(np.array(ends))] if ends else []
        halo = QColor("#1e2226" if dark else "#ffffff")
        for colour, width in ((halo, 4.5), (ink, 2.0)):
            painter.setPen(QPen(colour, width))
            if len(px) == 2:
                painter.drawLine(px[0], px[1])
            if self.gap is not None:
                painter.setPen(QPen(colour, width, Qt.PenStyle.DotLine))
                foot = self.view.moves.project(np.array([self.points[-1], self.gap.to_mm]))
                painter.drawLine(QPointF(*foot[0]), QPointF(*foot[1]))
        painter.setBrush(ink)
        painter.setPen(QPen(halo, 1.5))
        for at in px:
            painter.drawEllipse(at, 4.0, 4.0)
        if self.points:
            self._paint_label(painter, px[: len(self.points)])

    def _paint_label(self, painter: QPainter, px: list[QPointF]) -> None:
        lines = self.lines()
        if not lines:
            return
        metrics = self.view.fontMetrics()
        width = max(metrics.horizontalAdvance(line) for line in lines) + 14
        height = len(lines) * metrics.height() + 8
        middle = (px[0] + px[-1]) / 2
        left = min(max(middle.x() + 12, 4), self.view.width() - width - 4)
        top = min(max(middle.y() - height - 10, 4), self.view.height() - height - 4)
        ground = self.view.palette().window().color()
        ground.setAlpha(235)
        painter.setPen(QPen(self.view.palette().mid().color(), 1))
        painter.setBrush(ground)
        painter.drawRoundedRect(QRectF(left, top, width, height), 4, 4)
        painter.setPen(self.view.palette().windowText().color())
        for number, line in enumerate(lines):
            at = QRectF(left + 7, top + 4 + number * metrics.height(), width, metrics.height())
            painter.drawText(at, Qt.AlignmentFlag.AlignLeft, line)
