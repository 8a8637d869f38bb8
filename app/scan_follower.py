"""Lays a scan on the job's part in the background, and keeps what came of it while it fits the job."""

from collections.abc import Hashable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QObject, Signal

from app.background import Background
from app.folder_writer import FolderWriter
from app.images_follower import images_key
from app.placed_part import placed_key
from app.session import Session
from core.progress import GoesOn

if TYPE_CHECKING:
    from core.run_scan import ScanResult

KIND = "scan"


@dataclass(frozen=True, kw_only=True)
class ScanAsked:
    """Which mesh to lay on the part and how. units: None takes the file's, else mm. pairs: None finds it by itself."""

    mesh: Path
    units: str | None
    pairs: Path | None
    reach_mm: float


class ScanFollower(FolderWriter):
    """Holds the comparison made last; a job it doesn't fit makes it out of date, another part drops it."""

    changed = Signal()
    """A comparison came, a run began or ended, or what is shown became out of date or current again."""

    def __init__(self, session: Session, background: Background, parent: QObject | None = None) -> None:
        super().__init__(background, parent)
        self._session = session
        self.result: ScanResult | None = None
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
        return self.result is not None and self._key == images_key(self._session.job) and self._is_part_shown()

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
        return self._background.busy(KIND)

    def refusal(self) -> str:
        """Why a scan can't be compared now; empty when it can."""
        placed = self._session.placed
        if placed is None:
            return self.tr("Open the part or job that was built first.")
        return "" if placed.key == placed_key(self._session.job) else self.tr("The part is being placed; a moment.")

    def run(self, asked: ScanAsked) -> None:
        """Read the scan, lay it on the part and measure it, off the window's thread."""
        placed = self._session.placed
        if (refusal := self.refusal()) or placed is None:
            self._refused(refusal)
            return
        job, part = self._session.job, placed.part

        def work(goes_on: GoesOn) -> "tuple[Hashable, ScanResult]":
            from core.run_scan import run_scan  # loads what the picture doesn't need

            return images_key(job), run_scan(
                job, asked.mesh, goes_on, units=asked.units, pairs=asked.pairs, reach_mm=asked.reach_mm, part=part
            )

        self._running_key, self.wrong = images_key(job), ""
        self._background.start(
            KIND,
            self.tr("Comparing the scan"),
            work,
            done=self._done,
            refused=self._refused,
            failed=self.failed.emit,
            ended=self._ended,
        )
        self.changed.emit()

    def stop(self) -> None:
        """Stop at the next report; an earlier comparison stays."""
        self._background.stop(KIND)
        self.changed.emit()

    def _done(self, answer: "tuple[Hashable, ScanResult]") -> None:
        self._key, self.result = answer
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
            self.result, self._same_as = None, None
        if self.running and self._running_key != images_key(job):
            self._background.stop(KIND)
        self.changed.emit()

    def export(self, folder: Path) -> None:
        """Write values, tables and the deviations of all faces into a folder in the background."""
        result = self.result
        if result is None or not self.is_current:
            self.refused.emit(self.tr("The scan was not compared for the job as it is; compare it, then export."))
            return

        def write(goes_on: GoesOn) -> tuple[str, ...]:
            from core.run_scan import write_scan

            return write_scan(result, folder)

        self.write_into(folder, "export scan", write)
