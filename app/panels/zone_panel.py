"""Downskin zones: how many layers above each patch get laser settings of their own, and what these melt."""

from dataclasses import replace
from functools import partial
from typing import Any

from PySide6.QtWidgets import QWidget

from app.panels.fields import Form, NumberField, Section, bind, plain_text
from app.session import Session
from core.heat.estimate import Band
from core.heat.melt_zone import ZoneFigures, zone_figures
from core.job import Job
from core.refusal import Refusal


class ZonePanel(Section):
    """A section of the process page. A setting equal to the job's follows the job."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(self.tr("Downskin zone"), parent)
        self._session, self._state = session, session.state
        form = Form(self)
        self.fields: dict[str, NumberField] = {}
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
            bind(
                field,
                form.add(label, field),
                self._state,
                self.tr("Set {0}").format(label.lower()),
                partial(_shown, key),
                partial(_with, key),
            )
            self.fields[key] = field
        self.fields["layers"].setToolTip(self.tr("Layers above each patch with these settings; 0 cuts no zone."))
        self.body.addWidget(form)
        self.figures = plain_text("", self)
        self.body.addWidget(self.figures)
        for changed in (self._state.changed, session.picks_changed, session.settings.looked):
            changed.connect(self._show)
        self._show()

    def _show(self) -> None:
        for key, field in self.fields.items():
            field.setEnabled(key == "layers" or self._state.job.zone.layers > 0)
        self.figures.setText(self._words())

    def _words(self) -> str:
        """Energies, depths and warnings for the patch looked at."""
        job, number = self._session.settings.job, self._session.settings.number
        if not job.zone.layers:
            return self.tr("No zone: the whole part is exposed with the settings above.")
        if number >= len(self._session.picked):
            return self.tr("Pick a face to see what the zone's settings do there.")
        patch = self._session.picked[number]
        try:
            found = zone_figures(
                job.zone, job.laser, job.alloy, job.powder.porosity, patch=patch.id, angle_deg=patch.lowest_angle_deg,
                overhang_step_mm=patch.overhang_step_mm, gap_mm=job.gap.gap_mm,
            )  # fmt: skip
        except Refusal as refusal:
            return str(refusal)
        return "\n".join((*self._numbers(found), *found.notes))

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


def _shown(key: str, job: Job) -> float:
    """The zone's value in force, its own or the job's."""
    return float(job.zone.layers if key == "layers" else getattr(job.zone.laser(job.laser), key))


def _with(key: str, job: Job, value: float) -> Job:
    """The job with one of the zone's values; one equal to the job's follows the job from now on."""
    new: float | None = round(value) if key in ("layers", "passes") else value
    if key != "layers" and new == getattr(job.laser, key):
        new = None
    changes: dict[str, Any] = {key: new}
    return replace(job, zone=replace(job.zone, **changes))
