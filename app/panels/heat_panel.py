"""Fifth page of the inspector: three depths of answer on the heat, and following the build with and without sinks."""

from dataclasses import replace

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtGui import QGuiApplication, QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QToolButton, QVBoxLayout, QWidget

from app.appearance import icon
from app.heat_follower import HeatFollower
from app.panels.fields import ChoiceBox, FieldNote, Form, NumberField, Section, plain_text, take
from app.panels.heat_depths import HeatDepths, Row, in_celsius
from app.panels.heat_table import HeatTable, as_text
from app.session import Session
from core.heat.compare_heat import HeatComparison
from core.heat.heat_choice import HeatChoice
from core.heat.heat_notes import FULL, LIVE, QUICK, cell_notes
from core.heat.quick_look import QuickHeat
from core.run_window import gap_windows

DEFAULT = HeatChoice()
MOST_IMBALANCE = 0.01
"""Books that miss more than this of the heat are pointed out."""


class HeatPanel(QWidget):
    """What is known of a patch, settings and the rest to unfold, a button to start and one to stop, results."""

    export_wanted = Signal()
    choice_changed = Signal(object)
    """The HeatChoice as it is now."""

    def __init__(self, session: Session, follower: HeatFollower, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session, self._follower = session, follower
        self.fields: dict[str, NumberField] = {}
        column = QVBoxLayout(self)
        column.setContentsMargins(10, 6, 10, 6)
        column.addWidget(self._depth_section())
        column.addWidget(self._run_section())
        column.addWidget(self._result_section())
        column.addStretch(1)
        follower.changed.connect(self._show)
        follower.quick.changed.connect(self._show)
        follower.card.changed.connect(self._show_machine)
        session.result_changed.connect(self._show)
        session.picks_changed.connect(self._show)
        self._show()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._follower.card.look()

    def _depth_section(self) -> Section:
        section = Section(self.tr("Between layers: three depths of answer"), self)
        self.which = ChoiceBox(self.tr("Patch of the result"), self)
        self.which.currentIndexChanged.connect(self._show)
        self.depths = HeatDepths(self)
        self.depth_words = plain_text(parent=self)
        for widget in (self.which, self.depths, self.depth_words):
            section.body.addWidget(widget)
        self.known = section
        return section

    def _run_section(self) -> Section:
        section = Section(self.tr("Full build, layer by layer"), self)
        form, more = Form(self), Form(self)
        for place, key, label, unit, decimals, step, tip in (
            (form, "cell_mm", self.tr("Cell size"), "mm", 2, 0.5,
             self.tr("Edge of the cubes that part, sinks and powder are cut into; automatic takes about a million.")),
            (form, "recoat_s", self.tr("Recoating time"), "s", 1, 1.0,
             self.tr("From the end of one exposure to the start of the next.")),
            (form, "plate_w_m2k", self.tr("Into the plate"), "W/m²K", 0, 100.0,
             self.tr("From the lowest metal through the build plate to where its temperature is held.")),
            (more, "margin_mm", self.tr("Powder around"), "mm", 1, 1.0,
             self.tr("How much powder around the part is followed too.")),
            (more, "powder_c", self.tr("Fresh powder"), "°C", 0, 5.0, ""),
            (more, "gas_c", self.tr("Gas above"), "°C", 0, 5.0, ""),
            (more, "gas_w_m2k", self.tr("Into the gas"), "W/m²K", 1, 1.0, ""),
            (more, "emissivity", self.tr("Emissivity"), "", 2, 0.05, self.tr("Of the surface, for its radiation.")),
        ):  # fmt: skip
            field = NumberField(
                unit=unit, decimals=decimals, step=step, default=getattr(DEFAULT, key), name=label, parent=self
            )
            field.setToolTip(f"{tip} {field.default_tip()}".strip())
            note = place.add(label, field)
            field.edited.connect(lambda value, k=key, n=note: self._entered(k, value, n))
            self.fields[key] = field
        cell = self.fields["cell_mm"]
        cell.setMinimum(0.0)
        cell.setSpecialValueText(self.tr("automatic"))
        cell.setToolTip(f"{self.tr('0 is automatic.')} {cell.toolTip()}")
        more.hide()
        self.unfold = QToolButton(self)
        self.unfold.setText(self.tr("Powder, gas and radiation"))
        self.unfold.setCheckable(True)
        self.unfold.setAutoRaise(True)
        self.unfold.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        self.unfold.setArrowType(Qt.ArrowType.RightArrow)
        self.unfold.toggled.connect(more.setVisible)
        self.unfold.toggled.connect(
            lambda on: self.unfold.setArrowType(Qt.ArrowType.DownArrow if on else Qt.ArrowType.RightArrow)
        )
        self.machine = ChoiceBox(self.tr("Machine"), self)
        for name, key in ((self.tr("processor"), "processor"), (self.tr("NVIDIA card"), "card")):
            self.machine.addItem(name, key)
        self.machine.activated.connect(self._machine_chosen)
        form.add(self.tr("Worked on by"), self.machine)
        self.run_button, self.stop_button = QPushButton(self.tr("Follow the build"), self), QPushButton(self)
        self.run_button.clicked.connect(self._follower.run)
        self.stop_button.setText(self.tr("Stop"))
        self.stop_button.clicked.connect(self._follower.stop)
        row = QHBoxLayout()
        row.addWidget(self.run_button, 1)
        row.addWidget(self.stop_button)
        self.state_words = plain_text(parent=self)
        for widget in (form, self.unfold, more):
            section.body.addWidget(widget)
        section.body.addLayout(row)
        section.body.addWidget(self.state_words)
        return section

    def _result_section(self) -> Section:
        section = Section(self.tr("What the full build gave"), self)
        self.out_of_date = plain_text(self.tr("Out of date: the job or the settings above changed."), self)
        self.table = HeatTable(self)
        self.facts = plain_text(parent=self)
        self.copy_button = QPushButton(self.tr("Copy table"), self)
        self.copy_button.setToolTip(self.tr("All patches, for a spreadsheet."))
        self.copy_button.clicked.connect(self._copy)
        self.export_button = QPushButton(self.tr("Export heat…"), self)
        self.export_button.clicked.connect(self.export_wanted)
        row = QHBoxLayout()
        row.addWidget(self.copy_button)
        row.addWidget(self.export_button)
        for widget in (self.out_of_date, self.table, self.facts):
            section.body.addWidget(widget)
        section.body.addLayout(row)
        self.result = section
        return section

    def _entered(self, key: str, value: float, note: FieldNote) -> None:
        def change() -> None:
            changed: dict[str, float] = {key: value}
            choice = replace(self._follower.choice, **changed)  # type: ignore[arg-type]  # all fields shown are numbers
            self._follower.set_choice(choice)
            self.choice_changed.emit(choice)

        take(note, change)

    def _machine_chosen(self) -> None:
        choice = replace(self._follower.choice, machine=self.machine.currentData())
        self._follower.set_choice(choice)
        self.choice_changed.emit(choice)

    def _show(self) -> None:
        follower, comparison = self._follower, self._follower.comparison
        for key, field in self.fields.items():
            field.show_value(getattr(follower.choice, key))
        self._show_machine()
        running, refusal = follower.running, follower.refusal()
        self.run_button.setIcon(icon("process"))
        self.run_button.setEnabled(not running and not refusal and not follower.is_current)
        self.run_button.setText(self.tr("Go on following") if follower.halfway else self.tr("Follow the build"))
        self.stop_button.setEnabled(running)
        self.state_words.setText(self._words(refusal))
        self.state_words.setVisible(bool(self.state_words.text()))
        self._show_depths()
        self.result.setVisible(comparison is not None)
        if comparison is not None:
            self._show_result(comparison)

    def _show_machine(self) -> None:
        """The card can be chosen where there is one; a choice kept from elsewhere can be taken back."""
        card, chosen = self._follower.card, self._follower.choice.machine
        self.machine.show_choice(chosen)
        self.machine.setEnabled(bool(card.name) or chosen == "card")
        self.machine.setToolTip(card.name or card.reason)

    def _show_depths(self) -> None:
        session, quick, comparison = self._session, self._follower.quick, self._follower.comparison
        ids = [patch.id for patch in session.picked]
        if [self.which.itemData(i) for i in range(self.which.count())] != ids:
            with QSignalBlocker(self.which):
                kept = self.which.currentData()
                self.which.clear()
                for number in ids:
                    self.which.addItem(self.tr("Patch {0}").format(number), number)
                self.which.setCurrentIndex(max(0, self.which.findData(kept)))
        self.which.setVisible(len(ids) > 1)
        self.known.setVisible(bool(ids))
        patch = self.which.currentData()
        looked = next((p for p in quick.answer.patches if p.patch == patch), None) if quick.answer else None
        followed = next((p for p in comparison.patches if p.patch == patch), None) if comparison else None
        self.depths.show_row(LIVE, self._live(patch))
        self.depths.show_row(QUICK, (looked.with_c, looked.without_c) if looked else None, current=quick.is_current)
        self.depths.show_row(
            FULL, (followed.with_c, followed.without_c) if followed else None, current=self._follower.is_current
        )
        self.depth_words.setText(
            self.tr(
                "Estimates, to be calibrated with the coupon. 1-D and quick look are steady, as if layers at that "
                "height never ended, and end at the solidus; the full build follows every layer in time."
            )
            + self._quick_words(looked)
        )
        self.table.setVisible(followed is not None)
        if followed is not None:
            self.table.show_patch(followed)

    def _live(self, patch: int | None) -> Row | None:
        """The 1-D estimate of a patch for the job as it is, as temperatures."""
        session = self._session
        if patch is None or len(session.picked) != len(session.job.picks):
            return None
        windows = gap_windows(session.job, session.picked)
        estimate = next((window.estimate for window in windows if window.patch.id == patch), None)
        return None if estimate is None else in_celsius(estimate, session.job.laser.preheat_c)

    def _quick_words(self, looked: QuickHeat | None) -> str:
        quick = self._follower.quick
        if quick.looking:
            return "\n" + self.tr("The quick look is under way…")
        if looked is None or quick.answer is None:
            return ""
        if not quick.is_current:
            return "\n" + self.tr("The quick look is out of date; it follows once the sinks are built.")
        words = self.tr("Quick look on cells of {0} mm: their size leaves ± {1} K with the sink, ± {2} K without.")
        moved = (f"{k:.0f}" for k in (looked.cells.with_k, looked.cells.without_k))
        return "\n" + words.format(f"{quick.answer.cell_mm:g}", *moved)

    def _words(self, refusal: str) -> str:
        if self._follower.running:
            return self.tr("Following the build; you can work on meanwhile.")
        if refusal:
            return refusal
        if self._follower.halfway:
            return self.tr("Stopped. What was done is kept and goes on from there.")
        return ""

    def _show_result(self, comparison: HeatComparison) -> None:
        current = self._follower.is_current
        self.out_of_date.setVisible(not current)
        for widget in (self.table, self.facts, self.export_button, self.copy_button):
            widget.setEnabled(current)
        lost = max(comparison.with_sinks.imbalance, comparison.without.imbalance)
        words = self.tr(
            "Cells of {0} mm, {1} in all. Heat put in and given off agree to {2} %. Build time {3} h."
        ).format(
            f"{comparison.cell_mm:g}",
            f"{comparison.n_cells:,}".replace(",", " "),
            f"{max(100 * lost, 0.01):.2g}",
            f"{comparison.with_sinks.build_time_s / 3600:.1f}",
        )
        result = self._session.result
        notes: tuple[str, ...] = ()
        if current and result is not None:
            sinks = [sink.choice for sink in result.sinks]
            notes = cell_notes(comparison.patches, comparison.cell_mm, sinks, result.job.laser.preheat_c)
        if lost > MOST_IMBALANCE:
            words += " " + self.tr("That is too much to trust them.")
        self.facts.setText("\n".join((words, *notes)))

    def _copy(self) -> None:
        if self._follower.comparison is not None:
            QGuiApplication.clipboard().setText(as_text(self._follower.comparison))
