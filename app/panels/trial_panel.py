"""Trials in the window: reads a filled sheet, says and draws what it gives, and keeps it for the gap window."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFileDialog, QHBoxLayout, QPushButton, QWidget

from app.background import Background
from app.folder_writer import FolderWriter
from app.panels.fields import Section, plain_text
from app.panels.trial_history import KeptTrials
from app.session import Session
from app.view.trial_plot import TrialPlot, drawings_of
from core.kept_trials import trial_history
from core.progress import GoesOn
from core.refusal import Refusal
from core.trial.kept_trial import KeptTrial
from core.trial.trial_log import BadRows, TrialLog, read_trials

if TYPE_CHECKING:
    from core.run_trial import TrialStudy


@dataclass(frozen=True, kw_only=True, eq=False)
class Shown:
    """What came out of reading a sheet or a kept entry."""

    study: "TrialStudy"
    light: bytes
    dark: bytes


class TrialPanel(Section):
    """One sheet at a time, from a file or from what was kept; nothing is kept before it was asked for."""

    said = Signal(str, str, str)
    """Level, sentence, details."""
    fitted = Signal()

    def __init__(self, session: Session, background: Background, parent: QWidget | None = None) -> None:
        super().__init__(self.tr("What came out"), parent)
        self._session, self._background = session, background
        self._folder = ""
        self.shown: Shown | None = None
        self._writer = FolderWriter(background, self)
        self._writer.exported.connect(self._exported)
        self._writer.refused.connect(lambda text: self.said.emit("stop", text, ""))
        self._writer.failed.connect(session.tell_failure)
        self.button = QPushButton(self.tr("Open a trial sheet…"), self)
        self.button.clicked.connect(self.ask)
        self.words = plain_text(self.tr("Fill in the sheet that the coupon wrote, then open it here."), self)
        self.plot = TrialPlot(self)
        self.keep_button = QPushButton(self.tr("Keep for the gap window"), self)
        self.keep_button.setToolTip(
            self.tr("Kept in your own library, by alloy and laser setting; earlier trials stay in it.")
        )
        self.keep_button.clicked.connect(self.keep)
        self.export_button = QPushButton(self.tr("Export…"), self)
        self.export_button.setToolTip(self.tr("Drawing as PNG and SVG, curves and cells as CSV, all values as JSON."))
        self.export_button.clicked.connect(self.ask_folder)
        row = QHBoxLayout()
        row.addWidget(self.keep_button, 1)
        row.addWidget(self.export_button)
        for widget in (self.button, self.words, self.plot):
            self.body.addWidget(widget)
        self.body.addLayout(row)
        self.kept = KeptTrials(session, self)
        self.kept.said.connect(self.said)
        self.kept.looked_at.connect(self.look_at)
        self.body.addWidget(self.kept)
        for button in (self.keep_button, self.export_button):
            button.hide()

    # Reading -------------------------------------------------------------------------------------

    def ask(self) -> None:
        """Ask for a sheet and fit it."""
        name, _ = QFileDialog.getOpenFileName(self, self.tr("Open a trial sheet"), self._folder, "CSV (*.csv)")
        if name:
            self._folder = str(Path(name).parent)
            self.read(Path(name))

    def read(self, path: Path) -> None:
        """Fit a sheet in the background and show what it says."""
        self._study(path.name, lambda: read_trials(path))

    def look_at(self, kept: KeptTrial) -> None:
        """Show what was kept."""
        if kept.trials:
            self._study(kept.source, lambda: kept.log)
        else:
            self._clear(self.tr("These trials were kept without their cells, so there is no plot of them."))

    def _study(self, name: str, read: Callable[[], TrialLog]) -> None:
        def work(goes_on: GoesOn) -> Shown | BadRows:
            from core.run_trial import study_trial  # loads statistics, for which the first picture doesn't wait

            try:
                log = read()
            except BadRows as problem:
                return problem
            study = study_trial(log, goes_on)
            light, dark = drawings_of(study)
            return Shown(study=study, light=light, dark=dark)

        self._background.start(
            "fit",
            self.tr("Reading {0}").format(name),
            work,
            done=self._show,
            refused=self._refused,
            failed=self._session.tell_failure,
        )

    def _show(self, answer: Shown | BadRows) -> None:
        if isinstance(answer, BadRows):
            self._refused(str(answer), "\n".join(answer.rows))
            return
        self.shown = answer
        values = answer.study.values
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
        for line in values["roughness"]:
            lines.append(
                self.tr("{0}: {1} µm per mm of gap ({2} to {3})").format(
                    line["quantity"][:2].capitalize(),
                    *(f"{line[key]:+.1f}" for key in ("per_mm", "per_mm_low", "per_mm_high")),
                )
            )
        self.words.setText("\n".join([*lines, *values["notes"]]))
        self.plot.show_drawings(answer.light, answer.dark, "\n".join(lines))
        self.export_button.show()
        self._offer_to_keep()
        self.fitted.emit()

    def _offer_to_keep(self) -> None:
        sha256 = self.shown.study.log.sha256 if self.shown is not None else ""
        known = any(kept.sha256 == sha256 for kept in trial_history(self._session.settings.job).entries)
        self.keep_button.setVisible(bool(sha256) and not known)

    def _refused(self, text: str, details: str = "") -> None:
        self._clear(text)
        self.said.emit("stop", text, details)
        self.fitted.emit()

    def _clear(self, text: str) -> None:
        self.shown = None
        self.words.setText(text)
        for widget in (self.plot, self.keep_button, self.export_button):
            widget.hide()

    # Keeping and writing -------------------------------------------------------------------------

    def keep(self) -> None:
        """Add what is shown to the library, and say what that changes."""
        from core.run_trial import keep_study

        if self.shown is None:
            return
        log, job = self.shown.study.log, self._session.settings.job
        before = trial_history(job).used
        try:
            file, _ = keep_study(self.shown.study)
        except Refusal as refusal:
            self.said.emit("stop", str(refusal), "")
            return
        self._session.settings.looked.emit()
        history = trial_history(job)
        used = history.used
        if not any(kept.sha256 == log.sha256 for kept in history.entries):
            text = self.tr("The trials are kept for {0}, layer {1} mm; this job has another alloy or layer.").format(
                log.settings["alloy"], f"{log.settings['layer_mm']:g}"
            )
        elif used is None or used.sha256 != log.sha256:
            words = self.tr("the model's estimate") if used is None else used.words
            text = self.tr("The trials are kept; the gap window stays {0}.").format(words)
        elif before is None:
            text = self.tr("The trials are kept; the gap window is now {0}.").format(used.words)
        else:
            text = self.tr(
                "The trials are kept; the gap window is now {0}; it was {1}, which stay in the list."
            ).format(used.words, before.words)
        self.said.emit("ok", text, str(file))
        self._offer_to_keep()

    def ask_folder(self) -> None:
        """Ask for a folder and write drawing and tables into it."""
        name = QFileDialog.getExistingDirectory(self, self.tr("Write plot and tables of the trials to a folder"), "")
        if name:
            self.write(Path(name))

    def write(self, folder: Path) -> None:
        """Write drawing and tables in the background."""
        from core.run_trial import write_study

        shown = self.shown
        if shown is not None:
            self._writer.write_into(folder, "trial files", lambda goes_on: write_study(shown.study, folder))

    def _exported(self, folder: str, names: tuple[str, ...]) -> None:
        self.said.emit("ok", self.tr("Plot and tables are written to {0}.").format(folder), "\n".join(names))
