"""Powder conductivity against the handbook formula worked by hand, other models, and measurements."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.heat.gas import gas
from core.heat.materials import alloy
from core.heat.powder_choice import PowderChoice
from core.heat.powder_conductivity import (
    bed_emissivity,
    contact_network_conductivity_w_mk,
    powder_band,
    sih_barlow_conductivity_w_mk,
    zbs_conductivity_w_mk,
    zbs_inner_values,
)


def zbs(**changed: float) -> float:
    usual = {
        "solid_w_mk": 15.0,
        "gas_w_mk": 0.0177,
        "porosity": 0.45,
        "diameter_m": 35e-6,
        "temperature_k": 300.0,
        "jump_length_m": 0.3e-6,
        "emissivity": 0.4,
        "flattening": 0.0013,
    }
    return zbs_conductivity_w_mk(**{**usual, **changed})


# Worked from the formula of the VDI Heat Atlas 2013, D6.3, with these fixed inputs, independently of this code.
@pytest.mark.parametrize(
    ("jump_length_m", "k_g", "n", "k_c", "k_eff"),
    [
        (0.0, 1.0, 0.998160, 16.067091, 0.229674),
        (0.3e-6, 0.991501, 0.993341, 9.740240, 0.146646),
        (0.4e-6, 0.988701, 0.991735, 9.010544, 0.137053),
    ],
)
def test_the_cell_model_gives_the_values_worked_by_hand(
    jump_length_m: float, k_g: float, n: float, k_c: float, k_eff: float
) -> None:
    steps = zbs_inner_values(15.0, 0.0177, 0.45, 35e-6, 300.0, jump_length_m)
    assert steps == pytest.approx({"k_g": k_g, "k_rad": 0.003027, "b": 1.562225, "n": n, "k_c": k_c}, abs=1.1e-6)
    assert zbs(jump_length_m=jump_length_m) == pytest.approx(k_eff, abs=1e-6)


def test_without_radiation_contact_and_rarefaction_the_original_zehner_schluender_value_comes_out() -> None:
    assert zbs(jump_length_m=0.0, emissivity=0.0, flattening=0.0) == pytest.approx(0.215417, abs=1e-6)


@given(porosity=st.floats(0.25, 0.75).filter(lambda p: abs(p - 0.55) > 0.02))
def test_a_bed_of_grains_that_conduct_like_the_gas_conducts_like_the_gas(porosity: float) -> None:
    same = zbs(solid_w_mk=0.02, gas_w_mk=0.02, jump_length_m=0.0, emissivity=0.0, flattening=0.0, porosity=porosity)
    assert same == pytest.approx(0.02, rel=1e-10)


def test_the_formula_survives_its_own_singularity() -> None:
    # B = k_p makes N = 0 and the printed formula 0/0; the value must pass smoothly between its neighbours
    porosity = 1.0 / (1.0 + (1.0 / 1.25) ** 0.9)
    at = zbs(solid_w_mk=0.02, gas_w_mk=0.02, jump_length_m=0.0, emissivity=0.0, flattening=0.0, porosity=porosity)
    assert at == pytest.approx(0.02, rel=1e-4)
    b = zbs_inner_values(1.0, 1.0, 0.45, 35e-6, 300.0, 0.0)["b"]
    around = [
        zbs(solid_w_mk=0.0177 * b * share, jump_length_m=0.0, emissivity=0.0, flattening=0.0)
        for share in (0.99, 1.0, 1.01)
    ]
    assert around[0] < around[1] < around[2]
    assert around[1] == pytest.approx((around[0] + around[2]) / 2.0, rel=1e-4)


# Argon, porosity 0.45, 35 µm, emissivity 0.4, flattening 0.0013; computed once with CoolProp 8.0.0 gas values.
@pytest.mark.parametrize(
    ("gas_name", "solid_w_mk", "temperature_k", "k_eff"),
    [
        ("argon", 7.0, 300.0, 0.133),
        ("argon", 12.6, 773.15, 0.159),
        ("argon", 16.3, 1000.0, 0.161),
        ("argon", 13.8, 300.0, 0.144),
        ("argon", 22.9, 773.15, 0.170),
        ("argon", 8.9, 300.0, 0.137),
        ("argon", 110.0, 300.0, 0.241),
        ("argon", 401.0, 300.0, 0.522),
        ("nitrogen", 7.0, 300.0, 0.193),
        ("nitrogen", 22.9, 773.15, 0.265),
        ("helium", 13.8, 300.0, 0.380),
        ("helium", 22.9, 773.15, 0.354),
    ],
)
def test_beds_in_three_gases_have_the_tabulated_conductivity(
    gas_name: str, solid_w_mk: float, temperature_k: float, k_eff: float
) -> None:
    around = gas(gas_name)
    k = zbs(
        solid_w_mk=solid_w_mk,
        gas_w_mk=around.conductivity_w_mk(temperature_k),
        temperature_k=temperature_k,
        jump_length_m=around.jump_length_m(temperature_k),
    )
    assert k == pytest.approx(k_eff, rel=0.006)


def test_sih_and_barlow_gives_the_values_worked_by_hand() -> None:
    # Sih and Barlow (1995), computed independently: B = 1 and B = 1.562225
    inputs = {"solid_w_mk": 15.0, "gas_w_mk": 0.0177, "porosity": 0.45, "diameter_m": 35e-6, "temperature_k": 300.0}
    assert sih_barlow_conductivity_w_mk(**inputs) == pytest.approx(0.155775, abs=1e-6)
    assert sih_barlow_conductivity_w_mk(**inputs, b=1.562225) == pytest.approx(0.215478, abs=1e-6)


def test_two_other_models_agree_with_the_cell_model_at_room_temperature() -> None:
    # contact network after Gusarov et al. (2003): 0.128 W/mK; Sih-Barlow with B = 1: 0.155 W/mK for 316L in argon
    argon = gas("argon")
    k_gas, jump_m = argon.conductivity_w_mk(300.0), argon.jump_length_m(300.0)
    cell = zbs(solid_w_mk=13.8, gas_w_mk=k_gas, jump_length_m=jump_m)
    network = contact_network_conductivity_w_mk(gas_w_mk=k_gas, porosity=0.45, diameter_m=35e-6, jump_length_m=jump_m)
    sih_barlow = sih_barlow_conductivity_w_mk(
        solid_w_mk=13.8, gas_w_mk=k_gas, porosity=0.45, diameter_m=35e-6, temperature_k=300.0
    )
    assert network == pytest.approx(0.128, abs=0.001)
    assert network == pytest.approx(cell, rel=0.15)
    assert sih_barlow == pytest.approx(0.155, abs=0.0015)
    assert sih_barlow == pytest.approx(cell, rel=0.15)


def test_bed_emissivity_is_that_of_sih_and_barlow() -> None:
    assert bed_emissivity(0.45, 0.4) == pytest.approx(0.5569, abs=5e-5)
    assert bed_emissivity(0.45, 1.0) == pytest.approx(1.0)


def test_the_band_contains_what_was_measured() -> None:
    # Ti-6Al-4V powder at room temperature 0.13 W/mK (Front. Mech. Eng. 8:830104, 2022)
    titanium = powder_band(PowderChoice(), alloy("Ti-6Al-4V"), 298.15)
    assert titanium.low < 0.13 < titanium.high
    assert 0.10 < titanium.nominal < 0.17
    assert titanium.nominal == pytest.approx(0.133, abs=0.001)
    # IN625 powder at 500 °C 1.01 W/mK (Zhang, Lane, Whiting, Chou, J. Manuf. Sci. Eng. 140:111008, 2018)
    nickel = powder_band(PowderChoice(), alloy("IN625"), 773.15)
    assert nickel.low < 1.01 < nickel.high
    assert nickel.low < 0.13 < nickel.high


def test_a_value_from_the_coupon_narrows_the_band() -> None:
    band = powder_band(PowderChoice(conductivity_w_mk=0.3), alloy("316L"), 500.0)
    assert (band.low, band.nominal, band.high) == pytest.approx((0.255, 0.3, 0.345))


@pytest.mark.parametrize("name", ["Ti-6Al-4V", "316L", "AlSi10Mg", "CuCrZr_aged", "Cu", "W"])
@pytest.mark.parametrize("gas_name", ["argon", "nitrogen", "helium"])
def test_the_band_is_always_in_order(name: str, gas_name: str) -> None:
    band = powder_band(PowderChoice(gas=gas_name), alloy(name), 500.0)
    assert 0.0 < band.low < band.nominal < band.high


beds = st.fixed_dictionaries(
    {
        "solid_w_mk": st.floats(5.0, 400.0),
        "gas_w_mk": st.floats(0.015, 0.4),
        "porosity": st.floats(0.3, 0.6),
        "diameter_m": st.floats(10e-6, 150e-6),
        "temperature_k": st.floats(300.0, 1300.0),
        "jump_length_m": st.floats(0.0, 30e-6),
    }
)


@given(bed=beds, more=st.floats(1.05, 2.0))
def test_coarser_powder_conducts_better(bed: dict[str, float], more: float) -> None:
    assert zbs(**{**bed, "diameter_m": bed["diameter_m"] * more}) >= zbs(**bed)


@given(bed=beds, more=st.floats(1.05, 2.0))
def test_a_better_gas_makes_a_better_bed(bed: dict[str, float], more: float) -> None:
    assert zbs(**{**bed, "gas_w_mk": bed["gas_w_mk"] * more}) > zbs(**bed)


@given(bed=beds, more=st.floats(1.02, 1.2))
def test_looser_powder_conducts_worse(bed: dict[str, float], more: float) -> None:
    assert zbs(**{**bed, "porosity": bed["porosity"] * more}) < zbs(**bed)


@given(bed=beds)
def test_no_bed_conducts_less_than_nothing_or_more_than_its_metal(bed: dict[str, float]) -> None:
    assert 0.0 < zbs(**bed) < bed["solid_w_mk"]
    assert math.isfinite(zbs(**bed))
