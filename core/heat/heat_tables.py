"""Alloy and powder as tables over temperature, for loops that look them up a million times."""

from dataclasses import dataclass

import numpy as np

from core.heat.gap_conductance import wall_band
from core.heat.materials import Alloy
from core.heat.powder_choice import PowderChoice
from core.heat.powder_conductivity import powder_band
from core.units import FloatArray

LOWEST_K, HIGHEST_K, STEP_K = 200.0, 5000.0, 10.0
_POWDER_STEP_K = 100.0


@dataclass(frozen=True, kw_only=True, eq=False)
class HeatTables:
    """Values every 10 K from 200 K to 5000 K; each array (n,).

    metal_w_mk, powder_w_mk: conductivities. wall_m2k_w: resistance of one wall against powder. enthalpy_j_kg over
    200 K, with the latent heat between solidus and liquidus. density_kg_m3: at room temperature, used throughout so
    that mass is kept. packing: volume share of metal in loose powder.
    """

    metal_w_mk: FloatArray
    powder_w_mk: FloatArray
    wall_m2k_w: FloatArray
    enthalpy_j_kg: FloatArray
    density_kg_m3: float
    packing: float

    def enthalpy_at(self, temperature_k: float) -> float:
        """J/kg over 200 K."""
        return float(np.interp(temperature_k, _temperatures_k(), self.enthalpy_j_kg))

    def heat_capacity_at(self, temperature_k: float) -> float:
        """J/kgK: the slope of the enthalpy table at a temperature."""
        row = min(max(int((temperature_k - LOWEST_K) / STEP_K), 0), len(self.enthalpy_j_kg) - 2)
        return float(self.enthalpy_j_kg[row + 1] - self.enthalpy_j_kg[row]) / STEP_K


def heat_tables(alloy: Alloy, powder: PowderChoice, band: str = "nominal") -> HeatTables:
    """Tables of one alloy and its powder; band: low, nominal or high powder conductivity and wall conductance.

    Powder keeps its value at the liquidus above it, where it is no powder any more.
    """
    t_k = _temperatures_k()
    few_k = np.arange(LOWEST_K, HIGHEST_K + 1.0, _POWDER_STEP_K)
    powder_k = [min(max(float(t), 273.15), alloy.liquidus_k) for t in few_k]
    loose = [getattr(powder_band(powder, alloy, t), band) for t in powder_k]
    wall = [1.0 / getattr(wall_band(powder, t), band) for t in powder_k]
    capacity = np.array([alloy.heat_capacity_j_kgk(t) for t in t_k])
    enthalpy = np.concatenate(([0.0], np.cumsum(0.5 * (capacity[1:] + capacity[:-1]) * STEP_K)))
    melting_k = max(alloy.liquidus_k - alloy.solidus_k, STEP_K)
    enthalpy += np.clip((t_k - alloy.solidus_k) / melting_k, 0.0, 1.0) * alloy.latent_heat_j_kg
    return HeatTables(
        metal_w_mk=np.array([alloy.conductivity_w_mk(t) for t in t_k]),
        powder_w_mk=np.interp(t_k, few_k, loose),
        wall_m2k_w=np.interp(t_k, few_k, wall),
        enthalpy_j_kg=enthalpy,
        density_kg_m3=alloy.density_kg_m3(293.15),
        packing=1.0 - powder.porosity,
    )


def constant_tables(*, metal_w_mk: float, powder_w_mk: float, wall_m2k_w: float, density_kg_m3: float,
                    heat_capacity_j_kgk: float, packing: float) -> HeatTables:  # fmt: skip
    """Tables of one value each, for comparison with solutions that know no other."""
    t_k = _temperatures_k()
    ones = np.ones_like(t_k)
    return HeatTables(
        metal_w_mk=metal_w_mk * ones,
        powder_w_mk=powder_w_mk * ones,
        wall_m2k_w=wall_m2k_w * ones,
        enthalpy_j_kg=heat_capacity_j_kgk * (t_k - LOWEST_K),
        density_kg_m3=density_kg_m3,
        packing=packing,
    )


def _temperatures_k() -> FloatArray:
    return np.arange(LOWEST_K, HIGHEST_K + 1.0, STEP_K)
