"""Small painted marks over the view: angle scale, axes, scale bar, the word at the plate's front edge."""

import numpy as np
from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QLinearGradient, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QLabel, QWidget

from app.appearance import PART, is_dark
from app.view.colour_scales import angle_colour
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


class AngleScale(Overlay):
    """The colours of the downskin angles with numbers and unit; steeper faces are grey."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._limit_deg = 45.0
        self.setAccessibleName(self.tr("Scale of the downskin angle"))
        self.fit_text()

    def fit_text(self) -> None:
        """Take the room that the words need at the present font."""
        metrics = self.fontMetrics()
        words = (self.tr("Downskin angle"), self.tr("above the limit"))
        width = max(metrics.horizontalAdvance(words[0]), 40 + metrics.horizontalAdvance(words[1]))
        self.resize(QSize(width + 20, 9 * metrics.height() + 60))

    def set_limit(self, limit_deg: float) -> None:
        self._limit_deg = limit_deg
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = self.painter()
        line = self.fontMetrics().height()
        ground = self.palette().window().color()
        ground.setAlpha(205)
        painter.setBrush(ground)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.drawRoundedRect(QRectF(self.rect()), 4, 4)
        ink = self.palette().windowText().color()
        painter.setPen(ink)
        painter.drawText(QRectF(10, 6, self.width() - 14, line), Qt.AlignmentFlag.AlignLeft, self.tr("Downskin angle"))
        bar = QRectF(10, 14 + line, 18, self.height() - 14 - 2 * line - 28)
        shade = QLinearGradient(bar.topLeft(), bar.bottomLeft())
        for share in np.linspace(0, 1, 17):
            shade.setColorAt(float(share), angle_colour(1.0 - float(share)))
        painter.fillRect(bar, shade)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(self.palette().dark().color(), 1))
        painter.drawRect(bar)
        painter.setPen(ink)
        whole = [step for step in (1, 2, 5, 10, 15, 20, 30) if self._limit_deg % step == 0]
        step = next(step for step in (*whole, 5, 10, 20, 30) if self._limit_deg / step <= 5)
        marks = [angle for angle in np.arange(0, self._limit_deg, step) if self._limit_deg - angle > 0.6 * step]
        for angle in [*marks, self._limit_deg]:
            y = bar.bottom() - bar.height() * angle / self._limit_deg
            painter.drawLine(QPointF(bar.right(), y), QPointF(bar.right() + 4, y))
            painter.drawText(QPointF(bar.right() + 8, y + line * 0.33), f"{angle:g}°")
        box = QRectF(10, self.height() - line - 8, 18, line)
        painter.fillRect(box, QColor(PART))
        painter.drawText(QPointF(box.right() + 8, box.bottom() - line * 0.25), self.tr("above the limit"))
        painter.end()


class AxesMark(Overlay):
    """The three axes as they lie in the view, and a scale bar in mm."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._axes = np.eye(3)
        self._mm_per_px = 0.0
        self.resize(250, 92)
        self.setAccessibleName(self.tr("Axes and scale bar"))

    def set_view(self, axes: FloatArray, mm_per_px: float) -> None:
        """axes: (3, 3) rows right, up, towards the eye. mm_per_px: 0 hides the scale bar."""
        self._axes, self._mm_per_px = axes, mm_per_px
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = self.painter()
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
        painter.end()

    def _paint_scale_bar(self, painter: QPainter) -> None:
        room_mm = 130 * self._mm_per_px
        power = 10.0 ** np.floor(np.log10(room_mm))
        length_mm = next(n * power for n in (5, 2, 1) if n * power <= room_mm)
        painter.setPen(QPen(self.palette().windowText().color(), 1.6))
        left, y, length = 100.0, self.height() - 14.0, length_mm / self._mm_per_px
        painter.drawLine(QPointF(left, y), QPointF(left + length, y))
        for x in (left, left + length):
            painter.drawLine(QPointF(x, y - 4), QPointF(x, y + 4))
        text = f"{length_mm:g} mm" if length_mm >= 0.1 else f"{1000 * length_mm:g} µm"
        painter.drawText(QRectF(left, y - 24, max(length, 70), 18), Qt.AlignmentFlag.AlignLeft, text)


class FrontWord(QLabel):
    """Says which edge of the plate is the front."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(self.tr("front of the plate"), parent)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.hide()

    def put_at(self, x_px: float, y_px: float) -> None:
        """Centre the word under a point of the view; hide it outside."""
        self.adjustSize()
        inside = 0 < x_px < self.parentWidget().width() and 0 < y_px < self.parentWidget().height() - self.height()
        self.setVisible(inside)
        self.move(int(x_px - self.width() / 2), int(y_px + 3))
