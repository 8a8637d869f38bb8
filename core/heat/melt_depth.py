"""How deep the laser melts: an energy bound over powder, and a quick estimate over solid."""

import math

from core.gap.gap_window import MELT_SPREAD
from core.heat.estimate import Band
from core.heat.laser_settings import LaserSettings
from core.heat.materials import Alloy
from core.heat.sourced import Sourced
from core.units import kelvin_from_celsius

ROOM_K = 298.15
DEPTH_SPREAD = Sourced(
    value=MELT_SPREAD,
    source="conduction models miss the depth of 757 published tracks by 37 % (Eagar-Tsai) on average",
    flag="second-hand",
)


def depth_band_m(depth_m: float) -> Band:
    """A melt depth with the ±40 % it deserves."""
    spread = DEPTH_SPREAD.value
    return Band(low=depth_m * (1.0 - spread), nominal=depth_m, high=depth_m * (1.0 + spread))


def powder_melt_depth_m(absorbed_j_m2: float, alloy: Alloy, start_k: float, packing: float) -> float:
    """Depth from the layer's top to which one exposure can melt loose powder: E / (rho pf (cp dT + L)).

    absorbed_j_m2: A P / (v h). packing: solid share of the powder. An energy balance without losses, so an upper
    bound for powder alone; in truth heat also goes into the part beside it.
    """
    per_kg = alloy.enthalpy_to_liquid_j_kg(start_k)
    return absorbed_j_m2 / (alloy.density_kg_m3(ROOM_K) * packing * per_kg)


def powder_melt_depth_band_m(laser: LaserSettings, alloy: Alloy, porosity: float) -> Band:
    """powder_melt_depth_m of one pass of the laser on the preheated bed, ±40 %."""
    absorbed_j_m2 = laser.absorptivity * laser.areal_energy_j_mm2 / laser.passes * 1e6
    return depth_band_m(powder_melt_depth_m(absorbed_j_m2, alloy, kelvin_from_celsius(laser.preheat_c), 1.0 - porosity))


def rosenthal_depth_m(
    absorbed_w: float, speed_m_s: float, volumetric_heat_j_m3k: float, melting_rise_k: float
) -> float:
    """Melt depth of a fast point source on solid, sqrt(2 A P / (pi e rho cp v dT)) (Rosenthal, high-speed limit)."""
    return math.sqrt(2.0 * absorbed_w / (math.pi * math.e * volumetric_heat_j_m3k * speed_m_s * melting_rise_k))
