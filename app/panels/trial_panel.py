"""Trials in the window: reads a filled sheet, says the limits it gives, and keeps them for the gap window."""

from pathlib import Path
from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QCheckBox, QFileDialog, QPushButton, QWidget

from app.background import Background
from app.panels.fields import Section, plain_text
from app.session import Session
from core.progress import GoesOn


class TrialPanel(Section):
    """One sheet at a time; the library keeps every sheet that was kept."""

    said = Signal(str, str, str)
    """Level, sentence, details."""
    fitted = Signal()

    def __init__(self, session: Session, background: Background, parent: QWidget | None = None) -> None:
        super().__init__(self.tr("What came out"), parent)
        self._session, self._background = session, background
        self.keep = QCheckBox(self.tr("Keep for the gap window"), self)
        self.keep.setToolTip(
            self.tr("Kept in your own library, by alloy and laser setting; earlier trials stay in it.")
        )
        self.button = QPushButton(self.tr("Open a trial sheet…"), self)
        self.button.clicked.connect(self.ask)
        self.words = plain_text(self.tr("Fill in the sheet that the coupon wrote, then open it here."), self)
        for widget in (self.keep, self.button, self.words):
            self.body.addWidget(widget)

    def ask(self) -> None:
        """Ask for a sheet and fit it."""
        name, _ = QFileDialog.getOpenFileName(self, self.tr("Open a trial sheet"), "", "CSV (*.csv)")
        if name:
            self.read(Path(name))

    def read(self, path: Path) -> None:
        """Fit a sheet in the background and show what it says."""
        keep = self.keep.isChecked()

        def work(goes_on: GoesOn) -> dict[str, Any]:
            from core.run_trial import run_trial  # loads statistics, for which the first picture doesn't wait

            return run_trial(path, keep=keep)[2]

        self._background.start(
            "fit",
            self.tr("Reading {0}").format(path.name),
            work,
            done=self._show,
            refused=self._refused,
            failed=self._session.tell_failure,
        )

    def _show(self, values: dict[str, Any]) -> None:
        lines = [
            self.tr("{0}: {1} cells judged, {2} free, {3} stuck, {4} lost").format(
                values["file"], values["n"], values["n_free"], values["n_stuck"], values["n_lost"]
            )
        ]
        for limit in values["limits"]:
            if limit["gap_mm"] is None:
                lines.append(self.tr("{0}°: no limit found").format(f"{limit['angle_deg']:g}"))
                continue
            high = self.tr("open") if limit["high_mm"] is None else f"{limit['high_mm']:.2f}"
            lines.append(
                self.tr("{0}°: {1} mm comes free with 95 % probability ({2} to {3} mm)").format(
                    f"{limit['angle_deg']:g}", f"{limit['gap_mm']:.2f}", f"{limit['low_mm']:.2f}", high
                )
            )
        self.words.setText("\n".join([*lines, *values["notes"]]))
        if "kept_in" in values:
            text = self.tr("The trials are kept; the gap window uses them for this alloy and layer.")
            self.said.emit("ok", text, values["kept_in"])
            self._session.settings.looked.emit()
        self.fitted.emit()

    def _refused(self, text: str) -> None:
        self.words.setText(text)
        self.said.emit("stop", text, "")
        self.fitted.emit()
