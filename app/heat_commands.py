"""Commands of the followed build: start it, write it to a folder, and choose the colours on the part."""

from typing import TYPE_CHECKING

from app import messages
from app.commands import Command

if TYPE_CHECKING:
    from app.workbench import Workbench

COLOUR_COMMANDS = ("colour_angle", "colour_with", "colour_without", "colour_cooler", "colour_peak")


def heat_commands(bench: "Workbench") -> tuple[Command, ...]:
    """Each does what its button or list does; the colours show once there are temperatures for the job as it is."""
    tr = bench.tr

    def export() -> None:
        folder = messages.ask_export_folder(bench.window, bench.settings.last_folder())
        if folder is not None:
            bench.settings.set_last_folder(str(folder))
            bench.heat.export(folder)

    def colour(key: str, title: str) -> Command:
        text = tr("Colours: {0}").format(title[:1].lower() + title[1:])
        return Command(name=f"colour_{key}", text=text, run=lambda _=False: bench.heat_link.choose(key))

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
            tip=tr("Write temperatures as table, plots and values to a folder"),
        ),
        colour("angle", tr("Downskin angle")),
        *(colour(one.key, one.title) for one in bench.heat_link.colourings),
    )


def show_heat_commands(bench: "Workbench") -> None:
    """Which of them can be used now."""
    actions, heat = bench.commands.actions, bench.heat
    actions["follow_build"].setEnabled(not heat.running and not heat.refusal() and not heat.is_current)
    for name in ("export_heat", *COLOUR_COMMANDS):
        actions[name].setEnabled(heat.is_current)
