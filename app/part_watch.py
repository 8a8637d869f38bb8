"""Notices that the file of the open part changed or went away, and offers to read it again."""

from pathlib import Path

from PySide6.QtCore import QFileSystemWatcher, QObject, Qt, QTimer, Signal
from PySide6.QtGui import QGuiApplication

from app.session import Session
from core.job_file import file_sha256
from core.progress import GoesOn

LOOK_AFTER_MS = 600
"""A program that writes a file changes it many times; it is looked at once, when that has rested."""
Facts = tuple[int, int, int] | None


def facts_of(path: Path) -> Facts:
    """Time, size and number of a file; None when there is none."""
    try:
        found = path.stat()
    except (OSError, ValueError):
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino


class PartWatch(QObject):
    """Looks when the system reports a change and when the window comes to the front.

    Only when time or size differ is the file hashed, in the background; the same bytes written anew say nothing.
    """

    changed = Signal(str)
    """A sentence: the file holds another part now."""
    gone = Signal(str)
    """A sentence: the file is no longer there."""

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._path: Path | None = None
        self._seen: Facts = None
        self._files = QFileSystemWatcher(self)
        self._timer = QTimer(self, interval=LOOK_AFTER_MS, singleShot=True)
        self._timer.timeout.connect(self.look)
        self._files.fileChanged.connect(self._timer.start)
        self._files.directoryChanged.connect(self._timer.start)
        app = QGuiApplication.instance()
        if isinstance(app, QGuiApplication):
            app.applicationStateChanged.connect(self._came_forward)
        session.part_changed.connect(self._follow)

    def _follow(self, fit: bool) -> None:
        """Another part, or the same one read again."""
        path = Path(self._session.job.part_file)
        if path != self._path:
            old = [*self._files.files(), *self._files.directories()]
            if old:
                self._files.removePaths(old)
            self._files.addPaths([str(path), str(path.parent)])
            self._path, self._seen = path, facts_of(path)

    def _came_forward(self, state: Qt.ApplicationState) -> None:
        if state == Qt.ApplicationState.ApplicationActive:
            self.look()

    def look(self) -> None:
        """Compare the file with what was seen last."""
        path = self._path
        if path is None or facts_of(path) == self._seen:
            return
        self._seen = facts_of(path)
        if self._seen is None:
            text = self.tr("'{0}' is no longer in its folder; the job goes on with the part as it was read.")
            self.gone.emit(text.format(path.name))
            return
        self._files.addPath(str(path))  # a file that was replaced is no longer watched

        def work(goes_on: GoesOn) -> tuple[Path, str]:
            return path, file_sha256(path)

        self._session.background.start(
            "watch",
            self.tr("Looking at {0}").format(path.name),
            work,
            done=self._hashed,
            refused=self.gone.emit,
            failed=self._session.tell_failure,
        )

    def _hashed(self, answer: tuple[Path, str]) -> None:
        path, sha256 = answer
        if path == self._path and sha256 != self._session.job.part_sha256:
            text = self.tr("'{0}' was changed by another program; the view shows the part as it was read.")
            self.changed.emit(text.format(path.name))
