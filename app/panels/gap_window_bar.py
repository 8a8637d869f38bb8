"""The gap window as a picture: where the melt reaches the sink, where the sink helps too little, what trials gave."""

import math

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QLinearGradient, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.appearance import is_dark
from app.panels.gap_trial_marks import paint_marks, words_of
from app.panels.gap_words import UNITS, gap_factor, gap_number, gap_words
from core.heat.estimate import Band, Estimate
from core.run_window import GapWindow
from core.trial.kept_trial import KeptTrial, Tried

ROW_PX = 9
"""Height of a row of marks."""


class GapWindowBar(QWidget):
    """Painted over the slider with the same axis; every limit is drawn as the band in which it is known."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._unit = UNITS[0]
        self._range_um = (0.0, 1500.0)
        self._margin_px = 8.0
        self._gap_um = 300.0
        self._fuse: Band | None = None
        self._heat: Band | None = None
        self._kept: KeptTrial | None = None
        self._tried: tuple[Tried, ...] = ()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(self.tr("Gap window"))

    def sizeHint(self) -> QSize:
        line = self.fontMetrics().height()
        return QSize(260, 4 * line + 30 + (line + 1 if self._kept else 0) + 2 * self._row_px)

    def minimumSizeHint(self) -> QSize:
        return QSize(200, self.sizeHint().height())

    def set_unit(self, unit: str) -> None:
        self._unit = unit
        self.update()

    def set_axis(self, low_um: float, high_um: float, margin_px: float) -> None:
        """The slider's range, and how far its ends are from the widget's edges."""
        self._range_um, self._margin_px = (low_um, high_um), margin_px
        self.update()

    @property
    def _row_px(self) -> int:
        return ROW_PX if self._tried else 0

    def show_trials(self, window: GapWindow | None) -> None:
        """The cells of the trials from which the fuse limit comes, at the tried angle nearest to the patch's."""
        kept = window.kept if window is not None else None
        tried = kept.tried_near(window.patch.lowest_angle_deg) if window is not None and kept is not None else ()
        if (kept, tried) != (self._kept, self._tried):
            self._kept, self._tried = kept, tried
            self.updateGeometry()
        self._describe()
        self.update()

    def _describe(self) -> None:
        """The picture in words, for the pointer and for those who don't see it."""
        words = []
        if self._fuse is not None and self._heat is not None:
            text = self.tr("Fuse limit {0}, heat limit {1}; estimates, to be calibrated with the coupon.")
            if self._kept is not None:
                text = self.tr("Fuse limit {0}, from trials; heat limit {1}, an estimate.")
            words.append(text.format(self._band_words(self._fuse), self._band_words(self._heat)))
        if self._kept is not None:
            words.append(self._kept.words[:1].upper() + self._kept.words[1:] + ".")
        if self._tried:
            words.append(words_of(self._tried, self._unit))
        self.setToolTip("\n".join(words))
        self.setAccessibleDescription("\n".join(words))

    def show_estimate(self, estimate: Estimate | None, gap_mm: float) -> None:
        self._fuse = estimate.fuse_limit_mm if estimate is not None else None
        self._heat = estimate.heat_limit_mm if estimate is not None else None
        self._gap_um = 1000 * gap_mm
        self._describe()
        self.update()

    def _x(self, gap_um: float) -> float:
        low, high = self._range_um
        share = (min(max(gap_um, low), high) - low) / (high - low)
        return self._margin_px + share * (self.width() - 2 * self._margin_px)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        line = self.fontMetrics().height()
        ink = self.palette().windowText().color()
        bar = QRectF(self._margin_px, line + 8 + 1.4 * self._row_px, self.width() - 2 * self._margin_px, 1.5 * line)
        dark = is_dark(self.palette())
        painter.fillRect(bar, QColor("#2f3a39" if dark else "#d3e4e0"))
        if self._fuse is not None and self._heat is not None:
            self._paint_limit(painter, bar, self._fuse, QColor("#d5643a" if dark else "#b9471f"), rising=False)
            self._paint_limit(painter, bar, self._heat, QColor("#6f8fd0" if dark else "#3a5ea8"), rising=True)
            self._paint_words(painter, bar, line, self._caption(self._fuse.nominal, self._heat.nominal))
        painter.setPen(QPen(self.palette().dark().color(), 1))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(bar)
        painter.setPen(ink)
        low, high = self._range_um
        places = tuple((self._x(1000 * t.gap_mm), t) for t in self._tried if low <= 1000 * t.gap_mm <= high)
        paint_marks(painter, places, bar.top() - 0.5 * ROW_PX, bar.bottom() + 0.5 * ROW_PX + 1, self.palette())
        axis = bar.bottom() + self._row_px
        painter.drawText(QPointF(self._margin_px - 4, axis + 4 + line), self._mark(low))
        for gap_um in (250, 500, 750, 1000, 1250, 1500):
            if low <= gap_um <= high:
                x = self._x(gap_um)
                painter.drawLine(QPointF(x, bar.bottom()), QPointF(x, axis + 4))
                if gap_um % 500 == 0:
                    text = f"{self._mark(gap_um)} {self._unit}" if gap_um == 1500 else self._mark(gap_um)
                    width = self.fontMetrics().horizontalAdvance(text)
                    left = min(max(x - width / 2, 0.0), self.width() - width)
                    painter.drawText(QPointF(left, axis + 4 + line), text)
        x = self._x(self._gap_um)
        painter.setPen(QPen(ink, 2))
        top = bar.top() - self._row_px
        painter.drawLine(QPointF(x, top - 3), QPointF(x, bar.bottom() + 3))
        painter.setBrush(ink)
        painter.drawPolygon(QPolygonF([QPointF(x - 5, top - 8), QPointF(x + 5, top - 8), QPointF(x, top - 1)]))
        painter.end()

    def _paint_limit(self, painter: QPainter, bar: QRectF, band: Band, colour: QColor, *, rising: bool) -> None:
        """Solid where the limit is surely passed, fading over its band, dashed at the nominal value."""
        low, nominal, high = (self._x(1000 * value) for value in (band.low, band.nominal, band.high))
        sure = QRectF(high, bar.top(), bar.right() - high, bar.height())
        if not rising:
            sure = QRectF(bar.left(), bar.top(), low - bar.left(), bar.height())
        painter.fillRect(sure, colour)
        painter.fillRect(
            sure,
            QBrush(QColor(255, 255, 255, 70), Qt.BrushStyle.BDiagPattern if rising else Qt.BrushStyle.FDiagPattern),
        )
        clear = QColor(colour)
        clear.setAlpha(30)
        fade = QLinearGradient(QPointF(low, 0), QPointF(max(high, low + 0.01), 0))
        fade.setColorAt(0, clear if rising else colour)
        fade.setColorAt(1, colour if rising else clear)
        painter.fillRect(QRectF(low, bar.top(), high - low, bar.height()), fade)
        if bar.left() < nominal < bar.right():
            painter.setPen(QPen(self.palette().windowText().color(), 1.4, Qt.PenStyle.DashLine))
            painter.drawLine(QPointF(nominal, bar.top()), QPointF(nominal, bar.bottom()))

    def _paint_words(self, painter: QPainter, bar: QRectF, line: int, caption: str) -> None:
        painter.setPen(self.palette().windowText().color())
        row = QRectF(0, 0, self.width(), line)
        painter.drawText(row, Qt.AlignmentFlag.AlignLeft, self.tr("may fuse"))
        painter.drawText(row, Qt.AlignmentFlag.AlignRight, self.tr("too hot"))
        below = QRectF(0, bar.bottom() + self._row_px + 9 + line, self.width(), line)
        painter.drawText(below, Qt.AlignmentFlag.AlignHCenter, caption)
        if self._kept is not None:
            painter.drawText(below.translated(0, line + 1), Qt.AlignmentFlag.AlignHCenter, self._source())

    def _source(self) -> str:
        """Where the fuse limit comes from, and of which angle the marks are."""
        words = self._kept.words if self._kept is not None else ""
        marks = self.tr("; marks: {0}°").format(f"{self._tried[0].angle_deg:g}") if self._tried else ""
        return self.fontMetrics().elidedText(words + marks, Qt.TextElideMode.ElideRight, self.width())

    def _mark(self, gap_um: float) -> str:
        return f"{gap_um / 1000 * gap_factor(self._unit):g}"

    def _caption(self, fuse_mm: float, heat_mm: float) -> str:
        fuse, heat = gap_number(fuse_mm, self._unit), gap_words(heat_mm, self._unit)
        if math.isinf(heat_mm):
            return self.tr("fuse limit {0} {1} · no heat limit").format(fuse, self._unit)
        if heat_mm <= 0:
            return self.tr("fuse limit {0} {1} · heat limit out of reach").format(fuse, self._unit)
        if heat_mm < fuse_mm:
            return self.tr("no gap meets both: fuse {0}, heat {1}").format(fuse, heat)
        return self.tr("fuse limit {0} · heat limit {1}").format(fuse, heat)

    def _band_words(self, band: Band) -> str:
        if math.isinf(band.nominal):
            return "∞"
        high = "∞" if math.isinf(band.high) else gap_number(band.high, self._unit)
        return f"{gap_words(band.nominal, self._unit)} ({gap_number(band.low, self._unit)}–{high})"
