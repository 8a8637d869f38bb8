"""The one job the window holds, and the earlier jobs that undo brings back."""

import time
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from core.job import Job

HISTORY_MAX = 500
MERGE_S = 1.0
"""Edits of the same field that follow each other faster than this are one step of undo."""


class JobState(QObject):
    """Holds a frozen Job; every change replaces it, keeps the old one and emits `changed` once."""

    changed = Signal()
    """The job is another one now: edited, undone, redone or opened."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._job = Job()
        self._saved: Job = self._job
        self._undo: list[tuple[Job, str]] = []
        self._redo: list[tuple[Job, str]] = []
        self._last_set_s = 0.0
        self.file: Path | None = None

    @property
    def job(self) -> Job:
        return self._job

    @property
    def modified(self) -> bool:
        """True when the job differs from what was opened or saved last."""
        return self._job != self._saved

    @property
    def undo_name(self) -> str:
        """Name of the step that undo takes back; empty when there is none."""
        return self._undo[-1][1] if self._undo else ""

    @property
    def redo_name(self) -> str:
        """Name of the step that redo brings back; empty when there is none."""
        return self._redo[-1][1] if self._redo else ""

    def set(self, job: Job, step_name: str, *, merge: bool = False) -> None:
        """Take the next job; the one before it can be brought back under the step's name.

        merge: join with the last step when that has the same name and is younger than MERGE_S.
        """
        if job == self._job:
            return
        now = time.monotonic()
        if not (merge and self.undo_name == step_name and not self._redo and now - self._last_set_s < MERGE_S):
            self._undo.append((self._job, step_name))
            del self._undo[:-HISTORY_MAX]
        self._last_set_s = now
        self._redo.clear()
        self._job = job
        self.changed.emit()

    def undo(self) -> None:
        """Go back one step."""
        if self._undo:
            job, name = self._undo.pop()
            self._redo.append((self._job, name))
            self._job = job
            self.changed.emit()

    def redo(self) -> None:
        """Go forward one step."""
        if self._redo:
            job, name = self._redo.pop()
            self._undo.append((self._job, name))
            self._job = job
            self.changed.emit()

    def open(self, job: Job, file: Path | None, *, saved: bool = True) -> None:
        """Start over with a job just opened; its history is empty."""
        self._job = job
        self._saved = job if saved else Job()
        self._undo.clear()
        self._redo.clear()
        self.file = file
        self.changed.emit()

    def mark_saved(self, file: Path) -> None:
        """The job as it is now was written to this file."""
        self.file = file
        self._saved = self._job
        self.changed.emit()
