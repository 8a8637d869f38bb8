"""The bar of the free section: direction, place, side, and a button to end it."""

from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QSlider, QToolButton

from app.appearance import icon
from app.panels.fields import ChoiceBox, NumberField
from app.view.cut_plane import Cut

if TYPE_CHECKING:
    from app.view.part_view import PartView

STEPS = 1000
MOST_PX = 560
AXES = {"x": (1.0, 0.0, 0.0), "y": (0.0, 1.0, 0.0), "z": (0.0, 0.0, 1.0)}
VIEW = "view"


class SectionBar(QFrame):
    """Lies over the top of the view while there is a free section."""

    cut_chosen = Signal(object)
    """A Cut, or None when the section ended."""
    opened = Signal(bool)

    def __init__(self, view: "PartView") -> None:
        super().__init__(view)
        self._view = view
        self._ends = (0.0, 1.0)
        self._along: tuple[float, float, float] = AXES["x"]
        self.setFrameShape(QFrame.Shape.StyledPanel)
        self.setAutoFillBackground(True)
        self.setAccessibleName(self.tr("Section"))
        self.direction = ChoiceBox(self.tr("Direction of the section"), self)
        for key, text in (
            ("x", self.tr("across X")),
            ("y", self.tr("across Y")),
            ("z", self.tr("across Z")),
            (VIEW, self.tr("facing me")),
        ):
            self.direction.addItem(text, key)
        self.direction.setToolTip(self.tr("“Facing me” takes the direction of the view as it is now"))
        self.direction.activated.connect(self._turn)
        self.slider = QSlider(Qt.Orientation.Horizontal, self)
        self.slider.setRange(0, STEPS)
        self.slider.setMinimumWidth(70)
        self.slider.setAccessibleName(self.tr("Place of the section"))
        self.slider.valueChanged.connect(self._slid)
        self.at = NumberField(
            unit="mm", decimals=2, step=0.5, default=0.0, name=self.tr("Place of the section"), parent=self
        )
        self.at.setToolTip(self.tr("Place of the section in the part's coordinates"))
        self.at.edited.connect(self._typed)
        self.flip = QToolButton(self)
        self.flip.setText(self.tr("Other side"))
        self.flip.setCheckable(True)
        self.flip.setToolTip(self.tr("Show what is hidden now, and hide the rest"))
        self.flip.toggled.connect(self._tell)
        self._close = QToolButton(self)
        self._close.setAutoRaise(True)
        self._close.setIcon(icon("close"))
        self._close.setToolTip(self.tr("End the section and show the whole part (Esc)"))
        self._close.setAccessibleName(self.tr("End the section"))
        self._close.clicked.connect(self.end)
        row = QHBoxLayout(self)
        row.setContentsMargins(6, 3, 4, 3)
        for widget in (self.direction, self.slider, self.at, self.flip, self._close):
            row.addWidget(widget, 1 if widget is self.slider else 0)
        self.hide()

    def place(self) -> None:
        """Along the top edge of the view."""
        hint = self.minimumSizeHint()
        self.setGeometry(8, 8, max(hint.width(), min(MOST_PX, self._view.width() - 16)), hint.height())

    def start(self, key: str = "x") -> None:
        """Cut through the middle, across an axis or facing the eye."""
        if not self._view.has_part:
            return
        self.direction.show_choice(key)
        self.flip.setChecked(False)
        self.show()
        self._turn()
        self.opened.emit(True)
        self.slider.setFocus()

    def close_section(self) -> None:
        """The view shows something else; leave without telling it."""
        if not self.isHidden():
            self.hide()
            self.opened.emit(False)

    def end(self) -> None:
        """End the section; the whole part is shown."""
        self.close_section()
        self.cut_chosen.emit(None)
        self._view.setFocus()

    def _turn(self) -> None:
        key = self.direction.currentData()
        self._along = tuple(self._view.moves.axes()[2].tolist()) if key == VIEW else AXES[key]
        self._ends = self._view.ends_along(np.array(self._along))
        self._show(sum(self._ends) / 2)
        self._tell()

    def _show(self, at_mm: float) -> None:
        low, high = self._ends
        with QSignalBlocker(self.slider):
            self.slider.setValue(round(STEPS * (at_mm - low) / max(high - low, 1e-9)))
        self.at.show_value(at_mm)

    def _slid(self, value: int) -> None:
        low, high = self._ends
        self.at.show_value(low + (high - low) * value / STEPS)
        self._tell()

    def _typed(self, at_mm: float) -> None:
        self._show(at_mm)
        self._tell()

    def _tell(self) -> None:
        self.cut_chosen.emit(Cut(along=self._along, at_mm=self.at.value(), flipped=self.flip.isChecked()))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.end()
        else:
            super().keyPressEvent(event)
