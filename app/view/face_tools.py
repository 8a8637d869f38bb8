"""Brush and loop: add the faces that a stroke goes over to the picked ones, or take them out."""

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QPointF, Qt, QTimer, Signal
from PySide6.QtGui import QColor, QImage, QKeyEvent, QPainter, QPen, QPolygonF

from app.appearance import PICK
from app.view.seen_faces import FaceCentres, SeenFaces
from app.view.tool import Tool
from core.part.part import Part
from core.units import BoolArray, IntArray

if TYPE_CHECKING:
    from app.view.part_view import PartView

SHOW_MS = 25
"""While the hand moves, the faces gone over are drawn at most this often."""
LOOKS_MOST = 1500
"""So many doubtful faces are looked at when the hand lets go, in less than a tenth of a second; the rest is taken."""
RADIUS_PX, LEAST_PX, MOST_PX = 16.0, 3.0, 150.0
TAKES_OUT = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier


class FaceTool(Tool):
    """A stroke begins with a press and ends with the release; Ctrl or Alt at its begin takes faces out."""

    painted = Signal(object, bool)
    """(n,) face numbers gone over, and True to add them, False to take them out."""

    def __init__(self, view: "PartView", candidates: Callable[[], tuple[Part, IntArray] | None]) -> None:
        """candidates: the part shown and its faces that can be picked; None without a part."""
        super().__init__(view)
        self._candidates = candidates
        self._centres: FaceCentres | None = None
        self._seen = SeenFaces(
            faces=np.zeros(0, dtype=np.int32), at_px=np.zeros((0, 2), np.float32), doubtful=np.zeros(0, dtype=bool)
        )
        self._extra: set[int] = set()
        self._over: BoolArray = np.zeros(0, dtype=bool)
        self._add, self._stroke = True, False
        self._timer = QTimer(self, interval=SHOW_MS, singleShot=True)
        self._timer.timeout.connect(self._show)

    def prepare(self) -> None:
        """Find the centres of the faces once per part, before the first stroke asks for them."""
        found, have = self._candidates(), self._centres
        if found is None:
            self._centres = None
        elif have is None or have.part is not found[0] or have.faces is not found[1]:
            self._centres = FaceCentres(*found)

    def press(self, at: QPointF, keys: Qt.KeyboardModifier) -> None:
        self.prepare()
        if self._centres is None:
            return
        self._seen = self._centres.seen(self.view)
        self._over = np.zeros(len(self._seen.faces), dtype=bool)
        self._extra = set()
        self._add, self._stroke = not keys & TAKES_OUT, True
        self.begin(at)
        self._later()

    def drag(self, at: QPointF, keys: Qt.KeyboardModifier) -> None:
        if self._stroke:
            self.go_on(at)
            self._later()
            self.view.tool_marks.update()

    def release(self, at: QPointF, keys: Qt.KeyboardModifier) -> None:
        if not self._stroke:
            return
        self.drag(at, keys)
        self.update_over()
        self._drop_hidden()
        faces = self._gone_over()
        self._end_stroke()
        self.painted.emit(faces, self._add)

    def put_down(self) -> None:
        self._end_stroke()

    def _end_stroke(self) -> None:
        self._stroke = False
        self._timer.stop()
        self.view.scene.clear_painted()
        self.view.changed()

    def _gone_over(self) -> IntArray:
        extra = np.fromiter(self._extra, dtype=self._seen.faces.dtype, count=len(self._extra))
        return np.union1d(self._seen.faces[self._over], extra)

    def _drop_hidden(self) -> None:
        """Look at the doubtful faces gone over, and drop those that something else lies before."""
        numbers = np.flatnonzero(self._over & self._seen.doubtful)[:LOOKS_MOST]
        hits = self.view.faces_at(self._seen.at_px[numbers].astype(float))
        for number, (hit, owner) in zip(numbers, hits, strict=True):
            if hit is None or owner >= 0 or hit.face != self._seen.faces[number]:
                self._over[number] = False

    def _later(self) -> None:
        if not self._timer.isActive():
            self._timer.start()

    def _show(self) -> None:
        if self._stroke and self._centres is not None:
            self.update_over()
            part = self._centres.part
            corners = part.triangles[self._gone_over()]
            self.view.scene.show_painted(part.vertices_mm[corners], add=self._add)
            self.view.front_moved()

    def begin(self, at: QPointF) -> None:
        """The stroke starts here."""

    def go_on(self, at: QPointF) -> None:
        """The stroke comes by here."""

    def update_over(self) -> None:
        """Bring self._over up to date, if that was left for later."""


class BrushTool(FaceTool):
    """Takes the faces whose centre comes under a round brush, and those its middle passes over."""

    cursor = Qt.CursorShape.BlankCursor

    def __init__(self, view: "PartView", candidates: Callable[[], tuple[Part, IntArray] | None]) -> None:
        super().__init__(view, candidates)
        self.radius_px = RADIUS_PX
        self._mouse: QPointF | None = None
        self._last = QPointF()

    def words(self) -> str:
        return self.tr(
            "Brush: drag adds faces, Ctrl or Alt + drag takes them out · Ctrl + wheel or , . changes the size · "
            "right drag turns · Esc ends"
        )

    def begin(self, at: QPointF) -> None:
        self._last = at
        self.go_on(at)

    def go_on(self, at: QPointF) -> None:
        self._mouse = at
        start, end = (np.array([p.x(), p.y()], dtype=np.float32) for p in (self._last, at))
        self._last = at
        low, high = np.minimum(start, end) - self.radius_px, np.maximum(start, end) + self.radius_px
        x, y = self._seen.at_px[:, 0], self._seen.at_px[:, 1]
        near = np.flatnonzero((x >= low[0]) & (x <= high[0]) & (y >= low[1]) & (y <= high[1]) & ~self._over)
        way = end - start
        from_start = self._seen.at_px[near] - start
        share = np.clip(from_start @ way / max(float(way @ way), 1e-9), 0.0, 1.0)
        away = from_start - share[:, None] * way
        self._over[near[np.einsum("ij,ij->i", away, away) <= self.radius_px**2]] = True
        steps = max(1, round(float(np.linalg.norm(way)) / 4.0))
        for part_way in np.arange(1, steps + 1) / steps:
            hit, owner = self.view.face_at(QPointF(*(start + part_way * way).tolist()))
            if hit is not None and owner < 0 and self._can_pick(hit.face):
                self._extra.add(hit.face)

    def _can_pick(self, face: int) -> bool:
        if self._centres is None:
            return False
        at = int(np.searchsorted(self._centres.faces, face))
        return at < len(self._centres.faces) and int(self._centres.faces[at]) == face

    def hover(self, at: QPointF | None) -> None:
        self._mouse = at
        self.view.tool_marks.update()

    def set_radius(self, radius_px: float) -> None:
        self.radius_px = float(np.clip(radius_px, LEAST_PX, MOST_PX))
        self.view.tool_marks.update()

    def wheel(self, steps: float, keys: Qt.KeyboardModifier) -> bool:
        if not keys & Qt.KeyboardModifier.ControlModifier:
            return False
        self.set_radius(self.radius_px * 1.15**steps)
        return True

    def key(self, event: QKeyEvent) -> bool:
        times = {",": 1 / 1.25, "[": 1 / 1.25, ".": 1.25, "]": 1.25}.get(event.text())
        if times is None:
            return False
        self.set_radius(self.radius_px * times)
        return True

    def put_down(self) -> None:
        self._mouse = None
        super().put_down()

    def paint(self, painter: QPainter) -> None:
        if self._mouse is not None:
            for colour, width in ((QColor("#ffffff"), 3.0), (QColor("#23272b"), 1.3)):
                painter.setPen(QPen(colour, width))
                painter.drawEllipse(self._mouse, self.radius_px, self.radius_px)


class LoopTool(FaceTool):
    """Takes the faces whose centre is seen inside a loop drawn by hand."""

    def __init__(self, view: "PartView", candidates: Callable[[], tuple[Part, IntArray] | None]) -> None:
        super().__init__(view, candidates)
        self._loop = QPolygonF()

    def words(self) -> str:
        return self.tr(
            "Loop: drag round faces to add those seen inside, Ctrl or Alt + drag to take them out · "
            "right drag turns · Esc ends"
        )

    def begin(self, at: QPointF) -> None:
        self._loop = QPolygonF([at])

    def go_on(self, at: QPointF) -> None:
        if (at - self._loop.last()).manhattanLength() >= 2:
            self._loop.append(at)

    def update_over(self) -> None:
        width, height = self.view.moves.size_px
        sheet = QImage(width, height, QImage.Format.Format_Grayscale8)
        sheet.fill(0)
        painter = QPainter(sheet)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(Qt.GlobalColor.white)
        painter.drawPolygon(self._loop, Qt.FillRule.WindingFill)
        painter.end()
        rows = np.frombuffer(sheet.constBits(), dtype=np.uint8).reshape(height, sheet.bytesPerLine())
        column, row = self._seen.at_px.astype(np.int32).T
        self._over = rows[row, column] > 0

    def put_down(self) -> None:
        self._loop = QPolygonF()
        super().put_down()

    def paint(self, painter: QPainter) -> None:
        if self._stroke and self._loop.size() > 1:
            fill = QColor(PICK)
            fill.setAlpha(28)
            painter.setBrush(fill)
            for colour, width, style in (
                (QColor("#ffffff"), 3.0, Qt.PenStyle.SolidLine),
                (QColor("#23272b"), 1.5, Qt.PenStyle.DashLine),
            ):
                painter.setPen(QPen(colour, width, style))
                painter.drawPolygon(self._loop)
                painter.setBrush(Qt.BrushStyle.NoBrush)
