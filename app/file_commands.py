"""Opening, saving and exporting: asks for files, guards unsaved changes, hands over to the session."""

from pathlib import Path

from PySide6.QtCore import QObject, QUrl, Signal
from PySide6.QtGui import QDesktopServices
from PySide6.QtWidgets import QWidget

from app import messages
from app.heat_follower import HeatFollower
from app.placed_part import JOB_ENDING
from app.session import Session
from app.settings import Settings


class FileCommands(QObject):
    """What the File menu does."""

    recent_changed = Signal()
    said = Signal(str, str, str)
    """Level, sentence, details."""

    def __init__(self, session: Session, heat: HeatFollower, settings: Settings, window: QWidget) -> None:
        super().__init__(window)
        self._session, self._heat, self._settings, self._window = session, heat, settings, window
        session.builder.exported.connect(self.tell_exported)
        session.opened.connect(self.remember)

    @property
    def job_name(self) -> str:
        """Name for title and questions: of the job file, else of the part."""
        state = self._session.state
        if state.file is not None:
            return state.file.name
        return Path(state.job.part_file).name if state.job.part_file else self.tr("new job")

    def open(self) -> None:
        """Ask for a file and open it."""
        path = messages.ask_part_file(self._window, self._settings.last_folder())
        if path is not None:
            self.open_file(path)

    def open_file(self, path: Path) -> None:
        """Open a part or job; the job at hand may be saved first."""
        if not self.may_discard():
            return
        self._settings.set_last_folder(str(path.absolute().parent))
        self._session.open(path.absolute())

    def remember(self, path: str) -> None:
        """Put an opened file into the list of recent ones."""
        self._settings.add_recent_file(path)
        self.recent_changed.emit()

    def save(self) -> bool:
        """Save to the job's file, or ask for one. False when it was not saved."""
        file = self._session.state.file
        return self.save_as() if file is None else self._session.save(file)

    def save_as(self) -> bool:
        """Ask for a file and save to it."""
        part = Path(self._session.job.part_file)
        proposed = self._session.state.file or part.with_suffix(JOB_ENDING)
        path = messages.ask_job_file(self._window, str(proposed))
        if path is None or not self._session.save(path):
            return False
        self.remember(str(path))
        return True

    def may_discard(self) -> bool:
        """True when nothing would be lost, or the engineer says so."""
        state = self._session.state
        if not state.modified or self._session.part is None:
            return True
        answer = messages.ask_before_discard(self._window, self.job_name)
        return self.save() if answer == "save" else answer == "discard"

    def export(self) -> None:
        """Ask for a folder and write everything into it; the report shows the heat of the build when it is known."""
        folder = messages.ask_export_folder(self._window, self._settings.last_folder())
        if folder is not None:
            self._settings.set_last_folder(str(folder))
            self._session.builder.export(folder, self._heat.comparison if self._heat.is_current else None)

    def tell_exported(self, folder: str, names: tuple[str, ...]) -> None:
        """Say what was written where."""
        text = self.tr("{0} files are written to {1}.").format(len(names), folder)
        self.said.emit("ok", text, "\n".join(names))

    def show_folder(self, folder: Path) -> None:
        """Open a folder in the desktop's file manager."""
        QDesktopServices.openUrl(QUrl.fromLocalFile(str(folder)))
