"""Brings the orientation study into the window: its panel, its commands, the marked faces in the view."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from app import messages
from app.commands import Command, Commands
from app.orient_follower import OrientFollower
from app.orient_tool import NeverTool
from app.panels.orient_panel import OrientPanel
from app.view.meshes import triangle_mesh
from app.view.thing import Thing

if TYPE_CHECKING:
    from app.workbench import Workbench

MARKED = "#c75b9b"
"""Faces that must never look down; on no scale of the view."""


class OrientLink(QObject):
    """One per workbench; the panel's follower, the tool and the drawing of what is marked."""

    def __init__(self, bench: "Workbench") -> None:
        super().__init__(bench)
        self._bench = bench
        self.follower = OrientFollower(bench.session, bench.background, bench)
        self.panel = OrientPanel(self.follower)
        self.tool = NeverTool(bench.view)
        self.tool.clicked.connect(self.follower.mark_side)
        self.tool.said.connect(lambda text: bench.read_out.setText(text))
        self._thing = Thing(bench.view.renderer, MARKED, towards_eye=1.5)
        self._drawn: tuple[object, ...] = ()
        self.follower.changed.connect(self._draw)
        self.follower.exported.connect(lambda *words: bench.files.tell_exported(*words))
        self.follower.failed.connect(bench.session.tell_failure)
        self.panel.results.export_wanted.connect(self._export)
        bench.session.part_changed.connect(self._draw)

    def _draw(self) -> None:
        """Faces that must never look down, in their own colour over the part's."""
        session = self._bench.session
        part, runs = session.part, session.job.never_downskin
        key = (part, runs)
        if key == self._drawn:
            return
        self._drawn = key
        faces = self.follower.never_faces
        if part is None or not len(faces) or int(faces[-1]) >= part.n_faces:
            self._thing.clear()
        else:
            self._thing.show(triangle_mesh(part.vertices_mm, part.triangles[faces]))
        self._bench.view.changed()

    def _export(self) -> None:
        bench = self._bench
        title = bench.tr("Export the orientations")
        folder = messages.ask_export_folder(bench.window, bench.settings.last_folder(), title)
        if folder is not None:
            bench.settings.set_last_folder(str(folder))
            self.follower.export(folder)

    def mark(self, on: bool) -> None:
        """Take the tool into the hand or put it down."""
        view = self._bench.view
        if on and self._bench.session.part is not None:
            view.take(self.tool)
        elif view.tool is self.tool:
            view.take(None)

    def follow(self, commands: Commands) -> None:
        """Keep marks at the commands in step with the dock, the tool and the job."""
        bench, actions = self._bench, commands.actions
        bench.docks["orient"].visibilityChanged.connect(actions["orient"].setChecked)
        self.panel.mark_by(actions["never_downskin"])

        def show() -> None:
            job = bench.session.job
            actions["never_downskin"].setEnabled(bench.session.part is not None)
            actions["never_picked"].setEnabled(bool(job.picks))
            actions["never_clear"].setEnabled(bool(job.never_downskin))

        bench.view.tool_changed.connect(lambda: actions["never_downskin"].setChecked(bench.view.tool is self.tool))
        self.follower.changed.connect(show)
        show()


def orient_link(bench: "Workbench") -> OrientLink:
    """The workbench's own, made when asked for first."""
    found = bench.findChild(OrientLink)
    return found if isinstance(found, OrientLink) else OrientLink(bench)


def orient_commands(bench: "Workbench") -> tuple[Command, ...]:
    """The dock, and what is never to be downskin: by clicks, by what is picked, cleared."""
    tr, link = bench.tr, orient_link(bench)
    return (
        Command(
            name="orient",
            text=tr("Orientation study"),
            run=lambda on: bench.show_help("orient", on),
            keys="Ctrl+Shift+O",
            checkable=True,
            tip=tr("Compare many orientations of the part"),
        ),
        Command(
            name="never_downskin",
            text=tr("Never downskin: mark by clicks"),
            run=link.mark,
            keys="N",
            checkable=True,
            tip=tr("Click sides, such as sealing faces, that no orientation may turn down"),
        ),
        Command(
            name="never_picked",
            text=tr("Never downskin: picked faces"),
            run=link.follower.mark_picks,
            tip=tr("No orientation may turn the picked faces down"),
        ),
        Command(name="never_clear", text=tr("Never downskin: clear"), run=link.follower.clear_never),
    )


ORIENT_COMMANDS = ("orient", "never_downskin", "never_picked", "never_clear")
