"""Downskin zones: how many layers above a patch get laser settings of their own, and what these melt."""

from dataclasses import replace
from typing import Any

from PySide6.QtCore import QSignalBlocker
from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QPushButton, QWidget

from app.panels.fields import ChoiceBox, FieldNote, Form, NumberField, Section, plain_text, take
from app.session import Session
from core.export.zone_plan import figures_of
from core.heat.estimate import Band
from core.heat.melt_zone import ZoneFigures
from core.job import Job
from core.refusal import Refusal


class ZonePanel(Section):
    """A section of the process page, about the patch looked at. A setting equal to the job's follows the job."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(self.tr("Downskin zone"), parent)
        self._session, self._settings = session, session.settings
        self.fields: dict[str, NumberField] = {}
        self._notes: dict[str, FieldNote] = {}
        self._add_which()
        self.body.addWidget(self._form())
        self.figures = plain_text("", self)
        self.body.addWidget(self.figures)
        for changed in (session.state.changed, session.picks_changed, self._settings.looked):
            changed.connect(self._show)
        self._show()

    def _add_which(self) -> None:
        """Whose zone it is; shown from two patches on."""
        self.which = ChoiceBox(self.tr("Patch of the zone"), self)
        self.which.activated.connect(self._settings.look_at)
        self.own = QCheckBox(self.tr("A zone of its own"), self)
        self.own.setToolTip(self.tr("Ticked, these values are for this patch only; unticked, for all others together."))
        self.own.clicked.connect(self._settings.set_own_zone)
        self.for_all = QPushButton(self.tr("Give to all"), self)
        self.for_all.setAccessibleName(self.tr("Give this zone to all patches"))
        self.for_all.setToolTip(self.tr("All patches take the zone of this one."))
        self.for_all.clicked.connect(self._settings.give_zone_to_all)
        row = QHBoxLayout()
        row.addWidget(self.own, 1)
        row.addWidget(self.for_all)
        self.body.addWidget(self.which)
        self.body.addLayout(row)

    def _form(self) -> Form:
        form = Form(self)
        laser = Job().laser
        for key, label, unit, decimals, step, default in (
            ("layers", self.tr("Layers"), "", 0, 1.0, 0.0),
            ("power_w", self.tr("Power in the zone"), "W", 1, 5.0, laser.power_w),
            ("speed_mm_s", self.tr("Speed in the zone"), "mm/s", 1, 20.0, laser.speed_mm_s),
            ("hatch_mm", self.tr("Hatch in the zone"), "mm", 3, 0.01, laser.hatch_mm),
            ("spot_mm", self.tr("Spot in the zone (D4σ)"), "mm", 3, 0.01, laser.spot_mm),
            ("passes", self.tr("Passes in the zone"), "", 0, 1.0, float(laser.passes)),
        ):
            field = NumberField(unit=unit, decimals=decimals, step=step, default=default, name=label, parent=self)
            self.fields[key], self._notes[key] = field, form.add(label, field)
            name = self.tr("Set {0}").format(label.lower())
            field.edited.connect(lambda value, key=key, name=name: self._entered(key, name, value))
        self.fields["layers"].setToolTip(self.tr("Layers above the patch with these settings; 0 cuts no zone."))
        return form

    def _entered(self, key: str, step: str, value: float) -> None:
        """Change one value of the zone; one equal to the job's follows the job from now on."""
        job = self._settings.job
        new: float | None = round(value) if key in ("layers", "passes") else value
        if key != "layers" and new == getattr(job.laser, key):
            new = None
        changes: dict[str, Any] = {key: new}
        take(
            self._notes[key],
            lambda: self._settings.change_zone(step, replace(job.zone, **changes), merge=True),
        )

    def _show(self) -> None:
        job, picked = self._settings.job, self._session.picked
        laser = job.zone.laser(job.laser)
        for key, field in self.fields.items():
            field.show_value(float(job.zone.layers if key == "layers" else getattr(laser, key)))
            field.setEnabled(key == "layers" or job.zone.layers > 0)
            self._notes[key].say("")
        own = self._settings.own_zone
        several = len(picked) > 1 or own
        self.which.setVisible(several)
        self.own.setVisible(several)
        self.own.setChecked(own)
        self.for_all.setVisible(own and len(picked) > 1)
        with QSignalBlocker(self.which):
            self.which.clear()
            self.which.addItems([self._patch_words(number) for number in range(len(picked))])
            self.which.setCurrentIndex(self._settings.number)
        self.figures.setText(self._words())

    def _patch_words(self, number: int) -> str:
        job, patch = self._session.job, self._session.picked[number]
        layers = job.for_pick(job.picks[number]).zone.layers if number < len(job.picks) else 0
        what = self.tr("{0} layers").format(layers) if layers else self.tr("no zone")
        return self.tr("Above patch {0}: {1}").format(patch.id, what)

    def _words(self) -> str:
        """Energies, depths and warnings for the patch looked at."""
        job, number = self._settings.job, self._settings.number
        if not job.zone.layers:
            return self.tr("No zone: all layers are exposed with the settings above.")
        if number >= len(self._session.picked):
            return self.tr("Pick a face to see what the zone's settings do there.")
        try:
            found = figures_of(job, self._session.picked[number])
        except Refusal as refusal:
            return str(refusal)
        return "\n".join((*self._numbers(found), *(f"• {note}" for note in found.notes)))

    def _numbers(self, found: ZoneFigures) -> tuple[str, ...]:
        return (
            self.tr("{0} mm high; {1} J/mm, {2} J/mm², {3} J/mm³ sent").format(
                f"{found.height_mm:g}",
                f"{found.line_energy_j_mm:.3f}",
                f"{found.areal_energy_j_mm2:.2f}",
                f"{found.volumetric_energy_j_mm3:.0f}",
            ),
            self.tr("Melts {0} µm on solid, {1} µm on powder (estimate)").format(
                _micro(found.melt.solid_depth_m), _micro(found.melt.powder_depth_m)
            ),
        )


def _micro(band: Band) -> str:
    low, nominal, high = (value * 1e6 for value in (band.low, band.nominal, band.high))
    return f"{nominal:.0f} ({low:.0f}–{high:.0f})"
