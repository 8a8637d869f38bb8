"""What all comparisons after the build share: they belong to a job and to the very part that is shown."""

from collections.abc import Callable, Hashable
from typing import TYPE_CHECKING, Generic, TypeVar, Union

import numpy as np
from PySide6.QtCore import QObject

from app.background import Background
from app.placed_part import placed_key
from app.run_follower import RunFollower
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


class AfterBuildFollower(RunFollower, Generic[Asked, Result]):
    """Holds the comparison made last."""

    def __init__(self, session: Session, background: Background, parent: QObject | None = None) -> None:
        super().__init__(session, background, parent)
        self.result: Result | None = None
        self.asked: Asked | None = None
        """What the comparison was made from."""
        self._same_as: object = None

    def key_of(self, job: Job) -> Hashable:
        """The placed part and its patches, and which of them have which sink."""
        return placed_key(job), tuple((pick.runs, pick.gap, pick.sink) for pick in job.picks), job.gap, job.sink

    def answered_job(self) -> Job | None:
        return self.result.job if self.result is not None else None

    @property
    def is_current(self) -> bool:
        """True when the comparison belongs to the job as it is and to the part shown."""
        return self.result is not None and self._key == self.key_of(self._session.job) and self._is_part_shown()

    def _is_part_shown(self) -> bool:
        """The file of a part may change while the job stays, so corners are compared; once per part."""
        part = self._session.part
        if self.result is None or part is None:
            return False
        if part is not self._same_as and np.array_equal(part.corners_mm, self.result.part.corners_mm):
            self._same_as = part
        return part is self._same_as

    def refusal(self) -> str:
        if self._session.placed is None:
            return self.tr("Open the part or job that was built first.")
        return super().refusal()

    def compare(self, title: str, asked: Asked, made: Callable[[Job, Part, GoesOn], Result]) -> None:
        """Run off the window's thread what makes a comparison of the job as it is with its part."""

        def both(job: Job, part: Part, goes_on: GoesOn) -> tuple[Asked, Result]:
            return asked, made(job, part, goes_on)

        self.start(title, both)

    def take(self, answer: tuple[Asked, Result]) -> None:
        self.asked, self.result = answer
        self._same_as = self.result.part

    def drop(self) -> None:
        self.result, self.asked, self._same_as = None, None, None
