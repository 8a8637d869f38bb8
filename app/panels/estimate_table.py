"""The live 1-D estimate as a small table: every value with its band and unit."""

import math

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QLabel, QSizePolicy, QToolButton, QWidget

from app.panels.fields import plain_text
from app.panels.gap_words import UNITS, gap_factor
from core.heat.estimate import Band, Estimate


class EstimateTable(QWidget):
    """Five rows: rise with and without sink, conductance of the gap, fuse limit, heat limit."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(2)
        heads = (self.tr("Estimate"), self.tr("nominal"), self.tr("band"))
        for column, text in enumerate(heads):
            word = QLabel(text, self)
            word.setForegroundRole(word.palette().ColorRole.PlaceholderText)
            side = Qt.AlignmentFlag.AlignLeft if column == 0 else Qt.AlignmentFlag.AlignRight
            grid.addWidget(word, 0, column, side)
        self._unit = UNITS[0]
        self._values: list[tuple[QLabel, QLabel]] = []
        names = (
            (self.tr("Rise with sink"), self.tr("Mean rise over the plate's temperature, layer after layer.")),
            (self.tr("Rise without"), self.tr("The same with powder all the way down to the plate.")),
            (self.tr("Through the gap"), self.tr("Heat through the powder gap and its two walls.")),
            (self.tr("Fuse limit"), self.tr("Gap below which the melt may reach the sink.")),
            (self.tr("Heat limit"), self.tr("Gap above which the rise passes what is allowed.")),
        )
        for row, (name, help_text) in enumerate(names, start=1):
            word = QLabel(name, self)
            word.setToolTip(help_text)
            nominal, band = QLabel(self), QLabel(self)
            for label in (nominal, band):
                label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
                label.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
            font = nominal.font()
            font.setBold(row <= 2)
            nominal.setFont(font)
            grid.addWidget(word, row, 0)
            grid.addWidget(nominal, row, 1, Qt.AlignmentFlag.AlignRight)
            grid.addWidget(band, row, 2, Qt.AlignmentFlag.AlignRight)
            self._values.append((nominal, band))
        grid.setColumnStretch(0, 1)
        self._unfold = QToolButton(self)
        self._unfold.setCheckable(True)
        self._unfold.setAutoRaise(True)
        self._unfold.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        self._unfold.toggled.connect(self._show_notes)
        self._first_note, self._notes = plain_text(parent=self), plain_text(parent=self)
        for row, label in ((6, self._first_note), (8, self._notes)):
            grid.addWidget(label, row, 0, 1, 3)
        grid.addWidget(self._unfold, 7, 0, 1, 3, Qt.AlignmentFlag.AlignLeft)
        self._show_notes(False)

    def set_unit(self, unit: str) -> None:
        """Unit of the two limits, from the next `show_estimate` on."""
        self._unit = unit

    def show_estimate(self, estimate: Estimate | None) -> None:
        """Fill the table; None shows dashes."""
        if estimate is None:
            for nominal, band in self._values:
                nominal.setText("–")
                band.setText("–")
            self._first_note.clear()
            self._unfold.hide()
            self._notes.clear()
            return
        rows = (
            (estimate.rise_with_k, 1.0, "K"),
            (estimate.rise_without_k, 1.0, "K"),
            (estimate.conductance_w_m2k, 1.0, "W/m²K"),
            (estimate.fuse_limit_mm, gap_factor(self._unit), self._unit),
            (estimate.heat_limit_mm, gap_factor(self._unit), self._unit),
        )
        for (nominal, band), (value, factor, unit) in zip(self._values, rows, strict=True):
            endless = math.isinf(value.nominal)
            nominal.setText(self.tr("no limit") if endless else f"{_number(value.nominal * factor)} {unit}")
            band.setText(_band(value, factor))
        first, rest = estimate.notes[:1], estimate.notes[1:]
        self._first_note.setText("".join(first))
        self._notes.setText("\n".join(f"• {text}" for text in rest))
        self._unfold.setVisible(bool(rest))
        self._unfold.setText(self.tr("{0} more cautions").format(len(rest)))

    def _show_notes(self, on: bool) -> None:
        self._notes.setVisible(on)
        self._unfold.setArrowType(Qt.ArrowType.DownArrow if on else Qt.ArrowType.RightArrow)


def _number(value: float) -> str:
    if math.isinf(value):
        return "∞"
    return f"{value:.0f}" if abs(value) >= 100 else f"{value:.3g}"


def _band(value: Band, factor: float) -> str:
    return f"{_number(value.low * factor)} – {_number(value.high * factor)}"
