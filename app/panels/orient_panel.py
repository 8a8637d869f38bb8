"""The orientation study in the window: how many directions, what must never look down, and what came out."""

from PySide6.QtCore import Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from app.orient_follower import OrientFollower
from app.panels.fields import FieldNote, Form, NumberField, Section, plain_text
from app.panels.orient_results import OrientResults
from app.panels.result_page import run_row

DIRECTIONS, LEAST, MOST = 800, 50, 20_000


class OrientPanel(Section):
    """What the command `orient` takes, a button to compare and one to stop, and the results."""

    said = Signal(str, str, str)
    """Level, sentence, details."""

    def __init__(self, follower: OrientFollower, parent: QWidget | None = None) -> None:
        super().__init__(self.tr("Orientation of the part"), parent)
        tr = self.tr
        self._follower = follower
        self.body.addWidget(
            plain_text(tr("Tries the part in many orientations and shows those that none beats."), self)
        )
        form = Form(self)
        self.directions = NumberField(
            unit="", decimals=0, step=100, default=DIRECTIONS, low=LEAST, high=MOST, name=tr("Directions"), parent=self
        )
        self.directions.setToolTip(f"{tr('Build directions spread over the sphere.')} {self.directions.default_tip()}")
        self.directions.show_value(DIRECTIONS)
        self.standing = NumberField(
            unit="mm²", decimals=1, step=10, default=0.0, low=0.0, high=1e6, name=tr("Rests on at least"), parent=self
        )
        self.standing.setToolTip(
            f"{tr('Leaves out orientations that stand on an edge or a point.')} {self.standing.default_tip()}"
        )
        self.standing.show_value(0.0)
        form.add(tr("Directions"), self.directions)
        form.add(tr("Rests on at least"), self.standing)
        self.body.addWidget(form)
        self.body.addWidget(self._never())
        self.run_button, self.stop_button = QPushButton(tr("Compare"), self), QPushButton(tr("Stop"), self)
        self.run_button.setAccessibleName(tr("Compare orientations"))
        self.stop_button.setAccessibleName(tr("Stop comparing orientations"))
        self.run_button.clicked.connect(self.run)
        self.stop_button.clicked.connect(follower.stop)
        self.body.addLayout(run_row(self.run_button, self.stop_button))
        self.wrong = FieldNote(self)
        self.state_words = plain_text(parent=self)
        self.results = OrientResults(follower, self)
        for widget in (self.wrong, self.state_words, self.results):
            self.body.addWidget(widget)
        follower.changed.connect(self._show)
        follower.refused.connect(lambda text: self.said.emit("stop", text, ""))
        self._show()

    def _never(self) -> QWidget:
        """How many faces must never look down, a button to mark more by clicks and one to clear them."""
        box = QWidget(self)
        column = QVBoxLayout(box)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(3)
        self.never_words = plain_text(parent=box)
        self.mark_button, self.clear_button = QPushButton(self.tr("Mark by clicks"), box), QPushButton(box)
        self.mark_button.setCheckable(True)
        self.mark_button.setAccessibleName(self.tr("Mark faces never downskin"))
        self.clear_button.setText(self.tr("Clear"))
        self.clear_button.setAccessibleName(self.tr("Clear faces never downskin"))
        self.clear_button.clicked.connect(self._follower.clear_never)
        line = QHBoxLayout()
        line.addWidget(self.mark_button, 1)
        line.addWidget(self.clear_button)
        column.addWidget(self.never_words)
        column.addLayout(line)
        return box

    def mark_by(self, action: QAction) -> None:
        """The command that marks faces by clicks."""
        self.mark_button.setToolTip(action.toolTip())
        self.mark_button.clicked.connect(action.setChecked)
        action.toggled.connect(self.mark_button.setChecked)

    def run(self) -> None:
        """Compare by what is filled in."""
        self._follower.run(int(self.directions.value()), self.standing.value())

    def _show(self) -> None:
        follower = self._follower
        refusal, running = follower.refusal(), follower.running
        self.run_button.setEnabled(not refusal and not running)
        self.stop_button.setEnabled(running)
        n = len(follower.never_faces)
        none = self.tr("No face is marked as never downskin.")
        self.never_words.setText(self.tr("{0} faces are never downskin.").format(n) if n else none)
        self.clear_button.setEnabled(n > 0)
        self.mark_button.setEnabled(not refusal or self.mark_button.isChecked())
        self.wrong.say(follower.wrong)
        self.state_words.setText(refusal)
        self.state_words.setVisible(bool(refusal))
