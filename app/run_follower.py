"""What runs on the job's part have in common: in the background, tied to a job, dropped with its part."""

from collections.abc import Callable, Hashable
from typing import Any

from PySide6.QtCore import QObject, Signal

from app.background import Background
from app.folder_writer import FolderWriter
from app.placed_part import placed_key
from app.session import Session
from core.job import Job
from core.part.part import Part
from core.progress import GoesOn


class RunFollower(FolderWriter):
    """Knows what the last run was for. A class of it says what a run depends on, keeps its answer and lets it go."""

    changed = Signal()
    """An answer came, a run began or ended, or what is shown became out of date or current again."""
    kind = ""
    """Of the work in the background."""

    def __init__(self, session: Session, background: Background, parent: QObject | None = None) -> None:
        super().__init__(background, parent)
        self._session = session
        self.wrong = ""
        """Why the last run gave nothing; empty when it did, or was stopped."""
        self._key: Hashable = None
        """Of the job that the answer at hand belongs to."""
        self._running_key: Hashable = None
        session.state.changed.connect(self._follow)
        session.patches_changed.connect(self._follow)

    def key_of(self, job: Job) -> Hashable:
        """What an answer depends on."""
        raise NotImplementedError

    def answered_job(self) -> Job | None:
        """The job of the answer at hand; None without one."""
        raise NotImplementedError

    def take(self, answer: Any) -> None:
        """Keep an answer."""
        raise NotImplementedError

    def drop(self) -> None:
        """Let the answer at hand go."""
        raise NotImplementedError

    @property
    def running(self) -> bool:
        return self._background.busy(self.kind)

    def refusal(self) -> str:
        """Why nothing can be run now; empty when it can."""
        placed = self._session.placed
        if placed is None:
            return self.tr("Open a part first.")
        return "" if placed.key == placed_key(self._session.job) else self.tr("The part is being placed; a moment.")

    def start(self, title: str, made: Callable[[Job, Part, GoesOn], Any]) -> None:
        """Run off the window's thread what makes an answer for the job as it is and its part."""
        placed = self._session.placed
        if (refusal := self.refusal()) or placed is None:
            self._refused(refusal)
            return
        job, part = self._session.job, placed.part
        key = self.key_of(job)

        def work(goes_on: GoesOn) -> tuple[Hashable, Any]:
            return key, made(job, part, goes_on)

        self._running_key, self.wrong = key, ""
        self._background.start(
            self.kind,
            title,
            work,
            done=self._done,
            refused=self._refused,
            failed=self.failed.emit,
            ended=self._ended,
        )
        self.changed.emit()

    def stop(self) -> None:
        """Stop at the next report; an earlier answer stays."""
        self._background.stop(self.kind)
        self.changed.emit()

    def _done(self, answer: tuple[Hashable, Any]) -> None:
        self._key = answer[0]
        self.take(answer[1])

    def _refused(self, text: str) -> None:
        self.wrong = text
        self.refused.emit(text)

    def _ended(self, work: object) -> None:
        self.changed.emit()

    def _follow(self) -> None:
        """The job or the part changed: a run that no longer fits is stopped, an answer for another part dropped."""
        job, before = self._session.job, self.answered_job()
        if before is not None and before.part_file != job.part_file:
            self.drop()
        if self.running and self._running_key != self.key_of(job):
            self._background.stop(self.kind)
        self.changed.emit()
