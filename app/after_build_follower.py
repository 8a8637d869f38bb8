"""What all comparisons after the build share: run in the background, belong to a job, and be out of date otherwise."""

from collections.abc import Callable, Hashable
from typing import TYPE_CHECKING, Generic, TypeVar, Union

import numpy as np
from PySide6.QtCore import QObject, Signal

from app.background import Background
from app.folder_writer import FolderWriter
from app.placed_part import placed_key
from app.session import Session
from core.job import Job
from core.part.part import Part
from core.progress import GoesOn

if TYPE_CHECKING:
    from core.run_images import ImagesResult
    from core.run_scan import ScanResult

Asked = TypeVar("Asked")
"""What a comparison is made from."""
Result = TypeVar("Result", bound=Union["ImagesResult", "ScanResult"])


def compared_key(job: Job) -> Hashable:
    """What a comparison depends on: the placed part and its patches, and which of them have which sink."""
    return placed_key(job), tuple((pick.runs, pick.gap, pick.sink) for pick in job.picks), job.gap, job.sink


class AfterBuildFollower(FolderWriter, Generic[Asked, Result]):
    """Holds the comparison made last; a job it doesn't fit makes it out of date, another part drops it."""

    changed = Signal()
    """A comparison came, a run began or ended, or what is shown became out of date or current again."""
    kind = ""
    """Of the work in the background."""

    def __init__(self, session: Session, background: Background, parent: QObject | None = None) -> None:
        super().__init__(background, parent)
        self._session = session
        self.result: Result | None = None
        self.asked: Asked | None = None
        """What the comparison was made from."""
        self.wrong = ""
        """Why the last run gave nothing; empty when it did, or was stopped."""
        self._key: Hashable = None
        self._running_key: Hashable = None
        self._same_as: object = None
        session.state.changed.connect(self._follow)
        session.patches_changed.connect(self._follow)

    @property
    def is_current(self) -> bool:
        """True when the comparison belongs to the job as it is and to the part shown."""
        return self.result is not None and self._key == compared_key(self._session.job) and self._is_part_shown()

    def _is_part_shown(self) -> bool:
        """The file of a part may change while the job stays, so corners are compared; once per part."""
        part = self._session.part
        if self.result is None or part is None:
            return False
        if part is not self._same_as and np.array_equal(part.corners_mm, self.result.part.corners_mm):
            self._same_as = part
        return part is self._same_as

    @property
    def running(self) -> bool:
        return self._background.busy(self.kind)

    def refusal(self) -> str:
        """Why nothing can be compared now; empty when it can."""
        placed = self._session.placed
        if placed is None:
            return self.tr("Open the part or job that was built first.")
        return "" if placed.key == placed_key(self._session.job) else self.tr("The part is being placed; a moment.")

    def compare(self, title: str, asked: Asked, made: Callable[[Job, Part, GoesOn], Result]) -> None:
        """Run off the window's thread what makes a comparison of the job as it is with its part."""
        placed = self._session.placed
        if (refusal := self.refusal()) or placed is None:
            self._refused(refusal)
            return
        job, part = self._session.job, placed.part

        def work(goes_on: GoesOn) -> tuple[Hashable, Asked, Result]:
            return compared_key(job), asked, made(job, part, goes_on)

        self._running_key, self.wrong = compared_key(job), ""
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
        """Stop at the next report; an earlier comparison stays."""
        self._background.stop(self.kind)
        self.changed.emit()

    def _done(self, answer: tuple[Hashable, Asked, Result]) -> None:
        self._key, self.asked, self.result = answer
        self._same_as = self.result.part

    def _refused(self, text: str) -> None:
        self.wrong = text
        self.refused.emit(text)

    def _ended(self, work: object) -> None:
        self.changed.emit()

    def _follow(self) -> None:
        """The job or the part changed: a run that no longer fits is stopped."""
        job = self._session.job
        if self.result is not None and self.result.job.part_file != job.part_file:
            self.result, self.asked, self._same_as = None, None, None
        if self.running and self._running_key != compared_key(job):
            self._background.stop(self.kind)
        self.changed.emit()
