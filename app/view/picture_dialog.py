"""Asks for size and ground of a picture of the view."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QIcon
from PySide6.QtWidgets import QCheckBox, QDialog, QDialogButtonBox, QFormLayout, QHBoxLayout, QLabel, QWidget

from app.panels.fields import ChoiceBox, NumberField
from app.view.big_picture import AS_SHOWN, CLEAR, LEAST_PX, MOST_PX, WHITE, PictureChoice

SIZES = ((1920, 1080), (3840, 2160))
OWN = "own"


class PictureDialog(QDialog):
    """Starts with the choice made last."""

    def __init__(self, parent: QWidget, shown_px: tuple[int, int], last: PictureChoice | None) -> None:
        super().__init__(parent)
        self.setWindowTitle(self.tr("Save a picture of the view"))
        self._shown_px = shown_px
        self.size_choice = ChoiceBox(self.tr("Size"), self)
        self.size_choice.addItem(self.tr("as shown, {0} × {1}").format(*shown_px), "shown")
        for width, height in SIZES:
            self.size_choice.addItem(f"{width} × {height}", f"{width}x{height}")
        self.size_choice.addItem(self.tr("own size"), OWN)
        self.size_choice.setSizeAdjustPolicy(ChoiceBox.SizeAdjustPolicy.AdjustToContents)
        self.width_px, self.height_px = (
            NumberField(
                unit="px", decimals=0, step=10, default=default, name=name, low=LEAST_PX, high=MOST_PX, parent=self
            )
            for name, default in ((self.tr("Width"), 1920), (self.tr("Height"), 1080))
        )
        for field in (self.width_px, self.height_px):
            field.setToolTip(self.tr("From {0} to {1} pixels").format(LEAST_PX, MOST_PX))
        sides = QHBoxLayout()
        for widget in (self.width_px, QLabel("×", self), self.height_px):
            sides.addWidget(widget)
        sides.addStretch(1)
        self.ground = ChoiceBox(self.tr("Ground"), self)
        for text, key in (
            (self.tr("as shown"), AS_SHOWN),
            (self.tr("white"), WHITE),
            (self.tr("transparent"), CLEAR),
        ):
            self.ground.addItem(text, key)
        self.marks = QCheckBox(self.tr("With axes and colour scale"), self)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel, Qt.Orientation.Horizontal, self)
        buttons.button(QDialogButtonBox.StandardButton.Cancel).setIcon(QIcon())
        save = buttons.addButton(self.tr("Save as…"), QDialogButtonBox.ButtonRole.AcceptRole)
        save.setDefault(True)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        form = QFormLayout(self)
        form.addRow(self.tr("Size"), self.size_choice)
        form.addRow("", sides)
        form.addRow(self.tr("Ground"), self.ground)
        form.addRow("", self.marks)
        form.addRow(buttons)
        self.size_choice.currentIndexChanged.connect(self._show_sides)
        self._start_with(last or PictureChoice(size_px=shown_px))

    def _start_with(self, choice: PictureChoice) -> None:
        key = "shown" if choice.size_px == self._shown_px else "{}x{}".format(*choice.size_px)
        self.size_choice.show_choice(key if self.size_choice.findData(key) >= 0 else OWN)
        self.width_px.show_value(choice.size_px[0])
        self.height_px.show_value(choice.size_px[1])
        self.ground.show_choice(choice.ground)
        self.marks.setChecked(choice.marks)
        self._show_sides()

    def _show_sides(self) -> None:
        own = self.size_choice.currentData() == OWN
        for field, side in zip((self.width_px, self.height_px), self._chosen_px(), strict=True):
            field.setEnabled(own)
            field.show_value(side)

    def _chosen_px(self) -> tuple[int, int]:
        key = self.size_choice.currentData()
        if key == OWN:
            return round(self.width_px.value()), round(self.height_px.value())
        if key == "shown":
            return self._shown_px
        width, height = key.split("x")
        return int(width), int(height)

    def choice(self) -> PictureChoice:
        """What was chosen."""
        return PictureChoice(size_px=self._chosen_px(), ground=self.ground.currentData(), marks=self.marks.isChecked())
