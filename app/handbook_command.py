"""The command that opens the handbook beside the work, with room to read, and gives the room back."""

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt

from app.commands import Command

if TYPE_CHECKING:
    from app.workbench import Workbench

READING_PX = 500


def handbook_command(bench: "Workbench") -> Command:
    """While the handbook is docked its side of the window is wider; afterwards it is as wide as it was."""
    before: list[int] = []

    def show(on: bool) -> None:
        dock, tree = bench.docks["handbook"], bench.docks["job"]
        if on and dock.isHidden():
            before[:] = [tree.width()]
        dock.setVisible(on)
        across, up = Qt.Orientation.Horizontal, Qt.Orientation.Vertical
        if on and not dock.isFloating():
            bench.window.resizeDocks([tree], [max(READING_PX, tree.width())], across)
            bench.window.resizeDocks([tree, dock], [1, 3], up)
        elif not on and before:
            bench.window.resizeDocks([tree], before, across)
            before.clear()

    return Command(
        name="handbook",
        text=bench.tr("Handbook"),
        run=show,
        keys="Shift+F1",
        checkable=True,
        tip=bench.tr("Method, worked example, limits, formulas, scripting, safety"),
    )
