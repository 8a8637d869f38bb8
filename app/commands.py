"""Every command as one action with name, key and icon; menus, tool bar and command palette are made of these."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QObject, Qt
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QMainWindow, QMenu, QToolBar

from app.appearance import icon

Keys = QKeySequence


@dataclass(frozen=True, kw_only=True)
class Command:
    """What the window does on a menu entry, key or button."""

    name: str
    text: str
    run: Callable[..., object]
    keys: str | QKeySequence.StandardKey | None = None
    picture: str = ""
    checkable: bool = False
    tip: str = ""


class Commands(QObject):
    """The actions by name, and the menus that hold them."""

    def __init__(self, window: QMainWindow) -> None:
        super().__init__(window)
        self._window = window
        self._pictures: dict[str, str] = {}
        self.actions: dict[str, QAction] = {}
        self.recent_menu = QMenu(self.tr("Open recent"), window)

    def add(self, command: Command) -> QAction:
        """Make the action of a command."""
        action = QAction(command.text, self._window)
        if isinstance(command.keys, str):
            action.setShortcut(QKeySequence(command.keys))
        elif command.keys is not None:
            action.setShortcuts(command.keys)
        if command.picture:
            action.setIcon(icon(command.picture))
            self._pictures[command.name] = command.picture
        action.setCheckable(command.checkable)
        plain = command.text.replace("&", "").rstrip("…")
        key = action.shortcut().toString(QKeySequence.SequenceFormat.NativeText)
        action.setToolTip(f"{command.tip or plain} ({key})" if key else command.tip or plain)
        action.setStatusTip("")
        (action.toggled if command.checkable else action.triggered).connect(command.run)
        self._window.addAction(action)
        self.actions[command.name] = action
        return action

    def __getitem__(self, name: str) -> QAction:
        return self.actions[name]

    def fill_menus(self, menus: dict[str, tuple[str, ...]]) -> None:
        """menus: title to names of commands; '-' is a line, 'recent' the list of recent files."""
        for title, names in menus.items():
            menu = self._window.menuBar().addMenu(title)
            for name in names:
                if name == "-":
                    menu.addSeparator()
                elif name == "recent":
                    menu.addMenu(self.recent_menu)
                else:
                    menu.addAction(self.actions[name])

    def tool_bar(self, names: tuple[str, ...]) -> QToolBar:
        """The tool bar with icons and words; '-' is a line."""
        bar = QToolBar(self.tr("Tool bar"), self._window)
        bar.setObjectName("tool_bar")
        bar.setMovable(False)
        bar.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        for name in names:
            if name == "-":
                bar.addSeparator()
            else:
                bar.addAction(self.actions[name])
        return bar

    def show_recent(self, paths: list[str], open_file: Callable[[Path], None]) -> None:
        """Fill the menu of recent files."""
        self.recent_menu.clear()
        for path in paths:
            action = self.recent_menu.addAction(Path(path).name)
            action.setToolTip(path)
            action.triggered.connect(lambda _=False, p=path: open_file(Path(p)))
        self.recent_menu.setEnabled(bool(paths))

    def redraw_icons(self) -> None:
        """After a change between light and dark."""
        for name, picture in self._pictures.items():
            self.actions[name].setIcon(icon(picture))

    def shortcut_list(self) -> list[tuple[str, str]]:
        """Command and key of everything that has a key."""
        return [
            (
                action.text().replace("&", "").rstrip("…"),
                action.shortcut().toString(QKeySequence.SequenceFormat.NativeText),
            )
            for action in self.actions.values()
            if not action.shortcut().isEmpty()
        ]
