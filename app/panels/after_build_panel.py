"""The report after the build: what would go into it, and the button that writes it."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QPushButton, QWidget

from app.after_build_report import AfterBuildReport
from app.panels.fields import Section, plain_text


class AfterBuildPanel(Section):
    """Follows what is known and fits the job."""

    wanted = Signal()
    said = Signal(str, str, str)
    """Level, sentence, details."""

    def __init__(self, report: AfterBuildReport, parent: QWidget | None = None) -> None:
        super().__init__(self.tr("Report after the build"), parent)
        self._report = report
        self.words = plain_text(parent=self)
        self.button = QPushButton(self.tr("Report after the build…"), self)
        self.button.setToolTip(self.tr("Trials, layer images and scan with a verdict for every patch, as HTML and PDF"))
        self.button.clicked.connect(self.wanted)
        self.body.addWidget(self.words)
        self.body.addWidget(self.button)
        report.changed.connect(self._show)
        report.refused.connect(self._refused)
        self._show()

    def _refused(self, text: str) -> None:
        self.said.emit("stop", text, "")

    def _show(self) -> None:
        refusal, given = self._report.refusal(), self._report.given()
        self.button.setEnabled(not refusal)
        self.words.setText(refusal or self.tr("Goes into it: {0}.").format(", ".join(given)))
