"""The command for each tool of the view, and which of them are on."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from app.commands import Command

if TYPE_CHECKING:
    from app.workbench import Workbench

FIT_COMMANDS = ("fit_selection", "fit_plate")
TOOL_COMMANDS = ("brush", "loop", "-", "section", "see_through", "measure")


def view_tool_commands(bench: "Workbench") -> tuple[Command, ...]:
    """Each tool is switched on and off by its command; Escape ends it too."""
    tools, tr = bench.view_tools, bench.tr

    def take(name: str) -> Callable[[bool], None]:
        return lambda on: tools.take(name, on)

    def command(name: str, text: str, keys: str, tip: str, run: Callable[..., None] | None = None) -> Command:
        return Command(name=name, text=text, run=run or take(name), keys=keys, tip=tip, checkable=True)

    return (
        Command(
            name="fit_selection",
            text=tr("Fit to what is picked"),
            run=lambda _=False: tools.fit_selection(),
            keys="Shift+F",
            tip=tr("Show the picked faces, or the sink clicked last"),
        ),
        Command(
            name="fit_plate",
            text=tr("Fit the build plate"),
            run=lambda _=False: bench.view.fit_plate(),
            keys="8",
            tip=tr("Show the whole build plate"),
        ),
        command("brush", tr("Brush over faces"), "P", tr("Add faces by going over them, or take them out")),
        command("loop", tr("Draw a loop round faces"), "L", tr("Add the faces seen in a loop, or take them out")),
        command("measure", tr("Measure"), "M", tr("Distance of two points, and the powder gap there")),
        command("section", tr("Section"), "X", tr("Cut part and sinks by a plane"), tools.section),
        command(
            "see_through",
            tr("See-through sinks"),
            "T",
            tr("Look through the sinks; their edges stay"),
            tools.see_through,
        ),
        Command(
            name="save_picture",
            text=tr("Save &picture…"),
            run=lambda _=False: tools.save_picture(),
            keys="Ctrl+P",
            tip=tr("A picture of the view at a chosen size"),
        ),
    )


def follow_view_tools(bench: "Workbench") -> None:
    """Keep the marks at the commands, the status bar and the sign over the view in step with the tools."""
    actions, view, tools = bench.commands.actions, bench.view, bench.view_tools
    names = [name for name in (*FIT_COMMANDS, *TOOL_COMMANDS, "save_picture") if name != "-"]

    def enable() -> None:
        for name in names:
            actions[name].setEnabled(bench.session.part is not None)

    def show_tool() -> None:
        for name, tool in tools.tools.items():
            actions[name].setChecked(view.tool is tool)

    def show_section(on: bool) -> None:
        actions["section"].setChecked(on)
        bench.old_sign.move(bench.old_sign.x(), view.top_px)

    enable()
    bench.session.part_changed.connect(enable)
    view.tool_changed.connect(show_tool)
    view.section_bar.opened.connect(show_section)
    tools.see_through_wanted.connect(actions["see_through"].setChecked)
    tools.said.connect(bench.read_out.setText)
