"""Several parts in one window: the dock, the commands, files dropped on the window, and the warning in the view."""

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QObject

from app import messages
from app.commands import Command
from app.panels.parts_panel import PartsPanel
from app.parts_follower import PartsFollower
from app.placed_part import JOB_ENDING
from app.view.part_view import PartView
from core.part.more_parts import faces_of_parts

if TYPE_CHECKING:
    from app.workbench import Workbench


class PartsLink(QObject):
    """Draws parts that touch or are too near in the colour of the finding."""

    def __init__(self, follower: PartsFollower, view: PartView, parent: QObject) -> None:
        super().__init__(parent)
        self._follower, self._view = follower, view
        follower.changed.connect(self._show)

    def _show(self) -> None:
        apart, thing = self._follower.apart, self._view.scene.too_near
        if apart is None or not apart.level:
            if not thing.empty:
                thing.clear()
                self._view.changed()
            return
        ends = faces_of_parts(apart.part)
        faces = np.concatenate([np.arange(*ends[number]) for number in sorted(apart.level)])
        self._view.scene.show_too_near(apart.part, faces, "stop" if "stop" in apart.level.values() else "note")
        self._view.changed()


def make_parts_panel(bench: "Workbench") -> PartsPanel:
    """The panel with all that it moves; the follower becomes the workbench's."""
    follower = PartsFollower(bench.session, bench)
    bench.parts = follower
    PartsLink(follower, bench.view, bench)
    panel = PartsPanel(follower)
    panel.add_wanted.connect(lambda: ask_and_add(bench))
    follower.said.connect(lambda level, text: bench.message_bar.say(level, text))
    return panel


def ask_and_add(bench: "Workbench") -> None:
    """Ask for parts and put them beside those of the job; without a job, open one first."""
    if bench.session.part is None:
        bench.files.open()
        return
    paths = messages.ask_more_parts(bench.window, bench.settings.last_folder())
    if paths:
        bench.settings.set_last_folder(str(paths[0].absolute().parent))
        add_parts(bench, paths)


def add_parts(bench: "Workbench", paths: list[Path]) -> None:
    """Put parts beside those of the job and show the list of all."""
    bench.docks["parts"].show()
    bench.parts.add(paths)


def take_dropped(bench: "Workbench", paths: list[Path], *, add: bool) -> None:
    """Files dropped on the window. One is opened, or added when asked for; of several, all but the first are added."""
    parts = [path for path in paths if path.suffix.lower() != JOB_ENDING]
    if add and bench.session.part is not None and len(parts) == len(paths):
        add_parts(bench, parts)
        return
    first, *others = paths
    others = [path for path in others if path in parts]
    if others:

        def opened(_: str) -> None:
            bench.session.opened.disconnect(opened)
            add_parts(bench, others)

        bench.session.opened.connect(opened)
    bench.open_file(first)


def parts_commands(bench: "Workbench") -> tuple[Command, ...]:
    """Add a part, and the list of all."""
    tr = bench.tr

    def add(_: bool = False) -> None:
        ask_and_add(bench)

    return (
        Command(
            name="add_part",
            text=tr("&Add a part…"),
            run=add,
            keys="Ctrl+Shift+P",
            tip=tr("Put one more part on the plate"),
        ),
        Command(
            name="parts",
            text=tr("Parts on the plate"),
            run=lambda on: bench.show_help("parts", on),
            checkable=True,
            tip=tr("Place, turn, duplicate and remove parts; which are too near"),
        ),
    )
