"""Layer images in the window: which images, where they lie on the plate, and how they are compared."""

from pathlib import Path
from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFileDialog, QLineEdit, QPushButton, QWidget

from app.images_follower import ImagesAsked, ImagesFollower
from app.panels.fields import FieldNote, Form, NumberField, Section, plain_text, take
from app.panels.images_results import ImagesResults
from app.panels.path_field import PathField
from app.panels.result_page import run_row
from app.session import Session
from core.refusal import Refusal
from core.trial.image_choice import ImageChoice

HDF5 = (".h5", ".hdf5", ".hdf")
OF_JOB = ("layer_mm", "first_layer_mm")
"""Values that follow the job's layer until another one is entered."""


class ImagesPanel(Section):
    """What the command `images` takes, a button to compare and one to stop, and the results."""

    said = Signal(str, str, str)
    """Level, sentence, details."""

    def __init__(self, session: Session, follower: ImagesFollower, parent: QWidget | None = None) -> None:
        super().__init__(self.tr("Layer images"), parent)
        self._session, self._follower = session, follower
        self.fields: dict[str, NumberField] = {}
        self._notes: dict[str, FieldNote] = {}
        self._own: set[str] = set()
        self.setToolTip(self.tr("Images that the machine took of every layer, laid over the part of this job."))
        self.body.addWidget(self._files())
        self.body.addWidget(self._values())
        self.run_button, self.stop_button = QPushButton(self.tr("Compare"), self), QPushButton(self.tr("Stop"), self)
        self.run_button.clicked.connect(self.run)
        self.stop_button.clicked.connect(follower.stop)
        self.body.addLayout(run_row(self.run_button, self.stop_button))
        self.wrong = FieldNote(self)
        self.state_words = plain_text(parent=self)
        self.results = ImagesResults(follower, self)
        for widget in (self.wrong, self.state_words, self.results):
            self.body.addWidget(widget)
        self.body.addStretch(1)
        follower.changed.connect(self._show)
        follower.refused.connect(self._refused)
        session.state.changed.connect(self._show_defaults)
        self._show_defaults()
        self._show()

    def _files(self) -> Form:
        form, tr = Form(self), self.tr

        def folder(parent: QWidget, start: str) -> str:
            return QFileDialog.getExistingDirectory(parent, tr("Folder of layer images"), start)

        def stack(parent: QWidget, start: str) -> str:
            kinds = f"{tr('Layer images')} (*.tif *.tiff *.npy *.npz *.h5 *.hdf5 *.hdf *.png)"
            return QFileDialog.getOpenFileName(parent, tr("File with all layer images"), start, kinds)[0]

        def table(parent: QWidget, start: str) -> str:
            return QFileDialog.getOpenFileName(parent, tr("Point pairs or marks"), start, "CSV (*.csv)")[0]

        self.images = PathField(tr("Images"), ((tr("Folder…"), folder), (tr("File…"), stack)), self)
        self.inside = QLineEdit(self)
        self.points = PathField(tr("Points"), ((tr("Table…"), table),), self)
        self.points.line.setToolTip(
            tr("CSV with the columns column_px, row_px, x_mm, y_mm: at least four pairs, better nine; "
               "with a further column 'mark', two marks of a coupon.")
        )  # fmt: skip
        self.inside.setToolTip(tr("Path of the data set inside the HDF5 file; empty where there is only one."))
        for key, label, field in (
            ("images", tr("Images"), self.images),
            ("inside", tr("Data set"), self.inside),
            ("points", tr("Points"), self.points),
        ):
            field.setAccessibleName(label)
            self._notes[key] = form.add(label, field)
        form.set_row_visible(self.inside, False)
        self.images.changed.connect(lambda: form.set_row_visible(self.inside, self._is_hdf5()))
        return form

    def _values(self) -> Form:
        form, tr = Form(self), self.tr
        for key, label, unit, decimals, step, tip in (
            ("layer_mm", tr("Layer"), "mm", 3, 0.01, tr("Thickness that one image stands for.")),
            ("first_layer_mm", tr("First image up to"), "mm", 3, 0.01, tr("Height of the top of the first layer.")),
            ("z_limit", tr("Hot above"), "σ", 1, 0.5,
             tr("Robust standard deviations above the median of the part's pixels in the same layer.")),
        ):  # fmt: skip
            field = NumberField(
                unit=unit, decimals=decimals, step=step, default=self._default(key), name=label, parent=self
            )
            field.setToolTip(f"{tip} {field.default_tip()}")
            field.show_value(self._default(key))
            field.edited.connect(lambda value, k=key: self._entered(k, value))
            self.fields[key], self._notes[key] = field, form.add(label, field)
        return form

    def _default(self, key: str) -> float:
        return self._session.job.laser.layer_mm if key in OF_JOB else ImageChoice.z_limit

    def _show_defaults(self) -> None:
        """What was not entered here follows the job."""
        layer_mm = self.fields["layer_mm"].value() if "layer_mm" in self._own else self._default("layer_mm")
        for key in OF_JOB:
            if key not in self._own:
                self.fields[key].show_value(layer_mm)
                self._notes[key].say("")

    def _entered(self, key: str, value: float) -> None:
        if key in OF_JOB:
            (self._own.discard if value == self._default(key) else self._own.add)(key)
        take(self._notes[key], lambda: self._check(key))
        self._show_defaults()

    def _check(self, key: str) -> None:
        usual: dict[str, Any] = {"layer_mm": 0.04, "first_layer_mm": 0.04, key: self.fields[key].value()}
        ImageChoice(**usual)

    def _is_hdf5(self) -> bool:
        path = self.images.path
        return path is not None and path.suffix.lower() in HDF5

    def asked(self) -> ImagesAsked:
        """What is filled in. Raises Refusal, which is said at the field too."""
        given: dict[str, Path] = {}
        for key, field, words in (
            ("images", self.images, self.tr("Give the folder or the file of layer images.")),
            ("points", self.points, self.tr("Give the table of point pairs or marks that places the images.")),
        ):
            path = field.path
            self._notes[key].say("" if path is not None else words)
            if path is None:
                raise Refusal(words)
            given[key] = path
        values: dict[str, Any] = {key: field.value() for key, field in self.fields.items()}
        inside = self.inside.text().strip() if self._is_hdf5() else ""
        return ImagesAsked(
            source=given["images"], inside=inside or None, points=given["points"], choice=ImageChoice(**values)
        )

    def run(self) -> None:
        """Compare what is filled in."""
        try:
            asked = self.asked()
        except Refusal as refusal:
            self.said.emit("stop", str(refusal), "")
            return
        self._follower.run(asked)

    def _refused(self, text: str) -> None:
        self.said.emit("stop", text, "")

    def _show(self) -> None:
        follower = self._follower
        refusal, running = follower.refusal(), follower.running
        self.run_button.setEnabled(not refusal and not running)
        self.stop_button.setEnabled(running)
        self.wrong.say(follower.wrong)
        self.state_words.setText(refusal)
        self.state_words.setVisible(bool(refusal))
