"""The live estimate: heat from one patch straight down to the plate, with and without its sink."""

import math
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from core.gap.gap_window import fuse_limit, heat_limit_mm
from core.heat.estimate import Band, Estimate
from core.heat.estimate_notes import notes_for
from core.heat.gap_conductance import gap_conductance_band, gap_resistance_m2k_w, wall_band
from core.heat.laser_settings import LaserSettings
from core.heat.materials import alloy as alloy_named
from core.heat.melt_depth import powder_melt_depth_band_m
from core.heat.own_alloy import OwnAlloy
from core.heat.powder_choice import PowderChoice
from core.heat.powder_conductivity import powder_band
from core.heat.sink_resistance import sink_resistance_m2k_w
from core.heat.sourced import Sourced
from core.part.patch import Patch
from core.sink.sink_choice import SinkChoice
from core.units import FloatArray, kelvin_from_celsius, m_from_mm

TOP_LOSS_W_M2K = Sourced(
    value=25.0, source="gas flow 10-25 W/m²K and radiation about 10 W/m²K at 500 K together; starting value from memory"
)
ABSORPTIVITY_SPREAD = Sourced(value=0.25, source="range of published absorptivities about the defaults; from memory")


def column_flux_w_m2(*, drop_k: float, thickness_m: FloatArray, conductivity_w_mk: FloatArray) -> float:
    """Heat flux through layers in a row: drop / sum(thickness / conductivity). thickness_m, conductivity_w_mk: (n,)."""
    return float(drop_k / np.sum(np.asarray(thickness_m) / np.asarray(conductivity_w_mk)))


def column_temperatures_k(
    *, flux_w_m2: float, base_k: float, thickness_m: FloatArray, conductivity_w_mk: FloatArray
) -> FloatArray:
    """(n + 1,) temperatures from the top to the base of n layers, listed from the top, under a steady flux."""
    drops = flux_w_m2 * np.asarray(thickness_m) / np.asarray(conductivity_w_mk)
    return np.asarray(base_k + np.append(np.cumsum(drops[::-1])[::-1], 0.0))


def mean_flux_w_m2(laser: LaserSettings, absorptivity: float) -> float:
    """Absorbed heat per area averaged over one layer's time: A P/(v h) * passes / layer time."""
    return absorptivity * laser.areal_energy_j_mm2 * 1e6 / laser.layer_time_s


def rise_k(flux_w_m2: float, resistance_m2k_w: float) -> float:
    """Steady rise with two ways out in parallel: down the column, and off the top at 25 W/m²K."""
    return flux_w_m2 / (1.0 / resistance_m2k_w + TOP_LOSS_W_M2K.value)


def allowed_resistance_m2k_w(flux_w_m2: float, rise_allowed_k: float) -> float:
    """The column resistance that just gives the allowed rise; infinite when the top loses enough by itself."""
    needed_w_m2k = flux_w_m2 / rise_allowed_k - TOP_LOSS_W_M2K.value
    return 1.0 / needed_w_m2k if needed_w_m2k > 0.0 else math.inf


@dataclass(frozen=True, kw_only=True)
class ColumnFacts:
    """What the estimate needs and the gap doesn't change."""

    powder_w_mk: Band
    wall_w_m2k: Band
    metal_w_mk: float
    flux_w_m2: Band
    highest_rise_k: float
    """From the plate's temperature to the solidus: the scale ends here."""


@lru_cache(maxsize=256)
def column_facts(
    alloy: str | OwnAlloy, laser: LaserSettings, powder: PowderChoice, rise_allowed_k: float
) -> ColumnFacts:
    """Properties at half the allowed rise over the preheat; refusals as in `alloy`."""
    metal = alloy_named(alloy)
    plate_k = kelvin_from_celsius(laser.preheat_c)
    temperature_k = min(plate_k + 0.5 * rise_allowed_k, metal.solidus_k)
    spread = ABSORPTIVITY_SPREAD.value
    low, nominal, high = (
        mean_flux_w_m2(laser, min(laser.absorptivity * share, 1.0)) for share in (1.0 - spread, 1.0, 1.0 + spread)
    )
    return ColumnFacts(
        powder_w_mk=powder_band(powder, metal, temperature_k),
        wall_w_m2k=wall_band(powder, temperature_k),
        metal_w_mk=metal.conductivity_w_mk(temperature_k),
        flux_w_m2=Band(low=low, nominal=nominal, high=high),
        highest_rise_k=max(metal.solidus_k - plate_k, 0.0),
    )


def estimate_patch(
    patch: Patch,
    *,
    gap_mm: float,
    sink: SinkChoice,
    alloy: str | OwnAlloy,
    laser: LaserSettings,
    powder: PowderChoice,
    rise_allowed_k: float,
    downskin: LaserSettings | None = None,
) -> Estimate:
    """Steady 1-D estimate for one patch; gap_mm is normal to the face.

    downskin: settings of the first layers over the powder, where they differ; they set the fuse limit.

    All heat of the exposure goes straight down or off the top; none sideways into the part, so the rises are upper
    estimates, most of all without a sink. The column is as high as the patch's mean height; the slant of the face
    (more area per plan area) is left out. Rises end at the solidus: beyond it a steady rise means nothing.
    """
    facts = column_facts(alloy, laser, powder, rise_allowed_k)
    height_mm = max(patch.centre_mm[2], gap_mm)
    gap_upright_mm = gap_mm / math.cos(math.radians(min(patch.mean_angle_deg, 80.0)))
    sink_height_m = m_from_mm(max(height_mm - gap_upright_mm, 0.0))
    powder_w_mk, wall = facts.powder_w_mk, facts.wall_w_m2k
    low, nominal, high = (
        _column(facts, sink, m_from_mm(gap_mm), m_from_mm(height_mm), sink_height_m, k, alpha)
        for k, alpha in (
            (powder_w_mk.low, wall.low),
            (powder_w_mk.nominal, wall.nominal),
            (powder_w_mk.high, wall.high),
        )
    )
    flux = facts.flux_w_m2
    downskin = laser if downskin is None else downskin
    melt_depth_m = powder_melt_depth_band_m(downskin, alloy_named(alloy), powder.porosity).nominal
    fuse = fuse_limit(melt_depth_m * 1e3, laser.layer_mm, patch.lowest_angle_deg)
    estimate = Estimate(
        patch=patch.id,
        conductance_w_m2k=gap_conductance_band(m_from_mm(gap_mm), powder_w_mk, wall),
        powder_conductivity_w_mk=powder_w_mk,
        resistance_with_m2k_w=Band(low=high.with_sink, nominal=nominal.with_sink, high=low.with_sink),
        resistance_without_m2k_w=Band(low=high.without, nominal=nominal.without, high=low.without),
        rise_with_k=_rise_band(facts, high.with_sink, nominal.with_sink, low.with_sink),
        rise_without_k=_rise_band(facts, high.without, nominal.without, low.without),
        fuse_limit_mm=Band(low=fuse.low_mm, nominal=fuse.nominal_mm, high=fuse.high_mm),
        heat_limit_mm=Band(
            low=low.heat_limit_mm(flux.high, rise_allowed_k),
            nominal=nominal.heat_limit_mm(flux.nominal, rise_allowed_k),
            high=high.heat_limit_mm(flux.low, rise_allowed_k),
        ),
    )
    notes = notes_for(
        patch,
        estimate,
        gap_mm=gap_mm,
        laser=downskin,
        calibrated=powder.conductivity_w_mk is not None,
        metal_w_mk=facts.metal_w_mk,
        sink_resistance_m2k_w=nominal.rest,
        no_room=sink_height_m <= 0.0,
        highest_rise_k=facts.highest_rise_k,
    )
    return replace(estimate, notes=notes)


@dataclass(frozen=True, kw_only=True)
class _Column:
    """Resistances in m²K/W for one value of powder conductivity and wall conductance; rest is the sink's own."""

    powder_w_mk: float
    wall_w_m2k: float
    rest: float
    with_sink: float
    without: float

    def heat_limit_mm(self, flux_w_m2: float, rise_allowed_k: float) -> float:
        return heat_limit_mm(
            conductivity_w_mk=self.powder_w_mk,
            wall_w_m2k=self.wall_w_m2k,
            resistance_allowed_m2k_w=allowed_resistance_m2k_w(flux_w_m2, rise_allowed_k),
            resistance_rest_m2k_w=self.rest,
            resistance_without_m2k_w=self.without,
        )


def _column(
    facts: ColumnFacts,
    sink: SinkChoice,
    gap_m: float,
    height_m: float,
    sink_height_m: float,
    powder_w_mk: float,
    wall_w_m2k: float,
) -> _Column:
    rest = sink_resistance_m2k_w(sink, sink_height_m, facts.metal_w_mk, powder_w_mk)
    return _Column(
        powder_w_mk=powder_w_mk,
        wall_w_m2k=wall_w_m2k,
        rest=rest,
        with_sink=gap_resistance_m2k_w(gap_m, powder_w_mk, wall_w_m2k) + rest,
        without=gap_resistance_m2k_w(height_m, powder_w_mk, wall_w_m2k),
    )


def _rise_band(facts: ColumnFacts, low: float, nominal: float, high: float) -> Band:
    """Rises for three resistances: little absorbed into a low one, much into a high one; never above the solidus."""
    flux, top = facts.flux_w_m2, facts.highest_rise_k
    return Band(
        low=min(rise_k(flux.low, low), top),
        nominal=min(rise_k(flux.nominal, nominal), top),
        high=min(rise_k(flux.high, high), top),
    )
