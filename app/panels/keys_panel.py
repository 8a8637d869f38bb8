"""All keys and what the mouse does, as a page that stays open beside the work."""

from html import escape

from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QPushButton, QTextBrowser, QVBoxLayout, QWidget


class KeysPanel(QWidget):
    """Two tables, selectable; a button copies them as text."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.page = QTextBrowser(self)
        self.page.setAccessibleName(self.tr("Keys and mouse"))
        self.copy_button = QPushButton(self.tr("Copy the list"), self)
        self.copy_button.clicked.connect(self._copy)
        column = QVBoxLayout(self)
        column.setContentsMargins(6, 6, 6, 6)
        column.addWidget(self.page)
        column.addWidget(self.copy_button)
        self._keys: list[tuple[str, str]] = []

    def fill(self, keys: list[tuple[str, str]]) -> None:
        """keys: of the commands, as (command, key)."""
        self._keys = keys
        self.page.setHtml(
            f"<h3>{self.tr('Keys')}</h3>{_table([(key, name) for name, key in keys])}"
            f"<h3>{self.tr('In the job tree')}</h3>{_table(self._tree())}"
            f"<h3>{self.tr('Mouse in the view')}</h3>{_table(self._mouse())}"
        )

    def _mouse(self) -> list[tuple[str, str]]:
        return [
            (self.tr("click"), self.tr("pick a face and what it grows over")),
            (self.tr("Shift + click"), self.tr("add to the picked faces")),
            (self.tr("Ctrl + click"), self.tr("add, or take out again")),
            (self.tr("drag"), self.tr("turn the view")),
            (self.tr("middle drag"), self.tr("shift the view")),
            (self.tr("wheel"), self.tr("zoom at the cursor")),
        ]

    def _tree(self) -> list[tuple[str, str]]:
        return [
            (self.tr("arrow keys"), self.tr("go to a row; on a patch, pick it")),
            (self.tr("Shift or Ctrl + Space"), self.tr("pick several patches")),
            (self.tr("Enter"), self.tr("open the page of the row, or go to its finding")),
            (self.tr("Space"), self.tr("on a sink: show or hide it")),
        ]

    def text(self) -> str:
        """The tables, a line each."""
        rows = [(key, name) for name, key in self._keys] + self._tree() + self._mouse()
        return "\n".join(f"{key}\t{name}" for key, name in rows)

    def _copy(self) -> None:
        QGuiApplication.clipboard().setText(self.text())


def _table(rows: list[tuple[str, str]]) -> str:
    cells = "".join(
        f"<tr><td style='padding-right:12px'><b>{escape(key)}</b></td><td>{escape(name)}</td></tr>"
        for key, name in rows
    )
    return f"<table cellspacing='3'>{cells}</table>"
