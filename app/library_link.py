"""Brings the user's library into the window: its dock, its command, and where from at every page that shows numbers."""

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject
from PySide6.QtWidgets import QFileDialog, QLabel, QWidget

from app.commands import Command
from app.job_state import JobState
from app.library_follower import IN_JOB, LibraryFollower
from app.panels.fields import Section, plain_text
from app.panels.library_panel import LibraryPanel
from core.heat.own_alloy import OVER_TEMPERATURE
from core.where_from import alloy_words, machine_words, origin_words

if TYPE_CHECKING:
    from app.workbench import Workbench

ALLOY_KEYS = ("solidus_k", "liquidus_k", "latent_heat_j_kg", *OVER_TEMPERATURE)


class Origins(QObject):
    """Sets the tip of a widget, when it is about to be read, to where values of the job come from."""

    def __init__(self, state: JobState, widget: QWidget, keys: tuple[str, ...]) -> None:
        super().__init__(widget)
        self._state, self._keys, self._own = state, keys, widget.toolTip()
        widget.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ToolTip and isinstance(watched, QWidget):
            words = origin_words(self._state.job, *self._keys)
            watched.setToolTip("\n".join(text for text in (self._own, words) if text))
        return super().eventFilter(watched, event)


class LibraryLink(QObject):
    """One per workbench; the panel's follower, the files it asks for, and a line on every page with numbers."""

    def __init__(self, bench: "Workbench") -> None:
        super().__init__(bench)
        self._bench = bench
        self.follower = LibraryFollower(bench.state, bench)
        self.panel = LibraryPanel(self.follower)
        self.panel.import_wanted.connect(self._ask_import)
        self.panel.export_wanted.connect(self._ask_export)
        self.follower.said.connect(lambda *words: bench.message_bar.say(*words))
        bench.process_panel.follow_library(self.follower)
        self.lines: dict[str, QLabel] = {}
        gap = next(s for s in bench.sink_panel.findChildren(Section) if s.isAncestorOf(bench.sink_panel.verdict))
        for name, box, keys in (
            ("process", bench.process_panel.alloy_section, ALLOY_KEYS),
            ("sink", gap, ("fuse_limit", "heat_limit", "powder_w_mk", "absorptivity")),
            ("heat", bench.heat_panel.known, (*ALLOY_KEYS[3:], "powder_w_mk", "absorptivity", "heat_limit")),
        ):
            self.lines[name] = self._line(box, keys)
        for name, field in bench.process_panel.sourced_fields.items():
            Origins(bench.state, field, (name,))
        bench.state.changed.connect(self._show)
        self.lines["process"].installEventFilter(self)
        self._show()

    def _line(self, box: Section, keys: tuple[str, ...]) -> QLabel:
        line = plain_text(parent=box)
        line.setOpenExternalLinks(False)
        line.linkActivated.connect(lambda _: self.show_origins())
        box.body.addWidget(line)
        Origins(self._bench.state, line, keys)
        return line

    def show_origins(self) -> None:
        """Open the dock at what the job uses."""
        self._bench.show_help("library", True)
        self.follower.look_at(IN_JOB)

    def _show(self) -> None:
        job, tr = self._bench.state.job, self.tr
        machine = machine_words(job)
        about = {
            "process": f"{alloy_words(job)}. {machine}".strip(),
            "sink": tr("Limits of {0}, powder and laser.").format(job.alloy),
            "heat": tr("Values of {0}, powder and laser.").format(job.alloy),
        }
        for name, line in self.lines.items():
            words = about[name].replace("&", "&amp;").replace("<", "&lt;")
            colour = line.palette().windowText().color().name()  # the desktop's link colour is lost on dark
            line.setText(f"{words} <a href='origins' style='color: {colour}'>{tr('Where from')}</a>")

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.PaletteChange:
            self._show()
        return super().eventFilter(watched, event)

    def _ask_import(self) -> None:
        bench = self._bench
        kinds = f"{self.tr('Library files')} (*.json)"
        name, _ = QFileDialog.getOpenFileName(
            bench.window, self.tr("Import an alloy or a machine setting"), bench.settings.last_folder(), kinds
        )
        if name:
            self.follower.take_in(Path(name))

    def _ask_export(self) -> None:
        bench, file = self._bench, self.follower.file
        if file is None:
            return
        kinds = f"{self.tr('Library files')} (*.json)"
        proposed = str(Path(bench.settings.last_folder()) / f"{file.name}.json")
        name, _ = QFileDialog.getSaveFileName(bench.window, self.tr("Export with all revisions"), proposed, kinds)
        if name:
            self.follower.give_out(Path(name))


def library_link(bench: "Workbench") -> LibraryLink:
    """The workbench's link, made when it is first asked for."""
    found = bench.findChild(LibraryLink)
    return found if isinstance(found, LibraryLink) else LibraryLink(bench)


def library_commands(bench: "Workbench") -> tuple[Command, ...]:
    """Opens and closes the dock."""
    tr = bench.tr
    return (
        Command(
            name="library",
            text=tr("Materials and machines"),
            run=lambda on: bench.show_help("library", on),
            checkable=True,
            tip=tr("Own alloys and machine settings, and where every value comes from"),
        ),
    )
