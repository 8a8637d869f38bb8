"""The gap coupon in the window: what to try, and the folder it is written to; alloy, laser and plate are the job's."""

from argparse import ArgumentTypeError
from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFileDialog, QLineEdit, QPushButton, QWidget

from app.background import Background
from app.cli_words import steps
from app.folder_writer import FolderWriter
from app.panels.fields import Form, NumberField, Section, plain_text
from app.session import Session
from core.progress import GoesOn
from core.refusal import Refusal
from core.trial.coupon_choice import CouponChoice

DEFAULT = CouponChoice()


class CouponPanel(Section):
    """Gaps and angles as the command line takes them: 0.1:0.5:0.05 or 0.2,0.3."""

    said = Signal(str, str, str)
    """Level, sentence, details."""

    def __init__(self, session: Session, background: Background, parent: QWidget | None = None) -> None:
        super().__init__(self.tr("Gap coupon"), parent)
        self._session = session
        self._writer = FolderWriter(background, self)
        self._writer.exported.connect(self._tell)
        self._writer.refused.connect(lambda text: self.said.emit("stop", text, ""))
        self._writer.failed.connect(session.tell_failure)
        form = Form(self)
        self.gaps, self.angles = QLineEdit("0.1:0.5:0.05", self), QLineEdit("20,30,45", self)
        self.replicates = NumberField(
            unit="", decimals=0, step=1, default=3, low=1, name=self.tr("Of each kind"), parent=self
        )
        self.seed = NumberField(
            unit="", decimals=0, step=1, default=DEFAULT.seed, low=0, name=self.tr("Seed of the places"), parent=self
        )
        self.replicates.show_value(3)
        self.seed.show_value(DEFAULT.seed)
        for label, field in (
            (self.tr("Gaps, mm"), self.gaps),
            (self.tr("Angles, °"), self.angles),
            (self.tr("Of each kind"), self.replicates),
            (self.tr("Seed of the places"), self.seed),
        ):
            field.setAccessibleName(label)
            form.add(label, field)
        self.body.addWidget(form)
        self.body.addWidget(
            plain_text(
                self.tr("Every gap at every angle, and one cell without a sink per angle, at places drawn by lot."),
                self,
            )
        )
        self.note = plain_text(parent=self)
        self.body.addWidget(self.note)
        self.button = QPushButton(self.tr("Write the coupon…"), self)
        self.button.clicked.connect(self.ask)
        self.body.addWidget(self.button)
        self.gaps.textChanged.connect(self._show)
        self.angles.textChanged.connect(self._show)
        self.replicates.edited.connect(self._show)
        self.seed.edited.connect(self._show)
        session.state.changed.connect(self._show)
        self._show()

    def _show(self) -> None:
        """Say what the coupon would be, or what is wrong with it."""
        try:
            choice = self.choice()
        except Refusal as refusal:
            self.note.setText(str(refusal))
            return
        laser = choice.laser
        self.note.setText(
            self.tr(
                "{0} cells of {1}; of the job: layer {2} mm, {3} W, {4} mm/s, the plate and the kind of sink."
            ).format(choice.n_cells, choice.alloy, f"{laser.layer_mm:g}", f"{laser.power_w:g}", f"{laser.speed_mm_s:g}")
        )

    def choice(self) -> CouponChoice:
        """The coupon as it is set. Raises Refusal."""
        job = self._session.job
        return CouponChoice(
            alloy=job.alloy,
            own_alloy=job.own_alloy,
            gaps_mm=self._numbers(self.gaps),
            angles_deg=self._numbers(self.angles),
            replicates=round(self.replicates.value()),
            seed=round(self.seed.value()),
            laser=job.laser,
            plate=job.plate,
            sink=job.sink,
        )

    def _numbers(self, field: QLineEdit) -> tuple[float, ...]:
        text, name = field.text().replace(" ", ""), field.accessibleName()
        if not text:
            raise Refusal(self.tr("{0}: none are given; write them like 0.2,0.3 or 0.1:0.5:0.05.").format(name))
        try:
            return steps(text)
        except ArgumentTypeError as problem:
            raise Refusal(f"{name}: {problem}.") from problem

    def ask(self) -> None:
        """Ask for a folder and write everything into it."""
        try:
            self.choice()
        except Refusal as refusal:
            self.said.emit("stop", str(refusal), "")
            return
        name = QFileDialog.getExistingDirectory(self, self.tr("Write coupon, trial sheet and plan to a folder"), "")
        if name:
            self.write(Path(name))

    def write(self, folder: Path) -> None:
        """Build the coupon in the background and write it."""
        choice = self.choice()

        def work(goes_on: GoesOn) -> tuple[str, ...]:
            from core.run_coupon import run_coupon  # loads what the first picture doesn't wait for

            return tuple(run_coupon(choice, folder, goes_on)[1]["files"])

        self._writer.write_into(folder, "coupon", work)

    def _tell(self, folder: str, names: tuple[str, ...]) -> None:
        text = self.tr("The coupon is written to {0}; fill in trials.csv after the build.").format(folder)
        self.said.emit("ok", text, "\n".join(names))
