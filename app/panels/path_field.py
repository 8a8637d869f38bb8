"""A field for the path of a file or a folder, to be typed, pasted or asked for."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QPushButton, QVBoxLayout, QWidget

Ask = Callable[[QWidget, str], str]
"""Shows a dialog over a widget, beginning in a folder; answers a path, or nothing."""


class PathField(QWidget):
    """The line with the path, and below it a button for each way to ask for one."""

    changed = Signal()

    def __init__(self, name: str, asks: tuple[tuple[str, Ask], ...], parent: QWidget | None = None) -> None:
        """asks: words of a button, and what it asks."""
        super().__init__(parent)
        self.line = QLineEdit(self)
        self.line.setAccessibleName(name)
        self.line.textChanged.connect(self.changed)
        column, row = QVBoxLayout(self), QHBoxLayout()
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(self.line)
        column.addLayout(row)
        for words, ask in asks:
            button = QPushButton(words, self)
            button.setAccessibleName(f"{name}: {words}")
            button.clicked.connect(lambda _=False, ask=ask: self._ask(ask))
            row.addWidget(button)
        self.setFocusProxy(self.line)

    @property
    def path(self) -> Path | None:
        """What was given; None while the line is empty."""
        text = self.line.text().strip()
        return Path(text) if text else None

    def show_path(self, path: Path) -> None:
        self.line.setText(str(path))
        self.line.setToolTip(str(path))

    def _ask(self, ask: Ask) -> None:
        path = self.path
        name = ask(self, str(path.parent) if path is not None else "")
        if name:
            self.show_path(Path(name))
