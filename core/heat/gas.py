"""The gas in the powder: conductivity, heat capacity, mean free path and jump length at 1 atm."""

import math
from dataclasses import dataclass

import numpy as np

from core.refusal import Refusal

GAS_CONSTANT_J_MOLK = 8.314462618
BOLTZMANN_J_K = 1.380649e-23
ATMOSPHERE_PA = 101325.0
LOWEST_K, HIGHEST_K = 250.0, 2000.0
"""Range of the fits; outside it the value at the end is used."""


@dataclass(frozen=True, kw_only=True)
class Gas:
    """Fits and constants of one gas; polynomials in T/1000 K, highest power first.

    Conductivity: degree 4 least-squares fits of relative error to CoolProp 8.0.0 at 1 atm, 250 to 2000 K,
    worst error 0.4 %, so that running needs no CoolProp. Heat capacity: 5/2 R/M for the one-atom gases (kinetic
    theory, within 0.3 % of CoolProp), a fit of the same kind for nitrogen.
    molecule_m: hard-sphere diameter, from memory. accommodation_c: the constant C of the VDI correlation,
    from memory (the value of air for argon and nitrogen).
    """

    name: str
    molar_mass_kg_mol: float
    conductivity_fit: tuple[float, ...]
    heat_capacity_fit: tuple[float, ...]
    molecule_m: float
    accommodation_c: float

    def conductivity_w_mk(self, temperature_k: float) -> float:
        """Thermal conductivity at 1 atm."""
        return float(np.polyval(self.conductivity_fit, _in_range(temperature_k) / 1000.0))

    def heat_capacity_j_kgk(self, temperature_k: float) -> float:
        """Heat capacity at constant pressure."""
        return float(np.polyval(self.heat_capacity_fit, _in_range(temperature_k) / 1000.0))

    def mean_free_path_m(self, temperature_k: float, pressure_pa: float = ATMOSPHERE_PA) -> float:
        """Hard-sphere mean free path kB T / (sqrt2 pi d² p)."""
        return BOLTZMANN_J_K * temperature_k / (math.sqrt(2.0) * math.pi * self.molecule_m**2 * pressure_pa)

    def accommodation(self, temperature_k: float) -> float:
        """Share of its energy a molecule leaves at the wall; VDI: log10(1/a - 1) = 0.6 - (1000/T + 1)/C."""
        return 1.0 / (1.0 + math.pow(10.0, 0.6 - (1000.0 / temperature_k + 1.0) / self.accommodation_c))

    def jump_length_m(self, temperature_k: float, pressure_pa: float = ATMOSPHERE_PA) -> float:
        """Modified mean free path of Smoluchowski, VDI Heat Atlas D6.3: the jump at both walls of a pore.

        l = 2 (2-a)/a sqrt(2 pi R T/M) lambda / (p (2 cp - R/M)), cp per kg.
        """
        a = self.accommodation(temperature_k)
        r_j_kgk = GAS_CONSTANT_J_MOLK / self.molar_mass_kg_mol
        speed = math.sqrt(2.0 * math.pi * r_j_kgk * temperature_k)
        capacity = 2.0 * self.heat_capacity_j_kgk(temperature_k) - r_j_kgk
        return 2.0 * (2.0 - a) / a * speed * self.conductivity_w_mk(temperature_k) / (pressure_pa * capacity)


def _in_range(temperature_k: float) -> float:
    return min(max(temperature_k, LOWEST_K), HIGHEST_K)


def _one_atom_heat_capacity_j_kgk(molar_mass_kg_mol: float) -> tuple[float, ...]:
    return (2.5 * GAS_CONSTANT_J_MOLK / molar_mass_kg_mol,)


_GASES = {
    "argon": Gas(
        name="argon",
        molar_mass_kg_mol=0.039948,
        conductivity_fit=(-0.00252384, 0.0150255, -0.0365296, 0.0669527, 0.000651599),
        heat_capacity_fit=_one_atom_heat_capacity_j_kgk(0.039948),
        molecule_m=3.64e-10,
        accommodation_c=2.8,
    ),
    "nitrogen": Gas(
        name="nitrogen",
        molar_mass_kg_mol=0.02801348,
        conductivity_fit=(-0.00369019, 0.021209, -0.0478675, 0.0942446, 0.00145467),
        heat_capacity_fit=(110.217, -559.241, 930.909, -408.851, 1093.08),
        molecule_m=3.75e-10,
        accommodation_c=2.8,
    ),
    "helium": Gas(
        name="helium",
        molar_mass_kg_mol=0.004002602,
        conductivity_fit=(-0.0128922, 0.0747689, -0.183445, 0.445111, 0.0370141),
        heat_capacity_fit=_one_atom_heat_capacity_j_kgk(0.004002602),
        molecule_m=2.18e-10,
        accommodation_c=50.0,
    ),
}


def gas_names() -> tuple[str, ...]:
    """The gases we have data for."""
    return tuple(_GASES)


def gas(name: str) -> Gas:
    """The gas of that name; Refusal when there is none."""
    found = _GASES.get(name.strip().lower())
    if found is None:
        raise Refusal(f"There is no gas '{name}'; choose {', '.join(_GASES)}.")
    return found
