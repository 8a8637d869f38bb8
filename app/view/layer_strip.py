"""The layer strip: a height axis beside the view with the low-angle area and the temperature of every height."""

import numpy as np
from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QMouseEvent, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.appearance import PART, PICK
from app.view.heat_curves import HeatCurves
from app.view.hot_layers import HotLayers
from core.units import FloatArray

BINS = 120
CURVES_PX = 104


class LayerStrip(QWidget):
    """Drag along it to cut the part at a height; double-click to show the whole part again."""

    height_chosen = Signal(object)
    """Height of the section in mm, or None for the whole part."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._top_mm = 0.0
        self._area = np.zeros(BINS)
        self._marks: list[tuple[float, float]] = []
        self._cut_mm: float | None = None
        self.curves: HeatCurves | None = None
        self.hot: HotLayers | None = None
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(self.tr("Layer strip: low-angle area by height"))
        self._tip = self.tr(
            "Low-angle area by height. Drag to cut the part at a height; double-click to show all of it."
        )
        self.setToolTip(self._tip)
        self.setCursor(Qt.CursorShape.SizeVerCursor)

    def sizeHint(self) -> QSize:
        metrics = self.fontMetrics()
        curves = max(CURVES_PX, metrics.horizontalAdvance(self.tr("without 0000 °C"))) if self.curves else 0
        return QSize(metrics.horizontalAdvance("000.0 mm") + 26 + curves, 200)

    def show_curves(self, curves: HeatCurves | None) -> None:
        """The temperature between layers beside the axis, for which the strip gets wider; None takes it away."""
        self.curves = curves
        self.updateGeometry()
        self.update()

    def show_hot(self, hot: HotLayers | None) -> None:
        """Mark the layers with hot spots in the layer images, and the one looked at; None takes the marks away."""
        self.hot = hot
        tip = self.tr("Marks at the left edge: layers with hot spots in the layer images.") if hot is not None else ""
        self.setToolTip(f"{self._tip} {tip}".strip())
        self.update()

    def show_areas(self, top_mm: float, heights_mm: FloatArray, areas_mm2: FloatArray) -> None:
        """heights_mm, areas_mm2: (n,) of the low-angle faces; top_mm: upper end of the axis."""
        self._top_mm = top_mm
        self._area, _ = np.histogram(heights_mm, bins=BINS, range=(0.0, max(top_mm, 1e-9)), weights=areas_mm2)
        self.update()

    def forget_cut(self) -> None:
        """The view shows the whole part, or is cut in another way."""
        self._cut_mm = None
        self.update()

    def show_picked(self, ranges_mm: list[tuple[float, float]]) -> None:
        """Lowest and highest z of every picked face group."""
        self._marks = ranges_mm
        self.update()

    def set_cut(self, height_mm: float | None) -> None:
        """Mark a height, None for the whole part, and tell the view."""
        self._cut_mm = None if height_mm is None else float(np.clip(height_mm, 0.0, self._top_mm))
        self.height_chosen.emit(self._cut_mm)
        self.update()

    def _axis(self) -> QRectF:
        line = self.fontMetrics().height()
        below = 5.0 if self.curves else 1.4
        return QRectF(12, 2.2 * line + 6, 14, self.height() - (2.2 + below) * line - 12)

    def _curves_place(self, axis: QRectF) -> QRectF:
        """Right of the height's numbers."""
        left = axis.right() + 12 + self.fontMetrics().horizontalAdvance("000.0")
        return QRectF(left, axis.top(), self.width() - left - 10, axis.height())

    def _y(self, height_mm: float) -> float:
        axis = self._axis()
        return axis.bottom() - axis.height() * height_mm / self._top_mm

    def _height(self, y: float) -> float:
        axis = self._axis()
        return (axis.bottom() - y) / axis.height() * self._top_mm

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), self.palette().window())
        ink = self.palette().windowText().color()
        painter.setPen(ink)
        line = self.fontMetrics().height()
        axis = self._axis()
        words = QRectF(0, 2, self._curves_place(axis).left() - 6 if self.curves else self.width(), line)
        for down, text in enumerate((self.tr("Height"), self.tr("mm"))):
            painter.drawText(words.translated(0, down * line), Qt.AlignmentFlag.AlignHCenter, text)
        painter.fillRect(axis, QColor(PART))
        if self._top_mm > 0:
            self._paint_areas(painter, axis)
            self._paint_numbers(painter, axis, line)
            if self.curves is not None:
                place = self._curves_place(axis)
                self.curves.paint(painter, place, self._y, self._cut_mm, self.palette())
                words = QRectF(0, axis.bottom() + 0.6 * line, self.width() - 6, 4.2 * line)
                painter.setPen(ink)
                told = self.curves.words(self._cut_mm)
                painter.drawText(words, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop, told)
            if self.hot is not None:
                self.hot.paint(painter, axis, self._y, self.palette())
            if self._cut_mm is not None:
                self._paint_cut(painter, axis, self._cut_mm)
        painter.setPen(QPen(self.palette().dark().color(), 1))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(axis)
        painter.end()

    def _paint_areas(self, painter: QPainter, axis: QRectF) -> None:
        most = self._area.max()
        step = axis.height() / BINS
        colour = QColor("#24427a")
        for i in np.flatnonzero(self._area):
            width = 3 + (axis.width() - 3) * float(np.sqrt(self._area[i] / most))
            painter.fillRect(QRectF(axis.left(), axis.bottom() - (i + 1) * step, width, step + 0.5), colour)
        painter.setPen(QPen(QColor(PICK), 3))
        for low, high in self._marks:
            x = axis.left() - 5
            painter.drawLine(QPointF(x, self._y(low)), QPointF(x, min(self._y(high), self._y(low) - 3)))

    def _paint_numbers(self, painter: QPainter, axis: QRectF, line: int) -> None:
        painter.setPen(self.palette().windowText().color())
        rough = self._top_mm * 3.0 * line / max(axis.height(), 1.0)
        power = 10.0 ** np.floor(np.log10(rough))
        step = next(n * power for n in (1, 2, 5, 10) if n * power >= rough)
        marks = [*np.arange(0.0, self._top_mm - 0.5 * step, step), self._top_mm]
        for mark in marks:
            y = self._y(float(mark))
            painter.drawLine(QPointF(axis.right(), y), QPointF(axis.right() + 4, y))
            painter.drawText(QPointF(axis.right() + 7, y + 0.33 * line), f"{mark:.4g}")

    def _paint_cut(self, painter: QPainter, axis: QRectF, height_mm: float) -> None:
        y = self._y(height_mm)
        text = f"{height_mm:.2f}"
        width = self.fontMetrics().horizontalAdvance(text) + 8
        ink = self.palette().highlight().color()
        painter.setPen(QPen(ink, 2))
        painter.drawLine(QPointF(axis.left() - 8, y), QPointF(axis.right() + 4, y))
        box = QRectF(axis.right() + 4, y - 10, width, 20)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(ink)
        painter.drawPolygon(QPolygonF([box.topLeft(), box.topRight(), box.bottomRight(), box.bottomLeft()]))
        painter.setPen(self.palette().highlightedText().color())
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, text)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.mouseMoveEvent(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._top_mm > 0 and event.buttons() & Qt.MouseButton.LeftButton:
            height = self._height(event.position().y())
            self.set_cut(None if height > self._top_mm else height)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        self.set_cut(None)
