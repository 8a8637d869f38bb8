"""Third page of the inspector: alloy, laser settings and powder."""

from dataclasses import replace

from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QVBoxLayout, QWidget

from app.library_follower import LibraryFollower
from app.panels.fields import ChoiceBox, Form, NumberField, Section, bind, bind_value, plain_text, take
from app.panels.zone_panel import ZonePanel
from app.session import Session
from core.heat.materials import alloy_names
from core.heat.powder_choice import GASES
from core.job import Job, with_alloy

DEFAULT = Job()
MEASURED_START_W_MK = 0.2


class ProcessPanel(QWidget):
    """Values the machine shows, in the units the machine shows them in."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._state = session.state
        self._library: LibraryFollower | None = None
        self.sourced_fields: dict[str, QWidget] = {}
        """Fields whose tip says where the value comes from, by the value's key."""
        column = QVBoxLayout(self)
        column.setContentsMargins(10, 6, 10, 6)
        self.alloy_section = self._alloy_section()
        column.addWidget(self.alloy_section)
        column.addWidget(self._laser_section())
        self.zone = ZonePanel(session, self)
        column.addWidget(self.zone)
        column.addWidget(self._powder_section())
        column.addStretch(1)
        self._state.changed.connect(self._show)
        self._show()

    def _alloy_section(self) -> Section:
        section = Section(self.tr("Alloy"), self)
        form = Form(self)
        self.alloy = ChoiceBox(self.tr("Alloy"), self)
        self.alloy.textActivated.connect(self._alloy_chosen)
        self._alloy_note = form.add(self.tr("Alloy"), self.alloy)
        rise = NumberField(
            unit="K", decimals=0, step=10, default=DEFAULT.rise_allowed_k, name=self.tr("Allowed rise"), parent=self
        )
        rise.setToolTip(self.tr("The heat limit is the gap at which the estimated rise reaches this."))
        bind(
            rise,
            form.add(self.tr("Allowed rise"), rise),
            self._state,
            self.tr("Set allowed rise"),
            lambda job: job.rise_allowed_k,
            lambda job, value: replace(job, rise_allowed_k=value),
        )
        section.body.addWidget(form)
        return section

    def _laser_section(self) -> Section:
        section = Section(self.tr("Laser settings of the downskin"), self)
        form = Form(self)
        laser = DEFAULT.laser
        for key, label, unit, decimals, step, default in (
            ("power_w", self.tr("Power"), "W", 1, 5.0, laser.power_w),
            ("speed_mm_s", self.tr("Speed"), "mm/s", 1, 20.0, laser.speed_mm_s),
            ("hatch_mm", self.tr("Hatch"), "mm", 3, 0.01, laser.hatch_mm),
            ("layer_mm", self.tr("Layer"), "mm", 3, 0.005, laser.layer_mm),
            ("spot_mm", self.tr("Spot (D4σ)"), "mm", 3, 0.01, laser.spot_mm),
            ("absorptivity", self.tr("Absorptivity"), "", 2, 0.05, laser.absorptivity),
            ("layer_time_s", self.tr("Layer time"), "s", 1, 1.0, laser.layer_time_s),
            ("preheat_c", self.tr("Plate preheat"), "°C", 0, 10.0, laser.preheat_c),
        ):
            field = NumberField(unit=unit, decimals=decimals, step=step, default=default, name=label, parent=self)
            note = form.add(label, field)
            self.sourced_fields[key] = field
            bind_value(field, note, self._state, self.tr("Set {0}").format(label.lower()), "laser", key)
        passes = NumberField(unit="", decimals=0, step=1, default=laser.passes, name=self.tr("Passes"), parent=self)
        bind(
            passes,
            form.add(self.tr("Passes"), passes),
            self._state,
            self.tr("Set passes"),
            lambda job: float(job.laser.passes),
            lambda job, value: replace(job, laser=replace(job.laser, passes=round(value))),
        )
        self.sourced_fields["passes"] = passes
        section.body.addWidget(form)
        return section

    def _powder_section(self) -> Section:
        section = Section(self.tr("Powder"), self)
        form = Form(self)
        self.gas = ChoiceBox(self.tr("Gas"), self)
        words = {"argon": self.tr("argon"), "nitrogen": self.tr("nitrogen"), "helium": self.tr("helium")}
        for gas in GASES:
            self.gas.addItem(words[gas], gas)
        self.gas.activated.connect(self._gas_chosen)
        self._gas_note = form.add(self.tr("Gas"), self.gas)
        powder = DEFAULT.powder
        for key, label, unit, decimals, step, default in (
            ("diameter_um", self.tr("Mean diameter"), "µm", 1, 1.0, powder.diameter_um),
            ("d90_um", self.tr("D90"), "µm", 1, 1.0, powder.d90_um),
            ("porosity", self.tr("Porosity"), "", 2, 0.01, powder.porosity),
        ):
            field = NumberField(unit=unit, decimals=decimals, step=step, default=default, name=label, parent=self)
            note = form.add(label, field)
            bind_value(field, note, self._state, self.tr("Set {0}").format(label.lower()), "powder", key)
        self.measured = QCheckBox(self.tr("measured"), self)
        self.measured.setToolTip(
            self.tr("Unticked, the conductivity comes from the model, known to a factor of about 2.")
        )
        self.measured.clicked.connect(self._measured_chosen)
        self.conductivity = NumberField(
            unit="W/mK",
            decimals=3,
            step=0.01,
            default=MEASURED_START_W_MK,
            name=self.tr("Powder conductivity"),
            parent=self,
        )
        self.conductivity.edited.connect(self._set_conductivity)
        self.sourced_fields |= {"gas": self.gas, "powder_w_mk": self.conductivity}
        row = QHBoxLayout()
        row.addWidget(self.measured)
        row.addWidget(self.conductivity, 1)
        self._conductivity_note = form.add(self.tr("Conductivity"), row)
        section.body.addWidget(form)
        section.body.addWidget(
            plain_text(self.tr("Starting values; put in what your machine and powder data say."), self)
        )
        return section

    def follow_library(self, library: LibraryFollower) -> None:
        """Offer the user's own alloys beside the built-in ones."""
        self._library = library
        library.changed.connect(self._show)
        self._show()

    def _show_alloys(self) -> None:
        names = list(alloy_names() if self._library is None else self._library.alloys)
        if [self.alloy.itemText(number) for number in range(self.alloy.count())] != names:
            self.alloy.clear()
            self.alloy.addItems(names)

    def _show(self) -> None:
        job = self._state.job
        self._show_alloys()
        if self.alloy.findText(job.alloy) < 0:
            self.alloy.addItem(job.alloy)
        self.alloy.setCurrentText(job.alloy)
        self.gas.show_choice(job.powder.gas)
        measured = job.powder.conductivity_w_mk
        self.measured.setChecked(measured is not None)
        self.conductivity.setEnabled(measured is not None)
        self.conductivity.show_value(MEASURED_START_W_MK if measured is None else measured)

    def _alloy_chosen(self, name: str) -> None:
        library = self._library
        step = self.tr("Set alloy to {0}").format(name)
        take(
            self._alloy_note,
            lambda: self._state.set(with_alloy(self._state.job, name), step)
            if library is None
            else library.set_alloy(name),
        )

    def _gas_chosen(self) -> None:
        gas = self.gas.currentData()
        take(
            self._gas_note,
            lambda: self._state.set(
                replace(self._state.job, powder=replace(self._state.job.powder, gas=gas)), self.tr("Set gas")
            ),
        )

    def _measured_chosen(self, on: bool) -> None:
        self._set_conductivity(self.conductivity.value() if on else None)

    def _set_conductivity(self, value_w_mk: float | None) -> None:
        take(
            self._conductivity_note,
            lambda: self._state.set(
                replace(self._state.job, powder=replace(self._state.job.powder, conductivity_w_mk=value_w_mk)),
                self.tr("Set powder conductivity"),
                merge=True,
            ),
        )
