"""Materials and machines: a table of values with unit, flag and source, a form for the chosen one, and what to do."""

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QGridLayout,
    QHeaderView,
    QLineEdit,
    QPushButton,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.library_follower import IN_JOB, LibraryFollower
from app.panels.fields import ChoiceBox, plain_text
from app.panels.value_form import ValueForm
from core.heat.library_file import Held
from core.heat.machine_setting import MachineSetting
from core.heat.materials import alloy_names
from core.heat.own_alloy import OwnAlloy
from core.heat.value_rows import ValueRow
from core.where_from import NAMES, UNITS, alloy_words, machine_words, origins

TABLE_PX, NAME_PX, ROW_PX = 170, 98, 4
"""Least height of the table, width of its first column, room above and below a line."""


class LibraryPanel(QWidget):
    """Shows what the follower looks at and hands every wish to it."""

    import_wanted = Signal()
    export_wanted = Signal()

    def __init__(self, follower: LibraryFollower, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._follower = follower
        column = QVBoxLayout(self)
        column.setContentsMargins(10, 8, 10, 8)
        self.which = ChoiceBox(self.tr("Alloy or machine setting"), self)
        self.which.activated.connect(lambda _: follower.look_at(self.which.currentData()))
        self.revision = ChoiceBox(self.tr("Revision"), self)
        self.revision.activated.connect(lambda _: follower.look_at(follower.name, self.revision.currentData()))
        self.words = plain_text(parent=self)
        self.table = self._made_table()
        self.source = plain_text(parent=self)
        self.form = ValueForm(follower, self)
        for widget in (self.which, self.revision, self.words, self.table, self.source, self.form):
            column.addWidget(widget)
        column.addLayout(self._actions())
        column.addStretch(1)
        self._rows: tuple[ValueRow | None, ...] = ()
        self._sources: tuple[str, ...] = ()
        self._filled: object = None
        follower.changed.connect(self._show)
        self._show()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._follower.look_again()

    def _made_table(self) -> QTableWidget:
        table = QTableWidget(0, 5, self)
        tr = self.tr
        table.setHorizontalHeaderLabels([tr("Quantity"), tr("Value"), tr("Unit"), tr("Flag"), tr("Source")])
        table.setAccessibleName(tr("Values with their sources"))
        table.verticalHeader().hide()
        for header in (table.horizontalHeader(), table.verticalHeader()):
            header.setAccessibleName(tr("Values with their sources"))
        for corner in table.findChildren(QAbstractButton):
            corner.setAccessibleName(tr("Choose all values"))
        table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        table.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        table.setMinimumHeight(TABLE_PX)
        table.setTabKeyNavigation(False)
        table.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        table.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        table.horizontalHeader().setSectionResizeMode(0, QHeaderView.ResizeMode.Interactive)
        table.horizontalHeader().resizeSection(0, NAME_PX)
        table.horizontalHeader().setStretchLastSection(True)
        table.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        table.verticalHeader().setDefaultSectionSize(table.fontMetrics().height() + ROW_PX)
        table.currentCellChanged.connect(lambda *_: self._show_chosen())
        return table

    def _actions(self) -> QGridLayout:
        follower, tr = self._follower, self.tr
        grid = QGridLayout()
        self.name = QLineEdit(self)
        self.name.setPlaceholderText(tr("Name of the copy"))
        self.name.setAccessibleName(tr("Name of the copy"))
        self.buttons: dict[str, QPushButton] = {}
        for place, (name, text, tip) in enumerate(
            (
                ("copy", tr("Copy as own"), tr("Under the name beside; the values start with their sources.")),
                ("apply", tr("Apply to the job"), tr("One step, which undo takes back; the job keeps the values.")),
                ("save", tr("Save as a revision"), tr("The older revisions are kept.")),
                ("drop", tr("Drop changes"), tr("Back to the newest revision.")),
                ("take", tr("Import…"), tr("A file that differs becomes a new revision.")),
                ("give", tr("Export…"), tr("One file with all revisions.")),
            )
        ):
            button = QPushButton(text, self)
            button.setToolTip(tip)
            self.buttons[name] = button
            row, col = divmod(place + 1, 2) if place else (0, 1)
            grid.addWidget(button, row, col)
        grid.addWidget(self.name, 0, 0)
        self.buttons["copy"].clicked.connect(self._copy)
        self.buttons["apply"].clicked.connect(follower.apply)
        self.buttons["save"].clicked.connect(lambda _=False: follower.save())
        self.buttons["drop"].clicked.connect(follower.drop)
        self.buttons["take"].clicked.connect(self.import_wanted)
        self.buttons["give"].clicked.connect(self.export_wanted)
        self.name.textChanged.connect(lambda _: self._show_buttons())
        return grid

    def _copy(self) -> None:
        self._follower.copy(self.name.text().strip())
        if self._follower.name.casefold() == self.name.text().strip().casefold():
            self.name.clear()

    def _show(self) -> None:
        if not self.isVisible():
            return
        self._show_choices()
        follower, job, held = self._follower, self._follower.state.job, self._follower.held
        revision = follower.shown_revision
        if held is None:
            said = machine_words(job)
            words = [self.tr("Alloy: {0}").format(alloy_words(job))]
            words += [self.tr("Machine setting: {0}").format(said)] if said else []
        elif revision is None:
            words = [self.tr("Built in and read-only; copy it under a name of your own to change values.")]
        else:
            words = [revision.note] if revision.note else []
            if isinstance(held, OwnAlloy):
                span = f"{held.valid_from_k:g} – {held.valid_to_k:g} K"
                words.append(self.tr("Meant for {0}.").format(span))
                words += [self.tr("Begun as a copy of {0}.").format(held.copied_from)] if held.copied_from else []
        if follower.draft is not None:
            words.append(self.tr("Changed, not saved yet."))
        self.words.setText(" ".join(words))
        self.words.setVisible(bool(words))
        self._fill(held)
        self._show_buttons()

    def _show_choices(self) -> None:
        follower, tr = self._follower, self.tr
        kinds = {"alloy": tr("{0}, own alloy"), "machine": tr("{0}, machine setting")}
        with QSignalBlocker(self.which), QSignalBlocker(self.revision):
            self.which.clear()
            self.which.addItem(tr("What the job uses"), IN_JOB)
            for name in alloy_names():
                self.which.addItem(tr("{0}, built in").format(name), name)
            for file in follower.listing.files:
                self.which.addItem(kinds[file.kind].format(file.name), file.name)
            self.which.show_choice(follower.name)
            self.revision.clear()
            revisions = () if follower.file is None else follower.file.revisions
            for revision in revisions:
                number = revision.held.revision
                newest = number == len(revisions)
                word = tr("Revision {0} of {1}, newest") if newest else tr("Revision {0} of {1}")
                self.revision.addItem(word.format(number, revision.saved_on), None if newest else number)
            if follower.revision is not None:
                self.revision.setCurrentIndex(self.revision.findData(follower.revision))
        self.revision.setVisible(follower.file is not None)

    def _fill(self, held: Held | None) -> None:
        key = (held, self._follower.name, None if held is not None else self._follower.state.job)
        if key == self._filled:
            self._show_chosen()
            return
        same_thing = isinstance(self._filled, tuple) and self._filled[1] == self._follower.name
        at, self._filled = (self.table.currentRow() if same_thing else 0), key
        if held is None:
            found = origins(self._follower.state.job)
            cells = [(o.name, o.value, "", o.flag, o.source) for o in found]
            self._rows = (None,) * len(found)
        else:
            self._rows = self._follower.rows()
            cells = [_cells(row) for row in self._rows if row is not None]
        self._sources = tuple(row[4] for row in cells)
        with QSignalBlocker(self.table):
            self.table.setColumnHidden(2, held is None)  # the unit stands beside the value
            self.table.setRowCount(len(cells))
            for number, texts in enumerate(cells):
                for place, text in enumerate(texts):
                    item = QTableWidgetItem(text)
                    item.setToolTip(texts[0] if place == 0 else texts[4])
                    if place == 1:
                        item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
                    self.table.setItem(number, place, item)
            self.table.setCurrentCell(min(max(at, 0), len(cells) - 1), 0)
        self._show_chosen()

    def _show_chosen(self) -> None:
        at = self.table.currentRow()
        known = 0 <= at < len(self._rows)
        self.source.setText(self.tr("Source: {0}").format(self._sources[at]) if known else "")
        self.form.show_row(self._rows[at] if known else None)
        self.source.setVisible(known and not self.form.isVisibleTo(self))  # the form shows it too

    def _show_buttons(self) -> None:
        follower, held = self._follower, self._follower.held
        self.name.setEnabled(not isinstance(held, MachineSetting))
        text = self.tr("Copy as own") if held is not None else self.tr("Keep machine setting")
        self.buttons["copy"].setText(text)
        clean = follower.draft is None
        self.buttons["copy"].setEnabled(bool(self.name.text().strip()) and clean and self.name.isEnabled())
        self.buttons["apply"].setEnabled(held is not None and clean)
        self.buttons["save"].setEnabled(not clean)
        self.buttons["drop"].setEnabled(not clean)
        self.buttons["give"].setEnabled(follower.file is not None)


def _cells(row: ValueRow) -> tuple[str, str, str, str, str]:
    name = NAMES[row.key] if row.temperature_k is None else f"{NAMES[row.key]}, {row.temperature_k:g} K"
    value = row.value if isinstance(row.value, str) else f"{row.value:.10g}"
    return name, value, UNITS.get(row.key, ""), row.flag, row.source
