"""Writes results into a folder in the background, and tells what was written."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from app.background import Background
from core.progress import GoesOn


class FolderWriter(QObject):
    """What builds or follows, and can write what came of it."""

    exported = Signal(str, tuple)
    """Folder and the names of the files written."""
    refused = Signal(str)
    failed = Signal(str)

    def __init__(self, background: Background, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._background = background

    def write_into(self, folder: Path, kind: str, write: Callable[[GoesOn], tuple[str, ...]]) -> None:
        """Write in the background. kind: of the work; write returns the names of the files."""

        def work(goes_on: GoesOn) -> tuple[str, tuple[str, ...]]:
            return str(folder), write(goes_on)

        self._background.start(
            kind,
            self.tr("Writing to {0}").format(folder.name),
            work,
            done=self._wrote,
            refused=self.refused.emit,
            failed=self.failed.emit,
            waits=True,
        )

    def _wrote(self, answer: tuple[str, tuple[str, ...]]) -> None:
        self.exported.emit(*answer)
