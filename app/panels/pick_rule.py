"""A row under the job tree that picks patches by rule: flatter than an angle, larger than an area."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QLabel, QPushButton, QToolButton, QVBoxLayout, QWidget

from app.panels.fields import NumberField, plain_text
from app.session import Session

BELOW_DEG, ABOVE_MM2 = 35.0, 20.0
"""Proposed at first (common practice, no source)."""


class PickRule(QWidget):
    """Folded away until it is wanted; never asks, and says how many patches the rule found."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self.unfold = QToolButton(self)
        self.unfold.setText(self.tr("Pick by rule"))
        self.unfold.setCheckable(True)
        self.unfold.setAutoRaise(True)
        self.unfold.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        self.unfold.setArrowType(Qt.ArrowType.RightArrow)
        self.unfold.toggled.connect(self._show)
        self._rows = QWidget(self)
        grid = QGridLayout(self._rows)
        grid.setContentsMargins(8, 0, 8, 6)
        self.below = NumberField(
            unit="°", decimals=1, step=1, default=BELOW_DEG, name=self.tr("Lowest angle below"), low=0, high=90,
            parent=self,
        )  # fmt: skip
        self.above = NumberField(
            unit="mm²", decimals=1, step=5, default=ABOVE_MM2, name=self.tr("Area above"), low=0, parent=self
        )
        self.below.show_value(BELOW_DEG)
        self.above.show_value(ABOVE_MM2)
        for row, field in enumerate((self.below, self.above)):
            word = QLabel(field.accessibleName(), self._rows)
            word.setBuddy(field)
            grid.addWidget(word, row, 0)
            grid.addWidget(field, row, 1)
        self.pick_button = QPushButton(self.tr("Pick these patches"), self._rows)
        self.pick_button.clicked.connect(self.pick)
        self.said = plain_text(parent=self._rows)
        grid.addWidget(self.pick_button, 2, 0, 1, 2)
        grid.addWidget(self.said, 3, 0, 1, 2)
        grid.setColumnStretch(1, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 2, 0, 2)
        column.setSpacing(2)
        column.addWidget(self.unfold)
        column.addWidget(self._rows)
        for signal in (session.patches_changed, session.picks_changed):
            signal.connect(self._follow)
        self._show(False)
        self._follow()

    def open(self) -> None:
        """Unfold it, with the keyboard in its first field."""
        self.unfold.setChecked(True)
        self.below.setFocus()
        self.below.selectAll()

    def pick(self) -> None:
        """Pick the patches that the rule finds, as one step."""
        count = self._session.picker.pick_by_rule(self.below.value(), self.above.value())
        words = self.tr("{0} of {1} patches are picked.").format(count, len(self._session.patches))
        self.said.setText(words if count else self.tr("No patch is that flat and that large."))

    def _follow(self) -> None:
        self.pick_button.setEnabled(bool(self._session.patches))
        self.said.clear()

    def _show(self, on: bool) -> None:
        self._rows.setVisible(on)
        self.unfold.setArrowType(Qt.ArrowType.DownArrow if on else Qt.ArrowType.RightArrow)
