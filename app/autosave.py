"""Keeps a copy of unsaved changes, so that a crash or a kill loses little, and finds the copies a crash left."""

import contextlib
import os
import time
from pathlib import Path

from PySide6.QtCore import QLockFile, QObject, QStandardPaths, QTimer, Signal

from app.job_state import JobState
from core.job_file import save_job
from core.refusal import Refusal
from core.write_whole import temporary_name

SAVE_AFTER_MS = 2000
SLOTS = 8
KEEP_DAYS, MOST_LEFT = 30, 20
"""Copies nobody brought back are removed after so many days, or when there are more."""


def autosave_folder() -> Path:
    """Where the copies lie."""
    place = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.AppLocalDataLocation)
    return Path(place) / "unsaved"


def _written_s(copy: Path) -> float:
    """When a copy was written; another window may have removed it meanwhile."""
    try:
        return copy.stat().st_mtime
    except OSError:
        return 0.0


class Autosave(QObject):
    """Writes the job two seconds after a change; the copy goes when the job is saved or the window closes in order.

    Each open window holds one locked slot. A slot that can be locked but still has a copy is what a crash left; it
    is moved aside and stays until it was brought back and its changes are kept anew.
    """

    said = Signal(str, str, str)
    """Level, sentence, details: the copy could not be written. Said once until it works again."""

    def __init__(self, state: JobState, folder: Path, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._state, self._folder = state, folder
        self._file: Path | None = None
        self._lock: QLockFile | None = None
        self._brought_back: Path | None = None
        self._failed = False
        self._timer = QTimer(self, interval=SAVE_AFTER_MS, singleShot=True)
        self._timer.timeout.connect(self.write)
        with contextlib.suppress(OSError):
            self._take_slot()
        state.changed.connect(self._changed)

    @property
    def left_over(self) -> Path | None:
        """The newest copy that a crash left and nobody brought back yet."""
        copies = [copy for copy in self._copies("left") if copy != self._brought_back]
        return max(copies, key=_written_s, default=None)

    def _copies(self, kind: str) -> list[Path]:
        return sorted(self._folder.glob(f"{kind}-*.underfin"))

    def _take_slot(self) -> None:
        """Lock the first free slot; move aside what crashes left in it and in all others."""
        self._folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        self._folder.chmod(0o700)
        newest_first = sorted(self._copies("left"), key=_written_s, reverse=True)
        for number, copy in enumerate(newest_first, start=1):
            if number > MOST_LEFT or time.time() - _written_s(copy) > KEEP_DAYS * 86400:
                copy.unlink(missing_ok=True)
        for number in range(1, SLOTS + 1):
            lock = QLockFile(str(self._folder / f"job-{number}.lock"))
            if not lock.tryLock(0):
                continue
            file = self._folder / f"job-{number}.underfin"
            temporary_name(file).unlink(missing_ok=True)
            if file.exists():
                os.replace(file, self._place_aside())
            if self._lock is None:
                self._lock, self._file = lock, file
            else:
                lock.unlock()

    def _place_aside(self) -> Path:
        taken = {copy.name for copy in self._copies("left")}
        number = next(n for n in range(1, len(taken) + 2) if f"left-{n}.underfin" not in taken)
        return self._folder / f"left-{number}.underfin"

    def bring_back(self, copy: Path) -> None:
        """This copy was opened; it is removed once its changes are kept anew."""
        self._brought_back = copy

    def _changed(self) -> None:
        if self._state.modified and self._state.job.part_file:
            if not self._timer.isActive():  # else one who never rests for two seconds would lose everything
                self._timer.start()
        else:
            self._timer.stop()
            self._remove()

    def write(self) -> None:
        """Write the copy now."""
        if self._file is None or not self._state.modified:
            return
        try:
            save_job(self._state.job, self._file)
        except Refusal as refusal:
            if not self._failed:
                self._failed = True
                text = self.tr("Changes can't be kept safe from a crash; save the job yourself now and then.")
                self.said.emit("note", text, str(refusal))
            return
        self._failed = False
        self._forget_brought_back()

    def _forget_brought_back(self) -> None:
        if self._brought_back is not None:
            with contextlib.suppress(OSError):
                self._brought_back.unlink(missing_ok=True)
            self._brought_back = None

    def _remove(self) -> None:
        if self._file is not None:
            with contextlib.suppress(OSError):
                self._file.unlink(missing_ok=True)

    def close(self) -> None:
        """The window closes in order: nothing is left to bring back."""
        self._timer.stop()
        self._remove()
        if self._lock is not None:
            self._lock.unlock()
