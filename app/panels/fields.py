"""Fields with a unit, a default and a sentence when a value can't be taken."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from PySide6.QtCore import QLocale, QSignalBlocker, Qt, Signal
from PySide6.QtGui import QContextMenuEvent, QWheelEvent
from PySide6.QtWidgets import (
    QComboBox,
    QDoubleSpinBox,
    QFormLayout,
    QFrame,
    QLabel,
    QLayout,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from app.appearance import level_colour
from app.job_state import JobState
from core.job import Job
from core.refusal import Refusal


class NumberField(QDoubleSpinBox):
    """A number with its unit. Reads and shows a decimal point in every locale; right-click restores the default."""

    edited = Signal(float)
    """The engineer entered another value."""

    def __init__(
        self,
        *,
        unit: str,
        decimals: int,
        step: float,
        default: float,
        name: str,
        low: float = -1e6,
        high: float = 1e6,
        parent: QWidget | None = None,
    ) -> None:
        """low and high only bound the digits; what a value may be is for the job to say, with a reason."""
        super().__init__(parent)
        self.setLocale(QLocale.c())
        self.setGroupSeparatorShown(False)
        self.setDecimals(decimals)
        self.setRange(low, high)
        self.setSingleStep(step)
        self.setSuffix(f" {unit}" if unit and unit != "°" else unit)
        self.setKeyboardTracking(False)
        self.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.setAccessibleName(name)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._default = default
        self.setToolTip(self.default_tip())
        self.valueChanged.connect(self.edited)

    def default_tip(self) -> str:
        """The sentence on the default and how to get it back."""
        return self.tr("Default: {0}. Right-click to restore it.").format(
            self.textFromValue(self._default) + self.suffix()
        )

    def set_unit(self, unit: str, *, decimals: int, step: float, default: float) -> None:
        """Show another unit; the value is set by whoever asked for it."""
        with QSignalBlocker(self):
            self.setDecimals(decimals)
            self.setSingleStep(step)
            self.setSuffix(f" {unit}")
        self._default = default

    def show_value(self, value: float) -> None:
        """Show a value without reporting it as edited."""
        if abs(value - self.value()) > 1e-12:
            with QSignalBlocker(self):
                self.setValue(value)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """The wheel changes a value only in the field that has the focus, so that scrolling is safe."""
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        menu = self.lineEdit().createStandardContextMenu()
        menu.addSeparator()
        restore = menu.addAction(
            self.tr("Restore default ({0})").format(self.textFromValue(self._default) + self.suffix())
        )
        if menu.exec(event.globalPos()) is restore:
            self.setValue(self._default)


class ChoiceBox(QComboBox):
    """A list to choose from; may be narrower than its longest entry, and lets the wheel pass while scrolling by."""

    def __init__(self, name: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setMinimumContentsLength(6)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    def show_choice(self, key: str | None) -> None:
        """Show the entry with this key; `activated` is not emitted."""
        self.setCurrentIndex(self.findData(key))

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()


class Form(QWidget):
    """Labels and fields in rows, each with room for a sentence below the field."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._rows = QFormLayout(self)
        self._rows.setContentsMargins(0, 0, 0, 0)
        self._rows.setHorizontalSpacing(10)
        self._rows.setVerticalSpacing(5)
        self._rows.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        self._rows.setLabelAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)

    def add(self, label: str, field: QWidget | QLayout) -> "FieldNote":
        """Add a row; the note returned shows refusals at this field."""
        note = FieldNote(self)
        word = QLabel(label, self)
        if isinstance(field, QWidget):
            word.setBuddy(field)
        self._rows.addRow(word, field)
        self._rows.addRow(note)
        return note

    def set_row_visible(self, field: QWidget | QLayout, on: bool) -> None:
        """Show or hide the row of a field, with its label."""
        self._rows.setRowVisible(field, on)


class FieldNote(QLabel):
    """The sentence under a field; takes no room while there is none."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWordWrap(True)
        self.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.hide()

    def say(self, text: str) -> None:
        self.setText(text)
        self.setStyleSheet(f"color: {level_colour('stop', self.palette()).name()}")
        self.setVisible(bool(text))


def take(note: FieldNote, change: Callable[[], None]) -> bool:
    """Make a change; a refusal is said at the field and the job stays. Returns True when it was made."""
    try:
        change()
    except Refusal as refusal:
        note.say(str(refusal))
        return False
    note.say("")
    return True


def bind(
    field: NumberField,
    note: FieldNote,
    state: JobState,
    step_name: str,
    read: Callable[[Job], float],
    write: Callable[[Job, float], Job],
) -> None:
    """Keep a field and one value of the job in step, both ways."""

    def entered(value: float) -> None:
        take(note, lambda: state.set(write(state.job, value), step_name, merge=True))

    def show() -> None:
        field.show_value(read(state.job))
        note.say("")

    field.edited.connect(entered)
    state.changed.connect(show)
    show()


def bind_value(field: NumberField, note: FieldNote, state: JobState, step_name: str, group: str, key: str) -> None:
    """As `bind`, for the value `key` of one of the job's choices, such as 'layer_mm' of 'laser'."""

    def write(job: Job, value: float) -> Job:
        changes: dict[str, Any] = {group: replace(getattr(job, group), **{key: value})}
        return replace(job, **changes)

    bind(field, note, state, step_name, lambda job: float(getattr(getattr(job, group), key)), write)


class Section(QWidget):
    """A titled block of an inspector page."""

    def __init__(self, title: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 4, 0, 6)
        column.setSpacing(6)
        word = QLabel(title, self)
        font = word.font()
        font.setBold(True)
        word.setFont(font)
        line = QFrame(self)
        line.setFrameShape(QFrame.Shape.HLine)
        line.setFrameShadow(QFrame.Shadow.Plain)
        line.setStyleSheet("color: palette(mid)")
        column.addWidget(word)
        column.addWidget(line)
        self.body = column


def plain_text(text: str = "", parent: QWidget | None = None) -> QLabel:
    """A wrapped text that can be selected and copied."""
    label = QLabel(text, parent)
    label.setWordWrap(True)
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    label.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
    return label
