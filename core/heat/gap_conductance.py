"""What a thin powder gap lets through, its two walls included."""

import math
from functools import lru_cache

from core.heat.estimate import Band
from core.heat.gas import gas
from core.heat.powder_choice import PowderChoice
from core.heat.powder_conductivity import EMISSIVITY, STEFAN_BOLTZMANN_W_M2K4

WALL_COVER = 0.8
"""Share of a wall that particles touch, VDI Heat Atlas (from memory)."""
ROUGHNESS_M = (5e-6, 1e-6, 0.0)
"""Wall roughness behind the low, nominal and high wall conductance; starting values from memory."""


def wall_conductance_w_m2k(
    *,
    gas_w_mk: float,
    jump_length_m: float,
    diameter_m: float,
    roughness_m: float = 0.0,
    temperature_k: float = 0.0,
    emissivity: float = EMISSIVITY.value,
) -> float:
    """Heat transfer from a wall into the first row of particles, Schlünder (VDI Heat Atlas, chapter M).

    alpha_w = phi alpha_WP + (1-phi) (2k/d)/(sqrt2 + 2(l+delta)/d) + alpha_rad,
    alpha_WP = (4k/d) ((1+x) ln(1+1/x) - 1), x = 2(l+delta)/d. temperature_k 0 leaves radiation out.
    """
    x = 2.0 * (jump_length_m + roughness_m) / diameter_m
    particle = 4.0 * gas_w_mk / diameter_m * ((1.0 + x) * math.log(1.0 + 1.0 / x) - 1.0)
    void = 2.0 * gas_w_mk / diameter_m / (math.sqrt(2.0) + x)
    radiation = 4.0 * STEFAN_BOLTZMANN_W_M2K4 * temperature_k**3 / (2.0 / emissivity - 1.0)
    return WALL_COVER * particle + (1.0 - WALL_COVER) * void + radiation


def gap_resistance_m2k_w(gap_m: float, conductivity_w_mk: float, wall_w_m2k: float) -> float:
    """R = g/k + 2/alpha_w: the powder and the two walls in a row."""
    return gap_m / conductivity_w_mk + 2.0 / wall_w_m2k


@lru_cache(maxsize=256)
def wall_band(powder: PowderChoice, temperature_k: float) -> Band:
    """Wall conductance in W/m²K for rough, usual and smooth walls; radiation included."""
    around = gas(powder.gas)
    low, nominal, high = (
        wall_conductance_w_m2k(
            gas_w_mk=around.conductivity_w_mk(temperature_k),
            jump_length_m=around.jump_length_m(temperature_k),
            diameter_m=powder.diameter_um * 1e-6,
            roughness_m=roughness_m,
            temperature_k=temperature_k,
        )
        for roughness_m in ROUGHNESS_M
    )
    return Band(low=low, nominal=nominal, high=high)


def gap_conductance_band(gap_m: float, powder_w_mk: Band, wall_w_m2k: Band) -> Band:
    """Conductance of the gap in W/m²K: low with low powder and wall values, and so on."""
    return Band(
        low=1.0 / gap_resistance_m2k_w(gap_m, powder_w_mk.low, wall_w_m2k.low),
        nominal=1.0 / gap_resistance_m2k_w(gap_m, powder_w_mk.nominal, wall_w_m2k.nominal),
        high=1.0 / gap_resistance_m2k_w(gap_m, powder_w_mk.high, wall_w_m2k.high),
    )
