"""Keeps a copy of unsaved changes, so that a crash or a power cut loses little."""

from pathlib import Path

from PySide6.QtCore import QLockFile, QObject, QStandardPaths, QTimer

from app.job_state import JobState
from core.job_file import save_job
from core.refusal import Refusal

SAVE_AFTER_MS = 4000
SLOTS = 8


def autosave_folder() -> Path:
    """Where the copies lie."""
    place = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.AppLocalDataLocation)
    return Path(place) / "unsaved"


class Autosave(QObject):
    """Writes the job a few seconds after a change; the copy goes when the job is saved or the window closes.

    Each open window holds one locked slot. A slot that can be locked but still has a copy is what a crash left.
    """

    def __init__(self, state: JobState, folder: Path, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._state = state
        self._file: Path | None = None
        self._lock: QLockFile | None = None
        self.left_over: Path | None = None
        """Copy that an earlier start could not remove; the engineer may bring it back."""
        self._timer = QTimer(self, interval=SAVE_AFTER_MS, singleShot=True)
        self._timer.timeout.connect(self.write)
        self._take_slot(folder)
        state.changed.connect(self._changed)

    def _take_slot(self, folder: Path) -> None:
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError:
            return
        for number in range(1, SLOTS + 1):
            lock = QLockFile(str(folder / f"job-{number}.lock"))
            if lock.tryLock(0):
                self._lock, self._file = lock, folder / f"job-{number}.underfin"
                if self._file.exists():
                    self.left_over = folder / f"left-{number}.underfin"
                    self._file.replace(self.left_over)
                return

    def _changed(self) -> None:
        if self._state.modified and self._state.job.part_file:
            self._timer.start()
        else:
            self._timer.stop()
            self._remove()

    def write(self) -> None:
        """Write the copy now; a full disk is no reason to disturb the work."""
        if self._file is not None and self._state.modified:
            try:
                save_job(self._state.job, self._file)
            except Refusal:
                return

    def _remove(self) -> None:
        if self._file is not None:
            self._file.unlink(missing_ok=True)

    def close(self) -> None:
        """The window closes in order: nothing is left to bring back."""
        self._timer.stop()
        self._remove()
        if self._lock is not None:
            self._lock.unlock()
