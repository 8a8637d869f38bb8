"""Small painted marks over the view: colour scale, axes, scale bar, words at the build plate."""

import numpy as np
from PySide6.QtCore import QEvent, QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QLinearGradient, QPainter, QPaintEvent, QPen, QPixmap
from PySide6.QtWidgets import QLabel, QWidget

from app.appearance import PART, is_dark
from app.view.colour_scales import ANGLES, Map, ValueScale, colour_at, round_step
from core.units import FloatArray

AXIS_COLOURS = ("#c0442e", "#3c8a4a", "#3a66b0")
AXIS_COLOURS_DARK = ("#ea7a66", "#74c383", "#86aaf0")


class Overlay(QWidget):
    """A child of the view that lets every mouse event through."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setAttribute(Qt.WidgetAttribute.WA_NoSystemBackground)

    def painter(self) -> QPainter:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(self.palette().windowText().color())
        return painter


class ColourScale(Overlay):
    """The colours on the part with title, numbers and unit: downskin angles, gaps, or temperatures."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._drawn: QPixmap | None = None
        self.show_angles(45.0)

    def fit_text(self) -> None:
        """Take the room that the words need at the present font."""
        metrics = self.fontMetrics()
        foot = metrics.horizontalAdvance(self.grey or self._foot) + (46 if self.grey else 26)
        self.resize(QSize(max(foot, metrics.horizontalAdvance(self.title) + 26, 210), 4 * metrics.height() + 36))

    def show_angles(self, limit_deg: float) -> None:
        """Bright is a flat ceiling, dark the limit; steeper faces are grey."""
        self.title = self.tr("Downskin angle")
        whole = [step for step in (1, 2, 5, 10, 15, 20, 30) if limit_deg % step == 0]
        step = next(step for step in (*whole, 5, 10, 20, 30) if limit_deg / step <= 5)
        marks = [angle for angle in np.arange(0, limit_deg, step).tolist() if limit_deg - angle > 0.6 * step]
        words = {mark: f"{mark:g}°" for mark in (*marks, limit_deg)}
        self._take((0.0, limit_deg), words, ANGLES, self.tr("above the limit"))

    def show_values(self, scale: ValueScale) -> None:
        """Dark is low, bright is high."""
        self.title = f"{scale.title}, {scale.unit}"
        low, high = scale.low, scale.high
        step = round_step(high - low, 4)
        between = step * np.arange(np.ceil(low / step), np.floor(high / step) + 1) + 0.0
        room = 0.18 * (high - low)
        round_marks = [low + 0.0, *(mark for mark in between.tolist() if low + room < mark < high - room), high]
        words = scale.marks or {mark: f"{mark:g}" for mark in round_marks}
        self._take((low, high), words, scale.map, scale.grey, scale.foot)

    def _take(
        self, ends: tuple[float, float], marks: dict[float, str], colours: Map, grey: str, foot: str = ""
    ) -> None:
        self.ends, self.marks, self._map, self.grey, self._foot = ends, marks, colours, grey, foot
        self.setAccessibleName(self.tr("Colour scale: {0}").format(self.title))
        self._drawn = None
        self.fit_text()
        self.update()

    def changeEvent(self, event: QEvent) -> None:
        self._drawn = None
        super().changeEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Drawn once and kept, since the view below is painted at every move of the mouse."""
        if self._drawn is None:
            self._drawn = QPixmap(self.size() * self.devicePixelRatioF())
            self._drawn.setDevicePixelRatio(self.devicePixelRatioF())
            self._drawn.fill(Qt.GlobalColor.transparent)
            kept = QPainter(self._drawn)
            self.draw(kept)
            kept.end()
        painter = QPainter(self)
        painter.drawPixmap(0, 0, self._drawn)
        painter.end()

    def draw(self, painter: QPainter) -> None:
        """All of it, from its top left corner."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        line = self.fontMetrics().height()
        ground = self.palette().window().color()
        ground.setAlpha(215)
        painter.setBrush(ground)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.drawRoundedRect(QRectF(self.rect()), 4, 4)
        ink = self.palette().windowText().color()
        painter.setPen(ink)
        painter.setFont(self.font())
        painter.drawText(QRectF(12, 5, self.width() - 14, line), Qt.AlignmentFlag.AlignLeft, self.title)
        bar = QRectF(14, 9 + line, self.width() - 38, 13)
        shade = QLinearGradient(bar.topLeft(), bar.topRight())
        for share in np.linspace(0, 1, 17).tolist():
            shade.setColorAt(share, colour_at(self._map, share))
        painter.fillRect(bar, shade)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(self.palette().dark().color(), 1))
        painter.drawRect(bar)
        painter.setPen(ink)
        low, high = self.ends
        for mark, words in self.marks.items():
            x = bar.left() + bar.width() * (mark - low) / (high - low)
            painter.drawLine(QPointF(x, bar.bottom()), QPointF(x, bar.bottom() + 4))
            place = QRectF(x - 25, bar.bottom() + 4, 50, line)
            painter.drawText(place, Qt.AlignmentFlag.AlignHCenter, words)
        box = QRectF(14, self.height() - line - 6, 16, line - 2)
        if self.grey:
            painter.fillRect(box, QColor(PART))
            painter.drawText(QPointF(box.right() + 7, box.bottom() - line * 0.2), self.grey)
        else:
            painter.drawText(QPointF(box.left() - 2, box.bottom() - line * 0.2), self._foot)


class AxesMark(Overlay):
    """The three axes as they lie in the view, and a scale bar in mm."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._axes: FloatArray = np.eye(3)
        self._mm_per_px = 0.0
        self.resize(250, 92)
        self.setAccessibleName(self.tr("Axes and scale bar"))

    def set_view(self, axes: FloatArray, mm_per_px: float) -> None:
        """axes: (3, 3) rows right, up, towards the eye. mm_per_px: 0 hides the scale bar."""
        self._axes, self._mm_per_px = axes, mm_per_px
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = self.painter()
        self.draw(painter)
        painter.end()

    def draw(self, painter: QPainter) -> None:
        """All of it, from its top left corner."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(self.font())
        middle = QPointF(44, self.height() - 46)
        colours = AXIS_COLOURS_DARK if is_dark(self.palette()) else AXIS_COLOURS
        tips = self._axes[:2].T * [1.0, -1.0]
        for i in np.argsort(self._axes[2]):
            tip = middle + QPointF(*(30.0 * tips[i]))
            painter.setPen(QPen(QColor(colours[i]), 2.2))
            painter.drawLine(middle, tip)
            word = middle + QPointF(*(39.0 * tips[i]))
            painter.drawText(QRectF(word.x() - 10, word.y() - 10, 20, 20), Qt.AlignmentFlag.AlignCenter, "XYZ"[i])
        if self._mm_per_px > 0:
            self._paint_scale_bar(painter)

    def _paint_scale_bar(self, painter: QPainter) -> None:
        room_px = min(130, self.width() - 112)
        if room_px < 25:
            return
        room_mm = room_px * self._mm_per_px
        power = 10.0 ** np.floor(np.log10(room_mm))
        length_mm = next(n * power for n in (5, 2, 1) if n * power <= room_mm)
        painter.setPen(QPen(self.palette().windowText().color(), 1.6))
        left, y, length = 100.0, self.height() - 14.0, length_mm / self._mm_per_px
        painter.drawLine(QPointF(left, y), QPointF(left + length, y))
        for x in (left, left + length):
            painter.drawLine(QPointF(x, y - 4), QPointF(x, y + 4))
        text = f"{length_mm:g} mm" if length_mm >= 0.1 else f"{1000 * length_mm:g} µm"
        painter.drawText(QRectF(left, y - 24, max(length, self.width() - left), 18), Qt.AlignmentFlag.AlignLeft, text)


class EdgeWord(QLabel):
    """A word along a line of the build plate."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._view = parent
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setAutoFillBackground(True)
        self.setMargin(2)
        self.hide()

    def put_along(
        self, ends_px: FloatArray, on: bool, taken: list[QRect], clear_px: FloatArray | None = None
    ) -> None:
        """Put the word under the start of the seen stretch of the line; hide it where there is no free place.

        ends_px: (2, 2) both ends of the line in the view. taken: places of other marks. clear_px: (n, 2) corners
        of a convex body in the view over which the word must not lie.
        """
        self.adjustSize()
        view = self._view.rect().adjusted(self.width() // 2, 0, -self.width() // 2, -self.height() - 4)
        along = ends_px[0] + np.linspace(0, 1, 81)[:, None] * (ends_px[1] - ends_px[0])
        places = [
            QRect(round(x - self.width() / 2), round(y + 4), self.width(), self.height())
            for x, y in along
            if view.contains(round(x), round(y))
        ]
        free = [place for place in places if not any(place.intersects(rect) for rect in taken)]
        if clear_px is not None:
            free = [place for place, over in zip(free, over_hull(free, clear_px), strict=True) if not over]
        self.setVisible(on and bool(free))
        if free:
            self.move(free[len(free) // 8].topLeft())


def over_hull(places: list[QRect], points_px: FloatArray) -> list[bool]:
    """Which of the places meet the convex hull of points (n, 2): those that no line keeps apart from it."""
    if not places:
        return []
    corners = np.array([[[x, y] for x in (r.left(), r.right()) for y in (r.top(), r.bottom())] for r in places])
    ways = (points_px[:, None] - points_px).reshape(-1, 2)
    axes = np.concatenate([np.eye(2), np.column_stack([-ways[:, 1], ways[:, 0]])]).T
    ours, theirs = corners @ axes, points_px @ axes
    apart = (ours.max(axis=1) < theirs.min(axis=0)) | (ours.min(axis=1) > theirs.max(axis=0))
    return [not kept for kept in apart.any(axis=1).tolist()]
