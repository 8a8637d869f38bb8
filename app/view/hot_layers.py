"""Layers with hot spots in the layer images, as marks at the left edge of the layer strip."""

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPalette, QPen, QPolygonF

from app.appearance import is_dark
from core.units import FloatArray

HOT, HOT_ON_DARK = "#b12a90", "#e98ac6"
"""From the middle of the map of the scores; far from the outline of picked faces beside it."""
MARK_PX = 4.0


@dataclass(frozen=True, kw_only=True, eq=False)
class HotLayers:
    """heights_mm: (n,) tops of the layers. chosen_mm: the one looked at, whether hot or not.

    stale: they don't belong to the job as it is, so they are drawn grey.
    """

    heights_mm: FloatArray
    chosen_mm: float | None = None
    stale: bool = False

    def paint(self, painter: QPainter, axis: QRectF, y_of: Callable[[float], float], palette: QPalette) -> None:
        """Short marks left of the axis; an arrow and a line across it at the layer looked at."""
        ink = QColor(HOT_ON_DARK if is_dark(palette) else HOT)
        if self.stale:
            ink = palette.color(QPalette.ColorGroup.Disabled, QPalette.ColorRole.WindowText)
        painter.setPen(QPen(ink, 2, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap))
        for height in self.heights_mm.tolist():
            y = y_of(height)
            painter.drawLine(QPointF(0.5, y), QPointF(0.5 + MARK_PX, y))
        if self.chosen_mm is not None:
            y = y_of(self.chosen_mm)
            painter.drawLine(QPointF(axis.left() - 4, y), QPointF(axis.right() + 4, y))
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(ink)
            tip = QPointF(axis.left() - 1, y)
            painter.drawPolygon(QPolygonF([tip, tip + QPointF(-10, -6), tip + QPointF(-10, 6)]))
