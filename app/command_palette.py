"""Find a command by typing part of its name."""

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QAction, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QFrame, QLineEdit, QListWidget, QListWidgetItem, QVBoxLayout, QWidget


class CommandPalette(QFrame):
    """A small list over the window; Enter runs the chosen command, Escape closes."""

    def __init__(self, actions: list[QAction], parent: QWidget) -> None:
        super().__init__(parent, Qt.WindowType.Popup)
        self.setFrameShape(QFrame.Shape.StyledPanel)
        self._actions = actions
        self._line = QLineEdit(self)
        self._line.setPlaceholderText(self.tr("Type part of a command"))
        self._line.setAccessibleName(self.tr("Find a command"))
        self._list = QListWidget(self)
        column = QVBoxLayout(self)
        column.setContentsMargins(6, 6, 6, 6)
        column.addWidget(self._line)
        column.addWidget(self._list)
        self._line.textChanged.connect(self._filter)
        self._line.returnPressed.connect(self._run)
        self._list.itemClicked.connect(self._run)
        self._line.installEventFilter(self)
        self.resize(420, 320)

    def open(self) -> None:
        """Show it at the top of the window with every command that can be used now."""
        window = self.parentWidget()
        if window is not None:
            corner = window.mapToGlobal(window.rect().topLeft())
            self.move(corner.x() + (window.width() - self.width()) // 2, corner.y() + 70)
        self._line.clear()
        self._filter("")
        self.show()
        self._line.setFocus()

    def _filter(self, text: str) -> None:
        self._list.clear()
        words = text.lower().split()
        for action in self._actions:
            name = action.text().replace("&", "").rstrip("…")
            if action.isEnabled() and all(word in name.lower() for word in words):
                key = action.shortcut().toString(QKeySequence.SequenceFormat.NativeText)
                item = QListWidgetItem(f"{name}    {key}" if key else name, self._list)
                item.setData(Qt.ItemDataRole.UserRole, action)
        self._list.setCurrentRow(0)

    def _run(self) -> None:
        item = self._list.currentItem()
        self.hide()
        if item is not None:
            item.data(Qt.ItemDataRole.UserRole).trigger()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Arrow keys move in the list while typing."""
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            step = {Qt.Key.Key_Down: 1, Qt.Key.Key_Up: -1}.get(Qt.Key(event.key()))
            if step is not None and self._list.count():
                self._list.setCurrentRow((self._list.currentRow() + step) % self._list.count())
                return True
        return super().eventFilter(watched, event)
