"""Lets the last columns of a table go while there is no room to read the first."""

from PySide6.QtCore import QEvent, QObject
from PySide6.QtWidgets import QTreeWidget


class NarrowColumns(QObject):
    """Watches a tree; its first column keeps room for some text, the others give way from the right."""

    def __init__(self, tree: QTreeWidget, text: str, keep: int) -> None:
        """text: what the first column must have room for; keep: columns that are never hidden."""
        super().__init__(tree)
        self._tree, self._text, self._keep = tree, text, keep
        self._widths: dict[int, int] = {}
        """What each column needs; a hidden one keeps what it needed last, as Qt says 0 of it."""
        tree.viewport().installEventFilter(self)

    def fit(self) -> None:
        """Show as many columns as there is room for."""
        tree = self._tree
        room = tree.viewport().width() - tree.fontMetrics().horizontalAdvance(self._text) - 2 * tree.indentation()
        for column in range(1, tree.columnCount()):
            if not tree.isColumnHidden(column):
                self._widths[column] = max(tree.sizeHintForColumn(column), tree.header().sectionSizeHint(column))
            room -= self._widths.get(column, 0)
            hide = room < 0 and column >= self._keep
            if hide != tree.isColumnHidden(column):
                tree.setColumnHidden(column, hide)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Resize:
            self.fit()
        return super().eventFilter(watched, event)
