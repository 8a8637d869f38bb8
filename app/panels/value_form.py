"""The form for one value of the user's own: value, temperature, flag, and a source without which it isn't taken."""

from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QPushButton, QVBoxLayout, QWidget

from app.library_follower import LibraryFollower
from app.panels.fields import ChoiceBox, Form, take
from core.heat.sourced import FLAGS
from core.heat.value_rows import ValueRow
from core.refusal import Refusal
from core.where_from import UNITS


class ValueForm(QWidget):
    """Hidden where nothing can be changed."""

    def __init__(self, follower: LibraryFollower, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._follower = follower
        self._row: ValueRow | None = None
        tr = self.tr
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        self.form = Form(self)
        self.value, self.at_k, self.source = QLineEdit(self), QLineEdit(self), QLineEdit(self)
        self.flag = ChoiceBox(tr("Flag"), self)
        words = {"read": tr("read"), "second-hand": tr("second-hand"), "memory": tr("from memory"),
                 "computed": tr("computed"), "measured": tr("measured by us")}  # fmt: skip
        for flag in FLAGS:
            self.flag.addItem(words[flag], flag)
        self.value.setAccessibleName(tr("Value"))
        self.at_k.setAccessibleName(tr("At temperature, K"))
        self.source.setAccessibleName(tr("Source"))
        self.form.add(tr("Value"), self.value)
        self.form.add(tr("At, K"), self.at_k)
        self.form.add(tr("Flag"), self.flag)
        self.note = self.form.add(tr("Source"), self.source)
        column.addWidget(self.form)
        line = QHBoxLayout()
        self.change_button = QPushButton(tr("Change"), self)
        self.add_button, self.remove_button = QPushButton(tr("Add row"), self), QPushButton(tr("Remove row"), self)
        for button, tip, do in (
            (self.change_button, tr("Takes value, flag and source into the list above."), self.change),
            (self.add_button, tr("One more row of this table, at the temperature above."), self.add),
            (self.remove_button, tr("Takes this row out of its table."), self.remove),
        ):
            button.setToolTip(tip)
            button.clicked.connect(do)
            line.addWidget(button)
        column.addLayout(line)

    def show_row(self, row: ValueRow | None) -> None:
        """The chosen value; what was typed for another one is dropped."""
        shown = row is not None and self._follower.editable
        self.setVisible(shown)
        if row is None or row == self._row:
            return
        self._row = row
        unit = UNITS.get(row.key, "")
        self.value.setText(row.value if isinstance(row.value, str) else f"{row.value:.10g}")
        self.value.setPlaceholderText(unit)
        self.value.setToolTip(unit)
        self.at_k.setText("" if row.temperature_k is None else f"{row.temperature_k:.10g}")
        self.form.set_row_visible(self.at_k, row.temperature_k is not None)
        self.flag.show_choice(row.flag)
        self.source.setText(row.source)
        self.note.say("")
        for button in (self.add_button, self.remove_button):
            button.setVisible(row.temperature_k is not None)

    def change(self) -> None:
        """Change the chosen value."""
        old = self._row
        if old is not None:
            take(self.note, lambda: self._follower.change(old, self._typed(old)))

    def add(self) -> None:
        """Add a row to the table of the chosen value."""
        old = self._row
        if old is not None:
            take(self.note, lambda: self._follower.add(self._typed(old)))

    def remove(self) -> None:
        """Take the chosen row out."""
        old = self._row
        if old is not None:
            take(self.note, lambda: self._follower.remove(old))

    def _typed(self, old: ValueRow) -> ValueRow:
        text = self.value.text().strip()
        value = text if isinstance(old.value, str) else self._number(text)
        at_k = None if old.temperature_k is None else self._number(self.at_k.text())
        return ValueRow(key=old.key, number=old.number, temperature_k=at_k, value=value,
                        flag=str(self.flag.currentData()), source=self.source.text())  # fmt: skip

    def _number(self, text: str) -> float:
        try:
            return float(text.strip())
        except ValueError:
            raise Refusal(self.tr("“{0}” is not a number; write it like 13.5.").format(text.strip()[:20])) from None
