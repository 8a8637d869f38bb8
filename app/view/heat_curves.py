"""The temperature between layers over the height, with sinks and without, as two curves of the layer strip."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QCoreApplication, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPalette, QPen, QPolygonF

from app.appearance import SINK, is_dark
from app.view.colour_scales import round_range
from core.heat.compare_heat import HeatComparison
from core.units import FloatArray

SINK_ON_DARK = "#4fc4bb"


def _tr(text: str) -> str:
    return QCoreApplication.translate("HeatCurves", text)


@dataclass(frozen=True, kw_only=True, eq=False)
class HeatCurves:
    """z_mm, with_c, without_c: (n,) middle of each layer of cells and mean of the part in it; NaN where there is none.

    stale: they don't belong to the job as it is, so they are drawn grey and give no values.
    """

    z_mm: FloatArray
    with_c: FloatArray
    without_c: FloatArray
    stale: bool = False

    @classmethod
    def of(cls, comparison: HeatComparison, *, stale: bool) -> "HeatCurves":
        with_sinks, without = comparison.with_sinks, comparison.without
        return cls(z_mm=with_sinks.z_mm, with_c=with_sinks.layer_mean_c, without_c=without.layer_mean_c, stale=stale)

    def at(self, height_mm: float) -> tuple[float, float]:
        """With sinks and without, °C, of the layer of cells at a height; NaN where the part has none."""
        layer = int(np.abs(self.z_mm - height_mm).argmin())
        return float(self.with_c[layer]), float(self.without_c[layer])

    def words(self, height_mm: float | None) -> str:
        """What stands below the curves: the values at the section's height, or what the lines mean."""
        if self.stale:
            return _tr("Temperatures\nout of date")
        if height_mm is None:
            return _tr("between layers\n— with sinks\n- - without")
        with_c, without_c = self.at(height_mm)
        if np.isnan(with_c):
            return _tr("no metal here")
        return _tr("at {0} mm\nwith {1} °C\nwithout {2} °C").format(
            f"{height_mm:.1f}", f"{with_c:.0f}", f"{without_c:.0f}"
        )

    def paint(
        self,
        painter: QPainter,
        place: QRectF,
        y_of: Callable[[float], float],
        height_mm: float | None,
        palette: QPalette,
    ) -> None:
        """Draw both curves, with their scale above. y_of: the strip's height axis."""
        both = np.concatenate([self.with_c, self.without_c])
        both = both[np.isfinite(both)]
        if not both.size:
            return
        low, high = round_range(float(both.min()), float(both.max()))

        def x_of(celsius: float) -> float:
            return place.left() + place.width() * (celsius - low) / (high - low)

        group = QPalette.ColorGroup.Disabled if self.stale else QPalette.ColorGroup.Active
        ink = palette.color(group, QPalette.ColorRole.WindowText)
        line = painter.fontMetrics().height()
        painter.setPen(QPen(palette.color(QPalette.ColorRole.Mid), 1))
        for celsius in (low, high):
            painter.drawLine(QPointF(x_of(celsius), place.top()), QPointF(x_of(celsius), place.bottom()))
        painter.setPen(ink)
        ends = QRectF(place.left() - 4, place.top() - line - 3, place.width() + 12, line)
        painter.drawText(ends, Qt.AlignmentFlag.AlignLeft, f"{low:g}")
        painter.drawText(ends, Qt.AlignmentFlag.AlignRight, f"{high:g}")
        painter.drawText(ends.translated(0, -line), Qt.AlignmentFlag.AlignHCenter, _tr("°C"))
        teal = QColor(SINK_ON_DARK if is_dark(palette) else SINK)
        solid = QPen(ink if self.stale else teal, 2.2)
        dashed = QPen(ink, 1.4, Qt.PenStyle.DashLine)
        for values, pen in ((self.without_c, dashed), (self.with_c, solid)):
            painter.setPen(pen)
            for stretch in _stretches(values):
                points = [QPointF(x_of(float(values[i])), max(place.top(), y_of(float(self.z_mm[i])))) for i in stretch]
                painter.drawPolyline(QPolygonF(points))
        if height_mm is not None and not self.stale:
            painter.setBrush(ink)
            painter.setPen(Qt.PenStyle.NoPen)
            for celsius in self.at(height_mm):
                if np.isfinite(celsius):
                    painter.drawEllipse(QPointF(x_of(celsius), y_of(height_mm)), 3.2, 3.2)


def _stretches(values: FloatArray) -> list[list[int]]:
    """Runs of numbers of finite values."""
    finite = np.flatnonzero(np.isfinite(values))
    return [run.tolist() for run in np.split(finite, np.flatnonzero(np.diff(finite) > 1) + 1) if run.size]
