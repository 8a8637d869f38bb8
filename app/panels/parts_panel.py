"""Parts on the plate: which there are, where each stands and how it is turned, and which are too near."""

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QGridLayout, QListWidget, QListWidgetItem, QPushButton, QVBoxLayout, QWidget

from app.appearance import icon, level_colour
from app.panels.fields import Form, NumberField, plain_text
from app.parts_follower import PartsFollower

LIST_PX = 112
"""Four parts without scrolling."""


class PartsPanel(QWidget):
    """A list of parts; fields and buttons below it are about the chosen one."""

    add_wanted = Signal()

    def __init__(self, follower: PartsFollower, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._follower = follower
        column = QVBoxLayout(self)
        column.setContentsMargins(10, 8, 10, 8)
        self.list = QListWidget(self)
        self.list.setAccessibleName(self.tr("Parts on the plate"))
        self.list.setFixedHeight(LIST_PX)
        self.list.currentRowChanged.connect(self._show_chosen)
        column.addWidget(self.list)
        self.findings = plain_text(parent=self)
        column.addWidget(self.findings)
        buttons = QGridLayout()
        self.buttons: dict[str, QPushButton] = {}
        for place, (name, text, tip) in enumerate(
            (
                ("add", self.tr("Add…"), self.tr("Files dropped on the window with Shift or Ctrl held are added too.")),
                ("double", self.tr("Duplicate"), self.tr("The same part once more, with its picked faces.")),
                ("free", self.tr("Find a free place"), self.tr("Moves the part as little as it takes.")),
                ("remove", self.tr("Remove"), self.tr("Takes the part and its picked faces out of the job.")),
            )
        ):
            button = QPushButton(text, self)
            button.setToolTip(tip)
            buttons.addWidget(button, place // 2, place % 2)
            self.buttons[name] = button
        self.buttons["add"].clicked.connect(self.add_wanted)
        for name in ("double", "free", "remove"):
            self.buttons[name].clicked.connect(lambda _=False, n=name: getattr(follower, n)(self.chosen))
        column.addLayout(buttons)
        form = Form(self)
        self.at: list[NumberField] = []
        self.turns: list[NumberField] = []
        for axis, letter in enumerate("XY"):
            label = self.tr("Centre {0}").format(letter)
            field = NumberField(unit="mm", decimals=2, step=5, default=0, name=label, parent=self)
            field.setToolTip(self.tr("Middle of the part's box, from the plate's origin."))
            form.add(label, field)
            field.edited.connect(lambda value, a=axis: follower.move_to(self.chosen, a, value))
            self.at.append(field)
        for axis, letter in enumerate("XYZ"):
            label = self.tr("Turn about {0}").format(letter)
            field = NumberField(unit="°", decimals=2, step=5, default=0, name=label, parent=self)
            form.add(label, field)
            field.edited.connect(lambda value, a=axis: follower.turn_to(self.chosen, a, value))
            self.turns.append(field)
        column.addWidget(form)
        column.addStretch(1)
        follower.changed.connect(self._show)
        self._show()

    @property
    def chosen(self) -> int:
        """Number of the chosen part, from 0."""
        return max(self.list.currentRow(), 0)

    def _show(self) -> None:
        follower, count = self._follower, self._follower.count
        level = follower.apart.level if follower.apart is not None else None
        with QSignalBlocker(self.list):
            before, row = self.list.count(), self.chosen
            self.list.clear()
            for number in range(count):
                at = follower.centre_mm(number)
                words = follower.name(number)
                if at is not None:
                    words = self.tr("{0} at {1}, {2} mm").format(words, f"{at[0]:.1f}", f"{at[1]:.1f}")
                item = QListWidgetItem(words, self.list)
                word = (level or {}).get(number)
                item.setIcon(icon(word, level_colour(word, self.palette())) if word else icon("part"))
            self.list.setCurrentRow(count - 1 if count > before > 0 else min(row, count - 1))
        found = follower.apart.findings if follower.apart is not None else ()
        self.findings.setText("\n".join(f"• {finding.text}" for finding in found))
        self.findings.setVisible(bool(found))
        self._show_chosen()

    def _show_chosen(self) -> None:
        follower, count = self._follower, self._follower.count
        self.buttons["add"].setEnabled(count > 0)
        self.buttons["double"].setEnabled(count > 0)
        self.buttons["free"].setEnabled(count > 1)
        self.buttons["remove"].setEnabled(count > 1)
        for field in (*self.at, *self.turns):
            field.setEnabled(count > 0)
        if count == 0 or self.chosen >= count:
            return
        at = follower.centre_mm(self.chosen)
        if at is not None:
            for field, value in zip(self.at, at, strict=True):
                field.show_value(round(value, 6))
        for field, angle in zip(self.turns, follower.pose(self.chosen).rotate_deg, strict=True):
            field.show_value(angle)
