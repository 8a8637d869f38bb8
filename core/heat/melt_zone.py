"""Laser settings of a downskin zone, and what they do: energies, melt depth over solid and powder, keyholing."""

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

from core.gap.gap_window import reach_mm, vertical_gap_mm
from core.heat.estimate import Band
from core.heat.laser_settings import LaserSettings
from core.heat.materials import Alloy, alloy
from core.heat.melt_depth import depth_band_m, powder_melt_depth_band_m, rosenthal_depth_m
from core.heat.melt_pool import eagar_tsai_pool_m
from core.heat.melt_scaling import KEYHOLE, NEAR_KEYHOLE, normalised_enthalpy, scaled_pool_m
from core.heat.own_alloy import OwnAlloy
from core.refusal import Refusal
from core.units import kelvin_from_celsius, m_from_mm

MeltMode = Literal["no melting", "conduction", "near keyholing", "keyholing"]
MOST_LAYERS = 100


@dataclass(frozen=True, kw_only=True)
class ZoneChoice:
    """How many layers above a patch are exposed with settings of their own; a setting that is None is the job's."""

    layers: int = 0
    """0 cuts no zone."""
    power_w: float | None = None
    speed_mm_s: float | None = None
    hatch_mm: float | None = None
    spot_mm: float | None = None
    passes: int | None = None

    def __post_init__(self) -> None:
        if not 0 <= self.layers <= MOST_LAYERS:
            raise Refusal(f"A zone of {self.layers} layers is out of range; set 0 (none) to {MOST_LAYERS}.")
        self.laser(LaserSettings())

    def laser(self, of_job: LaserSettings) -> LaserSettings:
        """The zone's settings in full. Raises Refusal for one out of range."""
        own = {name: getattr(self, name) for name in ("power_w", "speed_mm_s", "hatch_mm", "spot_mm", "passes")}
        return replace(of_job, **{name: value for name, value in own.items() if value is not None})


@dataclass(frozen=True, kw_only=True)
class Melt:
    """What one exposure melts, by conduction; every depth is known to ±40 % at best.

    enthalpy: normalised, as melt_scaling.CONVENTION says. scaled_depth_m: None outside the range of the fits.
    """

    width_m: float
    solid_depth_m: Band
    rosenthal_depth_m: float
    scaled_depth_m: float | None
    powder_depth_m: Band
    enthalpy: float
    mode: MeltMode


@dataclass(frozen=True, kw_only=True)
class ZoneFigures:
    """One patch's zone in numbers. Energies are what the laser sends, before absorption."""

    patch: int
    layers: int
    height_mm: float
    laser: LaserSettings
    line_energy_j_mm: float
    areal_energy_j_mm2: float
    volumetric_energy_j_mm3: float
    melt: Melt
    notes: tuple[str, ...]


@lru_cache(maxsize=256)
def melt_of(laser: LaserSettings, metal: str | OwnAlloy, porosity: float) -> Melt:
    """Melt depths of one pass on the preheated part and powder; properties half way from there to the solidus."""
    dense = alloy(metal)
    start_k = kelvin_from_celsius(laser.preheat_c)
    rise_k, conductivity, heat = _solid(dense, start_k)
    absorbed_w = laser.absorptivity * laser.power_w
    speed_m_s, spot_m = m_from_mm(laser.speed_mm_s), m_from_mm(laser.spot_mm)
    width_m, depth_m = eagar_tsai_pool_m(
        absorbed_w=absorbed_w,
        speed_m_s=speed_m_s,
        spot_m=spot_m,
        conductivity_w_mk=conductivity,
        volumetric_heat_j_m3k=heat,
        melting_rise_k=rise_k,
    )
    enthalpy = normalised_enthalpy(
        absorbed_w=absorbed_w,
        speed_m_s=speed_m_s,
        radius_m=spot_m / 2,
        conductivity_w_mk=conductivity,
        volumetric_heat_j_m3k=heat,
        melting_rise_k=rise_k,
    )
    inner_m = spot_m / (2 * math.sqrt(2))  # the 1/e radius
    b = enthalpy * (spot_m / 2 / inner_m) ** 1.5 / math.sqrt(math.pi)
    scaled = scaled_pool_m(b, conductivity / heat / (speed_m_s * inner_m), inner_m)
    return Melt(
        width_m=width_m,
        solid_depth_m=depth_band_m(depth_m),
        rosenthal_depth_m=rosenthal_depth_m(absorbed_w, speed_m_s, heat, rise_k),
        scaled_depth_m=None if scaled is None else scaled[1],
        powder_depth_m=powder_melt_depth_band_m(laser, dense, porosity),
        enthalpy=enthalpy,
        mode=_mode(depth_m, enthalpy),
    )


def _solid(metal: Alloy, start_k: float) -> tuple[float, float, float]:
    """Rise to the solidus, conductivity, volumetric heat capacity of the solid."""
    if start_k >= metal.solidus_k - 1.0:
        raise Refusal(f"A plate temperature of {start_k - 273.15:.0f} °C would melt {metal.name}; set a lower one.")
    middle_k = (start_k + metal.solidus_k) / 2
    heat = metal.density_kg_m3(middle_k) * metal.heat_capacity_j_kgk(middle_k)
    return metal.solidus_k - start_k, metal.conductivity_w_mk(middle_k), heat


def _mode(depth_m: float, enthalpy: float) -> MeltMode:
    if depth_m <= 0.0:
        return "no melting"
    return "keyholing" if enthalpy >= KEYHOLE else "near keyholing" if enthalpy >= NEAR_KEYHOLE else "conduction"


def zone_figures(
    choice: ZoneChoice, of_job: LaserSettings, metal: str | OwnAlloy, porosity: float, *,
    patch: int, angle_deg: float, overhang_step_mm: float, gap_mm: float | None = None,
) -> ZoneFigures:  # fmt: skip
    """The zone of one patch. angle_deg: its flattest. gap_mm: of its sink, normal to the face; None without one."""
    laser = choice.laser(of_job)
    melt = melt_of(laser, metal, porosity)
    areal = laser.areal_energy_j_mm2
    height_mm = choice.layers * laser.layer_mm
    notes = _mode_notes(melt)
    if overhang_step_mm > laser.hatch_mm:
        step = "without end" if math.isinf(overhang_step_mm) else f"{overhang_step_mm:.2f} mm wide"
        notes.append(
            f"Each layer's step over powder is {step}, more than the zone's hatch of {laser.hatch_mm:g} mm: whole "
            "tracks are laid on powder, whatever the settings."
        )
    above = melt_of(of_job, metal, porosity).solid_depth_m.nominal * 1e3
    if above > height_mm + laser.layer_mm:
        notes.append(
            f"The layers above the zone melt about {above:.2f} mm deep with the job's settings, through its "
            f"{height_mm:.2f} mm; take {min(math.ceil(above / laser.layer_mm), MOST_LAYERS)} layers or more."
        )
    if gap_mm is not None:
        reach = reach_mm(melt.powder_depth_m.nominal * 1e3, laser.layer_mm)
        if reach > vertical_gap_mm(gap_mm, min(angle_deg, 80.0)):
            notes.append(f"With the zone's settings the melt may still reach {reach:.2f} mm down, to the sink.")
    notes.append("Melt depths are estimates to ±40 %, by conduction alone; cut a section of the coupon to know.")
    return ZoneFigures(
        patch=patch,
        layers=choice.layers,
        height_mm=height_mm,
        laser=laser,
        line_energy_j_mm=laser.power_w / laser.speed_mm_s,
        areal_energy_j_mm2=areal,
        volumetric_energy_j_mm3=areal / laser.layer_mm,
        melt=melt,
        notes=tuple(notes),
    )


def _mode_notes(melt: Melt) -> list[str]:
    if melt.mode == "no melting":
        return ["These settings melt nothing on solid metal; raise the power or slow down."]
    if melt.mode == "conduction":
        return []
    word = "Keyholing is to be expected" if melt.mode == "keyholing" else "Keyholing is near"
    return [
        f"{word}: normalised enthalpy {melt.enthalpy:.1f} by the 1/e² radius, keyholes from about {KEYHOLE:g} (from "
        "memory). The melt goes deeper than conduction says; widen the spot, lower the power or go faster."
    ]
