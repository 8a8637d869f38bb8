"""A scan in the window: which mesh and unit, how it lies on the part, and what it is compared by."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFileDialog, QPushButton, QWidget

from app.panels.fields import ChoiceBox, FieldNote, Form, NumberField, Section, plain_text
from app.panels.path_field import PathField
from app.panels.result_page import run_row
from app.panels.scan_results import ScanResults
from app.scan_follower import ScanAsked, ScanFollower
from app.session import Session

REACH_MM = 3.0
UNITS = (("mm", "mm"), ("um", "µm"), ("m", "m"), ("in", "in"))
MESHES = "*.stl *.ply *.obj *.3mf"


class ScanPanel(Section):
    """What the command `scan` takes, a button to compare and one to stop, and the results."""

    said = Signal(str, str, str)
    """Level, sentence, details."""

    def __init__(self, session: Session, follower: ScanFollower, parent: QWidget | None = None) -> None:
        super().__init__(self.tr("Scanned surface"), parent)
        self._follower = follower
        what = self.tr("The built part's surface as a scanner saw it, laid on this job.")
        self.body.addWidget(plain_text(what, self))
        self.body.addWidget(self._form())
        self.run_button, self.stop_button = QPushButton(self.tr("Compare"), self), QPushButton(self.tr("Stop"), self)
        self.run_button.setAccessibleName(self.tr("Compare the scan"))
        self.stop_button.setAccessibleName(self.tr("Stop comparing the scan"))
        self.run_button.clicked.connect(self.run)
        self.stop_button.clicked.connect(follower.stop)
        self.body.addLayout(run_row(self.run_button, self.stop_button))
        self.wrong = FieldNote(self)
        self.state_words = plain_text(parent=self)
        self.results = ScanResults(follower, self)
        for widget in (self.wrong, self.state_words, self.results):
            self.body.addWidget(widget)
        follower.changed.connect(self._show)
        follower.refused.connect(lambda text: self.said.emit("stop", text, ""))
        self._show()

    def _form(self) -> Form:
        form, tr = Form(self), self.tr

        def mesh(parent: QWidget, start: str) -> str:
            return QFileDialog.getOpenFileName(parent, tr("Scanned surface"), start, f"{tr('Meshes')} ({MESHES})")[0]

        def table(parent: QWidget, start: str) -> str:
            return QFileDialog.getOpenFileName(parent, tr("Point pairs of the scan"), start, "CSV (*.csv)")[0]

        self.mesh = PathField(tr("Scan"), ((tr("File…"), mesh),), self)
        self.units = ChoiceBox(tr("Unit of the scan"), self)
        self.units.addItem(tr("of the file, else mm"), None)
        for key, words in UNITS:
            self.units.addItem(words, key)
        self.pairs = PathField(tr("Point pairs"), ((tr("Table…"), table),), self)
        self.pairs.line.setPlaceholderText(tr("none: found by shape"))
        self.pairs.line.setToolTip(
            tr("CSV with the columns scan_x_mm … part_z_mm: at least three pairs far apart, roughly at the same place "
               "of scan and part; needed where the part looks the same in another position.")
        )  # fmt: skip
        self.reach = NumberField(
            unit="mm", decimals=2, step=0.5, default=REACH_MM, low=0.0, high=1000.0, name=tr("Reach"), parent=self
        )
        self.reach.setToolTip(
            f"{tr('What lies further off is not taken for the same surface.')} {self.reach.default_tip()}"
        )
        self.reach.show_value(REACH_MM)
        for key, label, field in (
            ("mesh", tr("Scan"), self.mesh),
            ("units", tr("Unit"), self.units),
            ("pairs", tr("Point pairs"), self.pairs),
            ("reach", tr("Reach"), self.reach),
        ):
            note = form.add(label, field)
            if key == "mesh":
                self.mesh_note = note
        return form

    def run(self) -> None:
        """Compare what is filled in."""
        mesh = self.mesh.path
        self.mesh_note.say("" if mesh is not None else self.tr("Give the file of the scanned surface."))
        if mesh is None:
            self.said.emit("stop", self.mesh_note.text(), "")
            return
        self._follower.run(
            ScanAsked(mesh=mesh, units=self.units.currentData(), pairs=self.pairs.path, reach_mm=self.reach.value())
        )

    def _show(self) -> None:
        follower = self._follower
        refusal, running = follower.refusal(), follower.running
        self.run_button.setEnabled(not refusal and not running)
        self.stop_button.setEnabled(running)
        self.wrong.say(follower.wrong)
        self.state_words.setText(refusal)
        self.state_words.setVisible(bool(refusal))
