"""The gas in the powder against CoolProp, the coefficient sets in `chemicals`, and kinetic theory."""

import math

import pytest
from chemicals import thermal_conductivity as published
from CoolProp.CoolProp import PropsSI

from core.heat.gas import ATMOSPHERE_PA, gas, gas_names
from core.refusal import Refusal

CAS = {"argon": "7440-37-1", "nitrogen": "7727-37-9", "helium": "7440-59-7"}
TEMPERATURES_K = (300.0, 400.0, 500.0, 600.0, 773.15, 900.0, 1000.0, 1100.0, 1200.0, 1300.0)


@pytest.mark.parametrize("name", CAS)
@pytest.mark.parametrize("temperature_k", TEMPERATURES_K)
def test_conductivity_and_heat_capacity_are_those_of_coolprop_within_one_percent(
    name: str, temperature_k: float
) -> None:
    # CoolProp (reference equations of state and transport), 1 atm
    of_coolprop = {q: PropsSI(q, "T", temperature_k, "P", ATMOSPHERE_PA, name) for q in ("L", "C")}
    assert gas(name).conductivity_w_mk(temperature_k) == pytest.approx(of_coolprop["L"], rel=0.01)
    assert gas(name).heat_capacity_j_kgk(temperature_k) == pytest.approx(of_coolprop["C"], rel=0.01)


@pytest.mark.parametrize("name", CAS)
@pytest.mark.parametrize("temperature_k", TEMPERATURES_K)
def test_conductivity_agrees_with_two_independent_coefficient_sets(name: str, temperature_k: float) -> None:
    # Perry's handbook 8e table 2-314 and VDI PPDS table 10, as kept by the `chemicals` library. Above 1100 K Perry's
    # nitrogen is itself 4 to 5 % above CoolProp.
    perry = published.k_data_Perrys_8E_2_314.loc[CAS[name]]
    of_perry = perry.C1 * temperature_k**perry.C2 / (1.0 + perry.C3 / temperature_k + perry.C4 / temperature_k**2)
    vdi = published.k_data_VDI_PPDS_10.loc[CAS[name]]
    of_vdi = sum(getattr(vdi, letter) * temperature_k**power for power, letter in enumerate("ABCDE"))
    assert gas(name).conductivity_w_mk(temperature_k) == pytest.approx(
        of_perry, rel=0.04 if temperature_k <= 1100.0 else 0.05
    )
    assert gas(name).conductivity_w_mk(temperature_k) == pytest.approx(of_vdi, rel=0.04)


@pytest.mark.parametrize("name", CAS)
def test_molar_mass_is_that_of_coolprop(name: str) -> None:
    assert gas(name).molar_mass_kg_mol == pytest.approx(PropsSI("M", name), rel=1e-6)


@pytest.mark.parametrize("name", CAS)
def test_mean_free_path_agrees_with_the_one_from_viscosity(name: str) -> None:
    # kinetic theory: lambda = (mu/p) sqrt(pi R T / (2 M)), viscosity from CoolProp
    molar_mass, viscosity = PropsSI("M", name), PropsSI("V", "T", 300.0, "P", ATMOSPHERE_PA, name)
    from_viscosity = viscosity / ATMOSPHERE_PA * math.sqrt(math.pi * 8.314462618 * 300.0 / (2.0 * molar_mass))
    assert gas(name).mean_free_path_m(300.0) == pytest.approx(from_viscosity, rel=0.02)


@pytest.mark.parametrize("name", CAS)
@pytest.mark.parametrize("temperature_k", (300.0, 773.15, 1000.0))
def test_jump_length_is_two_temperature_jumps_of_kennard(name: str, temperature_k: float) -> None:
    # Kennard, one wall: (2-a)/a 2 gamma/(gamma+1) / Pr lambda; Prandtl number, gamma and viscosity from CoolProp
    def of(what: str) -> float:
        return float(PropsSI(what, "T", temperature_k, "P", ATMOSPHERE_PA, name))

    gamma = of("C") / of("O")
    free_path = of("V") / ATMOSPHERE_PA * math.sqrt(math.pi * 8.314462618 * temperature_k / (2.0 * of("M")))
    a = gas(name).accommodation(temperature_k)
    one_wall = (2.0 - a) / a * 2.0 * gamma / (gamma + 1.0) / of("PRANDTL") * free_path
    assert gas(name).jump_length_m(temperature_k) == pytest.approx(2.0 * one_wall, rel=0.015)


@pytest.mark.parametrize(
    ("name", "at_300_k", "at_773_k", "at_1000_k"),
    # VDI length in µm, computed with CoolProp 8.0.0 (accommodation by the VDI correlation, C from memory)
    [("argon", 0.324, 1.93, 3.00), ("nitrogen", 0.263, 1.46, 2.19), ("helium", 5.51, 18.6, 25.6)],
)
def test_jump_length_has_the_tabulated_values(name: str, at_300_k: float, at_773_k: float, at_1000_k: float) -> None:
    lengths_um = [gas(name).jump_length_m(t) * 1e6 for t in (300.0, 773.15, 1000.0)]
    assert lengths_um == pytest.approx([at_300_k, at_773_k, at_1000_k], rel=0.01)


def test_accommodation_on_metal_is_of_the_measured_size() -> None:
    # argon 0.90 at 300 K and 0.62 at 773 K, helium 0.235 (VDI correlation); measured on Pt and W at a large
    # temperature excess: argon 0.5-0.7, helium 0.15-0.2 (thesis abstract)
    assert gas("argon").accommodation(300.0) == pytest.approx(0.90, abs=0.005)
    assert gas("argon").accommodation(773.0) == pytest.approx(0.62, abs=0.005)
    assert gas("helium").accommodation(300.0) == pytest.approx(0.235, abs=0.002)


def test_an_unknown_gas_is_refused_with_the_known_ones() -> None:
    with pytest.raises(Refusal, match="no gas 'air'; choose argon, nitrogen, helium"):
        gas("air")
    assert gas_names() == ("argon", "nitrogen", "helium")
