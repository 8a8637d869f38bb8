"""One finding in the list: icon and word of its level, the sentence, and the remedy below it."""

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QPoint, QRect, QSize, Qt
from PySide6.QtGui import QPainter, QPalette
from PySide6.QtWidgets import QListWidget, QStyle, QStyledItemDelegate, QStyleOptionViewItem

from app.appearance import icon, level_colour
from app.panels.finding_buttons import buttons_height
from core.checks.finding import Finding

LEFT = 30
PAD = 6
WRAP = Qt.TextFlag.TextWordWrap


class FindingDelegate(QStyledItemDelegate):
    """Paints a Finding kept in the item's UserRole."""

    def __init__(self, view: QListWidget) -> None:
        super().__init__(view)
        self._view = view

    def _width(self) -> int:
        """Room for the words; that of a scroll bar is always left free, so that rows don't change when one comes."""
        bar = self._view.verticalScrollBar().sizeHint().width()
        return max(self._view.width() - 2 * self._view.frameWidth() - bar - LEFT - PAD, 60)

    def _heights(self, finding: Finding) -> tuple[int, int]:
        metrics = self._view.fontMetrics()
        room = QRect(0, 0, self._width(), 10000)
        text = metrics.boundingRect(room, WRAP, self._title(finding)).height()
        remedy = metrics.boundingRect(room, WRAP, finding.remedy).height() if finding.remedy else 0
        return text, remedy

    def _title(self, finding: Finding) -> str:
        return f"{finding.level}: {finding.text}"

    def sizeHint(self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex) -> QSize:
        text, remedy = self._heights(index.data(Qt.ItemDataRole.UserRole))
        buttons = buttons_height(self._view.fontMetrics(), index.data(Qt.ItemDataRole.UserRole))
        return QSize(self._view.viewport().width(), text + remedy + buttons + 2 * PAD)

    def paint(
        self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        finding: Finding = index.data(Qt.ItemDataRole.UserRole)
        rect: QRect = option.rect
        palette: QPalette = option.palette
        group = QPalette.ColorGroup.Normal if self._view.isEnabled() else QPalette.ColorGroup.Disabled
        ink = palette.color(group, QPalette.ColorRole.Text)
        chosen = bool(option.state & QStyle.StateFlag.State_Selected) and self._view.isEnabled()
        if chosen:
            painter.fillRect(rect, palette.highlight())
            ink = palette.highlightedText().color()
        colour = ink if chosen or not self._view.isEnabled() else level_colour(finding.level, palette)
        icon(finding.level, colour).paint(painter, QRect(rect.topLeft() + QPoint(6, PAD), QSize(18, 18)))
        text, remedy = self._heights(finding)
        left, width = rect.left() + LEFT, self._width()
        painter.setPen(ink)
        painter.drawText(QRect(left, rect.top() + PAD, width, text), WRAP, self._title(finding))
        if finding.remedy:
            painter.setPen(ink if chosen else palette.color(group, QPalette.ColorRole.PlaceholderText))
            painter.drawText(QRect(left, rect.top() + PAD + text, width, remedy), WRAP, finding.remedy)
        painter.setPen(palette.color(QPalette.ColorRole.Midlight))
        painter.drawLine(rect.bottomLeft(), rect.bottomRight())
