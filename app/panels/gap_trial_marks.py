"""What came out at each tried gap, drawn at the gap window: free above it, stuck and lost below."""

from PySide6.QtCore import QCoreApplication, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPalette, QPen

from app.panels.gap_words import gap_number
from core.trial.kept_trial import Tried

HALF_PX = 2.8


def _tr(text: str) -> str:
    return QCoreApplication.translate("GapTrialMarks", text)


def paint_marks(painter: QPainter, tried: tuple[tuple[float, Tried], ...], above: float, below: float,
                palette: QPalette) -> None:  # fmt: skip
    """tried: x in pixels of a gap and what came out there. above, below: y of the two rows of marks, in pixels."""
    ink = palette.windowText().color()
    painter.save()
    for x, group in tried:
        painter.setPen(QPen(ink, 1.3))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        if group.free:
            painter.drawEllipse(QPointF(x, above), HALF_PX, HALF_PX)
        beside = (HALF_PX + 1) * (group.stuck > 0 and group.lost > 0)
        if group.lost:
            left, right = x + beside - HALF_PX, x + beside + HALF_PX
            painter.drawLine(QPointF(left, below - HALF_PX), QPointF(right, below + HALF_PX))
            painter.drawLine(QPointF(left, below + HALF_PX), QPointF(right, below - HALF_PX))
        if group.stuck:
            square = QRectF(x - beside - HALF_PX, below - HALF_PX, 2 * HALF_PX, 2 * HALF_PX)
            painter.fillRect(square, QColor(ink))
    painter.restore()


def words_of(tried: tuple[Tried, ...], unit: str) -> str:
    """The marks in words: at every gap how many came free, stuck and were lost."""
    if not tried:
        return ""
    lines = [
        _tr("{0}: {1} free, {2} stuck, {3} lost").format(gap_number(t.gap_mm, unit), t.free, t.stuck, t.lost)
        for t in tried
    ]
    head = _tr("Tried at {0}° (gap in {1}):").format(f"{tried[0].angle_deg:g}", unit)
    return "\n".join([head, *lines])
