"""What the window knows of the user's library: what is looked at, what isn't saved yet, and what is done with it."""

from collections.abc import Callable
from datetime import date
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from app.job_state import JobState
from core.heat.library_file import Held, LibraryFile, Revision
from core.heat.machine_setting import MachineSetting, setting_of
from core.heat.materials import alloy, alloy_names, built_in, copy_of
from core.heat.own_alloy import OwnAlloy
from core.heat.user_library import Listing, found, give_out, keep, keep_new, listing, take_in
from core.heat.value_rows import ValueRow, value_rows, with_row, with_row_added, without_row
from core.job import with_alloy, with_machine
from core.refusal import Refusal

IN_JOB = ""
"""Name of what the job uses, which is looked at first."""


class LibraryFollower(QObject):
    """Holds a name and, while one of the user's own is edited, a draft; every refusal is said, nothing is lost."""

    changed = Signal()
    """Another thing is looked at, the draft is another one, or the library has something new."""
    said = Signal(str, str, str)
    """Level, sentence, details."""

    def __init__(self, state: JobState, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.state = state
        self.listing = Listing()
        self.name = IN_JOB
        self.revision: int | None = None
        """An older one that is looked at; None is the newest."""
        self.draft: Held | None = None
        state.changed.connect(self.changed)

    @property
    def file(self) -> LibraryFile | None:
        """The user's own thing that is looked at."""
        return next((file for file in self.listing.files if file.name == self.name), None)

    @property
    def shown_revision(self) -> Revision | None:
        """The revision looked at."""
        if self.file is None:
            return None
        wanted = (r for r in self.file.revisions if r.held.revision == self.revision)
        return next(wanted, self.file.revisions[0])

    @property
    def held(self) -> Held | None:
        """The values looked at, with the changes not saved yet; None while the job's are."""
        if self.draft is not None:
            return self.draft
        if self.shown_revision is not None:
            return self.shown_revision.held
        known = built_in(self.name) if self.name else None
        return None if known is None else copy_of(alloy(known), f"{known} as built in")

    @property
    def editable(self) -> bool:
        """Only the newest revision of something of the user's own can be changed."""
        return self.file is not None and self.shown_revision == self.file.revisions[0]

    @property
    def alloys(self) -> tuple[str, ...]:
        """Names of all alloys, built in and own."""
        return (*alloy_names(), *(file.name for file in self.listing.of_kind("alloy")))

    def look_again(self) -> None:
        """Read the library anew; another window or the command line may have changed it."""
        self.listing = listing()
        if self.name not in (IN_JOB, *alloy_names()) and self.file is None:
            self.name, self.draft, self.revision = IN_JOB, None, None
        self.changed.emit()
        for problem in self.listing.problems:
            self.said.emit("note", problem, "")

    def look_at(self, name: str, revision: int | None = None) -> bool:
        """Look at something else; False, with a sentence, while changes to this one are not saved."""
        if (name, revision) != (self.name, self.revision) and self.draft is not None:
            self.said.emit("note", self.tr("Save the changes as a revision, or drop them, before looking further."), "")
            self.changed.emit()
            return False
        self.name, self.revision = name, revision
        self.changed.emit()
        return True

    def rows(self) -> tuple[ValueRow, ...]:
        """Of what is looked at; empty while the job's values are."""
        return () if self.held is None else value_rows(self.held)

    def change(self, old: ValueRow, new: ValueRow) -> None:
        """Change one value of the draft. Raises Refusal."""
        self._edit(lambda held: with_row(held, old, new))

    def add(self, new: ValueRow) -> None:
        """One more row in a table. Raises Refusal."""
        self._edit(lambda held: with_row_added(held, new))

    def remove(self, old: ValueRow) -> None:
        """One row less in a table. Raises Refusal."""
        self._edit(lambda held: without_row(held, old))

    def _edit(self, change: Callable[[Held], Held]) -> None:
        if not self.editable or self.held is None:
            raise Refusal(self.tr("Built-in values and older revisions stay as they are; copy them under a new name."))
        draft = change(self.held)
        if isinstance(draft, OwnAlloy):
            alloy(draft)
        self.draft = None if self.file is not None and draft == self.file.newest else draft
        self.changed.emit()

    def drop(self) -> None:
        """Forget the changes not saved."""
        self.draft = None
        self.changed.emit()

    def save(self, note: str = "") -> None:
        """Keep the draft as a new revision."""
        draft = self.draft
        if draft is not None:
            self._do(lambda: self._kept(keep(draft, date.today(), note)))

    def copy(self, name: str) -> None:
        """Begin an alloy of the user's own from the one looked at, or a machine setting from what the job has set."""
        held, job = self.held, self.state.job
        if self.draft is not None:
            self.said.emit("note", self.tr("Save the changes as a revision, or drop them, before copying."), "")
            return

        def made() -> Held:
            if isinstance(held, OwnAlloy):
                source = self.name if self.file is None else held
                return copy_of(alloy(source), name)
            if isinstance(held, MachineSetting):
                raise Refusal(self.tr("Apply the setting, change it in the job, then keep the job's under a new name."))
            origin = Path(job.part_file).name or self.tr("the window")
            return setting_of(name, job.laser, job.plate, job.powder, f"set in the job of {origin}"[:200])

        self._do(lambda: self._kept(keep_new(made(), date.today())))

    def take_in(self, path: Path) -> None:
        """Import a file."""

        def work() -> str:
            file, sentence = take_in(path, date.today())
            self.listing = listing()
            if self.draft is None:
                self.name, self.revision = file.name, None
            return sentence

        self._do(work)

    def give_out(self, path: Path) -> None:
        """Export what is looked at; the dialog has asked whether a file may be replaced."""
        file = self.file
        if file is not None:

            def work() -> str:
                give_out(file, path, replacing=True)
                return self.tr("{0} is written to {1}, with all its revisions.").format(file.name, str(path))

            self._do(work)

    def apply(self) -> None:
        """Take what is looked at, as saved, into the job: one step of undo."""
        revision = self.shown_revision
        held: Held | str = self.name if revision is None else revision.held
        if self.draft is not None:
            self.said.emit("note", self.tr("Save the changes as a revision before applying it."), "")
            return

        def work() -> str:
            job = self.state.job
            if isinstance(held, MachineSetting):
                self.state.set(with_machine(job, held), self.tr("Apply {0}").format(held.name))
            else:
                self.state.set(with_alloy(job, held), self.tr("Set alloy to {0}").format(self.name))
            return self.tr("{0} is in the job now.").format(self.name)

        self._do(work)

    def set_alloy(self, name: str) -> None:
        """The job in an alloy by its name, the newest revision of one of the user's own. Raises Refusal."""
        known = built_in(name)
        file = None if known else found(name)
        job = self.state.job
        if known is None and file is None and name == job.alloy:
            return  # an alloy that came with the job and isn't in this library
        metal = file.newest if file is not None and isinstance(file.newest, OwnAlloy) else name
        self.state.set(with_alloy(job, metal), self.tr("Set alloy to {0}").format(name))

    def _kept(self, file: LibraryFile) -> str:
        self.listing = listing()
        self.name, self.revision, self.draft = file.name, None, None
        return self.tr("{0} is in the library as revision {1}.").format(file.name, file.newest.revision)

    def _do(self, work: Callable[[], str]) -> None:
        try:
            self.said.emit("ok", work(), "")
        except Refusal as refusal:
            self.said.emit("stop", str(refusal), "")
        self.changed.emit()
