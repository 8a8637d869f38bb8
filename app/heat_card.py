"""Finds out in the background whether an NVIDIA card can follow a build."""

from PySide6.QtCore import QObject, Signal

from app.background import Background
from core.progress import GoesOn


class HeatCard(QObject):
    """Looked for once, when it is first asked for."""

    changed = Signal()
    failed = Signal(str)

    def __init__(self, background: Background, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._background = background
        self._asked = False
        self.name = ""
        """Of the card; empty when there is none, or none yet."""
        self.reason = self.tr("A card is being looked for.")
        """Why there is none."""

    def look(self) -> None:
        """Look for a card, once."""
        if self._asked:
            return
        self._asked = True

        def work(goes_on: GoesOn) -> str:
            from core.heat.machine import card

            return card().name

        self._background.start(
            "card",
            self.tr("Looking for a card"),
            work,
            done=self._found,
            refused=self._none,
            failed=self.failed.emit,
            stopped=self._not_yet,
        )

    def _found(self, name: str) -> None:
        self.name, self.reason = name, ""
        self.changed.emit()

    def _none(self, text: str) -> None:
        self.reason = text
        self.changed.emit()

    def _not_yet(self) -> None:
        self._asked = False
