"""Commands that bring the keyboard to the job tree, the view or a page of the inspector."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QWidget

from app.commands import Command

if TYPE_CHECKING:
    from app.workbench import Workbench

GO_COMMANDS = ("go_tree", "go_place", "go_sink", "go_process", "go_check", "go_heat", "go_view")


def go_commands(bench: "Workbench") -> tuple[Command, ...]:
    """Alt and a digit, in the order of the work."""
    tr = bench.tr

    def to_tree(_: bool = False) -> None:
        bench.docks["job"].show()
        bench.tree.setFocus()

    def to_page(name: str, first: QWidget) -> Callable[..., None]:
        def go(_: bool = False) -> None:
            bench.docks["inspector"].show()
            bench.show_page(name)
            first.setFocus()

        return go

    pages = (
        ("place", tr("Page Place"), bench.place_panel.limit),
        ("sink", tr("Page Sink"), bench.sink_panel.spin),
        ("process", tr("Page Process"), bench.process_panel.alloy),
        ("check", tr("Page Check"), bench.check_panel.list),
        ("heat", tr("Page Heat"), bench.heat_panel.run_button),
    )
    return (
        Command(name="go_tree", text=tr("Job tree"), run=to_tree, keys="Alt+0"),
        *(
            Command(name=f"go_{name}", text=text, run=to_page(name, first), keys=f"Alt+{number}")
            for number, (name, text, first) in enumerate(pages, start=1)
        ),
        Command(name="go_view", text=tr("3-D view"), run=lambda _=False: bench.view.setFocus(), keys="Alt+6"),
    )
