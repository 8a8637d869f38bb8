"""Commands of the followed build: start it, and write it to a folder."""

from typing import TYPE_CHECKING

from app import messages
from app.commands import Command

if TYPE_CHECKING:
    from app.workbench import Workbench


def heat_commands(bench: "Workbench") -> tuple[Command, ...]:
    """Each does what its button does."""
    tr = bench.tr
    what = tr("Write temperatures as table, plots and values to a folder")

    def export() -> None:
        folder = messages.ask_export_folder(bench.window, bench.settings.last_folder(), what)
        if folder is not None:
            bench.settings.set_last_folder(str(folder))
            bench.heat.export(folder)

    return (
        Command(
            name="follow_build",
            text=tr("&Follow the build"),
            run=bench.heat.run,
            keys="F6",
            picture="process",
            tip=tr("Follow the build layer by layer, with the sinks and without"),
        ),
        Command(
            name="export_heat",
            text=tr("Export &heat…"),
            run=export,
            tip=what,
        ),
    )


def show_heat_commands(bench: "Workbench") -> None:
    """Which of them can be used now."""
    actions, heat = bench.commands.actions, bench.heat
    actions["follow_build"].setEnabled(not heat.running and not heat.refusal() and not heat.is_current)
    actions["export_heat"].setEnabled(heat.is_current)
