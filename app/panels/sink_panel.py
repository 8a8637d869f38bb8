"""Second page of the inspector: the gap over its window, the live estimate, and the sink's dimensions."""

import math

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QPushButton, QSlider, QStyle, QVBoxLayout, QWidget

from app.panels.estimate_table import EstimateTable
from app.panels.fields import ChoiceBox, Form, NumberField, Section, plain_text, take
from app.panels.gap_window_bar import GapWindowBar
from app.panels.gap_words import UNITS, gap_factor, gap_words
from app.panels.proposal_panel import ProposalPanel
from app.panels.sink_form import SinkForm
from app.session import Session
from core.gap.gap_choice import GapChoice
from core.job import Job

DEFAULT = Job()
SLIDER_UM = (20, 1500)


class SinkPanel(QWidget):
    """While the slider moves only the preview and the estimate follow; the job changes on release."""

    unit_chosen = Signal(str)
    """The gap is to be shown in this unit from now on."""

    def __init__(self, session: Session, gap_unit: str = UNITS[0], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session, self._state, self._settings = session, session.state, session.settings
        self._proposed_mm = DEFAULT.gap.gap_mm
        column = QVBoxLayout(self)
        column.setContentsMargins(10, 6, 10, 6)
        column.addWidget(self._which_section())
        column.addWidget(self._gap_section())
        column.addWidget(self._estimate_section())
        self.sink = SinkForm(self._state, self._settings, self)
        column.addWidget(self.sink)
        self.proposal = ProposalPanel(session, self)
        column.addWidget(self.proposal)
        column.addStretch(1)
        self.unit.setCurrentText(gap_unit)
        self._use_unit()
        self.unit.currentTextChanged.connect(self._use_unit)
        self.unit.currentTextChanged.connect(self.unit_chosen)
        self._state.changed.connect(self._show)
        session.picks_changed.connect(self._show)
        session.preview_changed.connect(self._show_gap)
        self._settings.looked.connect(self._show)
        self._show()

    def _which_section(self) -> QWidget:
        """Which sink the page is about, and whether it has settings of its own."""
        box = QWidget(self)
        column = QVBoxLayout(box)
        column.setContentsMargins(0, 4, 0, 0)
        self.hint = plain_text(
            self.tr("Click a coloured face in the view, or a patch in the list, to give it a sink."), self
        )
        self.propose_sinks = QPushButton(self.tr("Propose sinks"), self)
        self.propose_sinks.setToolTip(
            self.tr("Choose patches, kinds of sink, gaps and zones for the whole part, and say why")
        )
        self.which = ChoiceBox(self.tr("Sink"), self)
        self.which.activated.connect(self._settings.look_at)
        self.own = QCheckBox(self.tr("Settings of its own"), self)
        self.own.setToolTip(self.tr("Ticked, gap and dimensions on this page change this sink only."))
        self.own.clicked.connect(self._settings.set_own)
        self.for_all = QPushButton(self.tr("Give to all"), self)
        self.for_all.setToolTip(self.tr("All sinks take the gap and dimensions of this one."))
        self.for_all.clicked.connect(self._settings.give_to_all)
        self.copy_button, self.paste_button = QPushButton(self.tr("Copy"), self), QPushButton(self.tr("Paste"), self)
        self.copy_button.setToolTip(self.tr("Keeps gap, dimensions and zone of this sink, to be pasted to others."))
        self.paste_button.setToolTip(self.tr("Gives what was copied to this sink, or to all sinks chosen in the list."))
        self.copy_button.setAccessibleName(self.tr("Copy settings of this sink"))
        self.paste_button.setAccessibleName(self.tr("Paste settings to the chosen sinks"))
        self.copy_button.clicked.connect(self._settings.copy)
        self.paste_button.clicked.connect(self._settings.paste)
        row = QHBoxLayout()
        for button in (self.copy_button, self.paste_button, self.for_all):
            row.addWidget(button, 1)
        for widget in (self.hint, self.propose_sinks, self.which, self.own):
            column.addWidget(widget)
        column.addLayout(row)
        return box

    def _gap_section(self) -> Section:
        section = Section(self.tr("Powder gap"), self)
        self.bar = GapWindowBar(self)
        self.slider = QSlider(Qt.Orientation.Horizontal, self)
        self.slider.setSingleStep(10)
        self.slider.setPageStep(50)
        self.slider.setAccessibleName(self.tr("Powder gap"))
        self.slider.valueChanged.connect(self._slid)
        self.slider.sliderReleased.connect(self._released)
        self.unit = ChoiceBox(self.tr("Unit of the gap"), self)
        self.unit.addItems(UNITS)
        self.spin = NumberField(unit="", decimals=0, step=1, default=0, name=self.tr("Powder gap"), parent=self)
        self.spin.edited.connect(self._entered)
        row = QHBoxLayout()
        row.addWidget(self.spin, 1)
        row.addWidget(self.unit)
        self.unit.setMinimumContentsLength(3)
        self.best = QPushButton(self.tr("Best gap"), self)
        row.addWidget(self.best)
        form = Form(self)
        self.note = form.add(self.tr("Gap"), row)
        for widget in (self.bar, self.slider, form):
            section.body.addWidget(widget)
        self.verdict = plain_text(parent=self)
        self.propose = QPushButton(self)
        self.propose.setToolTip(self.tr("First gap to try: the fuse limit as estimated, at least 5.5 layers."))
        self.propose.clicked.connect(self._take_proposed)
        row = QHBoxLayout()
        row.addWidget(self.verdict, 1)
        row.addWidget(self.propose)
        section.body.addLayout(row)
        return section

    def _set_slider_range(self) -> None:
        """From two layers, the least that a job takes."""
        low = max(SLIDER_UM[0], math.ceil(2000 * self._state.job.laser.layer_mm - 1e-6))
        if (self.slider.minimum(), self.slider.maximum()) != (low, SLIDER_UM[1]):
            with QSignalBlocker(self.slider):
                self.slider.setRange(low, SLIDER_UM[1])
            handle = self.style().pixelMetric(QStyle.PixelMetric.PM_SliderLength, None, self.slider)
            self.bar.set_axis(low, SLIDER_UM[1], margin_px=handle / 2)

    def _estimate_section(self) -> Section:
        section = Section(self.tr("Estimate, until a coupon replaces it"), self)
        self.table = EstimateTable(self)
        section.body.addWidget(self.table)
        self.estimate = section
        return section

    # Showing the job -----------------------------------------------------------------------------

    def _show(self) -> None:
        self.note.say("")
        self._set_slider_range()
        picked = self._session.picked
        self.hint.setVisible(not picked)
        self.propose_sinks.setVisible(not picked)
        self.estimate.setVisible(bool(picked))
        own = any(pick.has_own for pick in self._state.job.picks)
        for widget in (self.which, self.own, self.copy_button, self.paste_button):
            widget.setVisible(len(picked) > 1 or own)
        self.paste_button.setEnabled(self._settings.copied is not None)
        self.own.setChecked(self._settings.own)
        self.for_all.setVisible(self._settings.own)
        with QSignalBlocker(self.which):
            self.which.clear()
            for patch in picked:
                self.which.addItem(
                    self.tr("Under patch {0}, {1} mm², from {2}°").format(
                        patch.id, f"{patch.area_mm2:.1f}", f"{patch.lowest_angle_deg:.1f}"
                    )
                )
            self.which.setCurrentIndex(self._settings.number)
        self._show_gap()

    def _show_gap(self) -> None:
        gap_mm = self._session.preview_gap_mm or self._settings.job.gap.gap_mm
        if not self.slider.isSliderDown():
            with QSignalBlocker(self.slider):
                self.slider.setValue(round(1000 * gap_mm))
        self.spin.show_value(gap_mm * gap_factor(self.unit.currentText()))
        window = self._session.window()
        estimate = window.estimate if window is not None else None
        self.bar.show_estimate(estimate, gap_mm)
        self.bar.show_trials(window)
        self.table.show_estimate(estimate)
        self.verdict.setVisible(window is not None)
        self.propose.setVisible(window is not None)
        if window is not None:
            words = {
                "not recommended": self.tr("At this gap: not recommended, the face is too flat"),
                "fuses": self.tr("At this gap: fuses"),
                "may fuse": self.tr("At this gap: may fuse"),
                "comes free": self.tr("At this gap: comes free"),
            }
            self.verdict.setText(words[window.verdict])
            self.verdict.setToolTip(window.text)
            self._proposed_mm = window.proposed_gap_mm
            self.propose.setText(self.tr("Take {0}").format(gap_words(self._proposed_mm, self.unit.currentText())))
            self.propose.setEnabled(abs(self._proposed_mm - self._settings.job.gap.gap_mm) > 1e-9)

    # Changing the gap ----------------------------------------------------------------------------

    def _slid(self, gap_um: int) -> None:
        if self.slider.isSliderDown():
            self._session.preview_gap(gap_um / 1000)
        else:
            self._set_gap(gap_um / 1000)

    def _released(self) -> None:
        if not self._set_gap(self.slider.value() / 1000):
            self._session.preview_gap(None)

    def _entered(self, value: float) -> None:
        self._set_gap(value / gap_factor(self.unit.currentText()))

    def _take_proposed(self) -> None:
        self._set_gap(self._proposed_mm)

    def _set_gap(self, gap_mm: float) -> bool:
        step = self.tr("Set gap to {0}").format(gap_words(gap_mm, self.unit.currentText()))
        return take(self.note, lambda: self._settings.change(step, gap=GapChoice(gap_mm=gap_mm)))

    def _use_unit(self) -> None:
        """Slider, field, bar and table all show the gap in the chosen unit."""
        unit = self.unit.currentText()
        factor = gap_factor(unit)
        in_um = unit == "µm"
        default = DEFAULT.gap.gap_mm * factor
        self.spin.set_unit(unit, decimals=0 if in_um else 3, step=10 if in_um else 0.01, default=default)
        self.spin.setToolTip(
            self.tr("Shortest way from sink to part, normal to the face.") + " " + self.spin.default_tip()
        )
        self.bar.set_unit(unit)
        self.table.set_unit(unit)
        self._show()
