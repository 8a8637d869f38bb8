"""Alloy data against published fits, the `chemicals` library, and plain sense."""

import chemicals
import pytest

from core.heat.materials import PROPERTIES, alloy, alloy_names
from core.refusal import Refusal

FLAGS = {"read", "second-hand", "memory", "computed"}


def test_316l_has_the_values_of_the_fit_to_mills() -> None:
    # public polynomial fit to Mills 2002 (MOOSE solid_properties): 298 K 13.76 W/mK, 482.6 J/kgK, 7957 kg/m³; and
    # k(1273 K) = 29.05 W/mK. A file in circulation applied the Celsius shift twice and gives 5.35 W/mK.
    steel = alloy("316L")
    assert steel.conductivity_w_mk(298.15) == pytest.approx(13.76, rel=0.01)
    assert steel.heat_capacity_j_kgk(298.15) == pytest.approx(482.6, rel=0.01)
    assert steel.density_kg_m3(298.15) == pytest.approx(7957.0, rel=0.01)
    assert steel.conductivity_w_mk(1273.15) == pytest.approx(29.05, rel=0.01)


@pytest.mark.parametrize("temperature_k", (300.0, 420.0, 700.0, 1000.0, 1400.0))
def test_316l_between_its_rows_follows_the_fit(temperature_k: float) -> None:
    t = temperature_k
    assert alloy("316L").conductivity_w_mk(t) == pytest.approx(6.308 + 0.02716 * t - 7.301e-6 * t**2, rel=0.01)
    assert alloy("316L").heat_capacity_j_kgk(t) == pytest.approx(428.46 + 0.1816 * t, rel=0.01)
    assert alloy("316L").density_kg_m3(t) == pytest.approx(8089.4 - 0.4297 * t - 4.454e-5 * t**2, rel=0.01)


def test_316l_stays_near_the_older_curve_of_kim() -> None:
    # Kim, ANL-75-55 (1975), from memory: k = 9.248 + 0.01571 T
    for temperature_k in (300.0, 600.0, 900.0):
        kim_w_mk = 9.248 + 0.01571 * temperature_k
        assert alloy("316L").conductivity_w_mk(temperature_k) == pytest.approx(kim_w_mk, rel=0.07)


def test_latent_heat_of_titanium_alloy_is_what_two_groups_found() -> None:
    # McClure and Cezairliyan, Int. J. Thermophys. 13:75: 286 kJ/kg ± 6 %; Brooks et al., HTHP 35/36:193: 295 ± 15
    latent_j_kg = alloy("Ti-6Al-4V").latent_heat_j_kg
    assert latent_j_kg == pytest.approx(286e3, rel=0.06)
    assert latent_j_kg == pytest.approx(295e3, abs=15e3)


@pytest.mark.parametrize(("name", "cas"), [("Cu", "7440-50-8"), ("W", "7440-33-7"), ("Ta", "7440-25-7")])
def test_pure_metals_melt_as_in_the_chemicals_library(name: str, cas: str) -> None:
    metal = alloy(name)
    assert metal.solidus_k == metal.liquidus_k == pytest.approx(chemicals.Tm(cas), rel=1e-3)
    heat_of_fusion_j_kg = chemicals.Hfus(cas) / chemicals.MW(cas) * 1e3
    assert metal.latent_heat_j_kg == pytest.approx(heat_of_fusion_j_kg, rel=1e-3)


@pytest.mark.parametrize("name", ["cu", "TI-6AL-4V", "ti6al4v", " 316l ", "in 718"])
def test_names_are_found_however_they_are_written(name: str) -> None:
    assert alloy(name).name in alloy_names()


def test_an_unknown_alloy_is_refused_with_the_known_ones() -> None:
    with pytest.raises(Refusal) as refusal:
        alloy("unobtainium")
    assert "There is no alloy 'unobtainium'" in str(refusal.value)
    assert all(name in str(refusal.value) for name in alloy_names())


def test_outside_the_table_the_end_values_hold() -> None:
    assert alloy("316L").conductivity_w_mk(100.0) == alloy("316L").conductivity_w_mk(298.15)
    assert alloy("IN625").density_kg_m3(1200.0) == 8440.0


def test_at_the_beta_transus_the_upper_branch_is_taken() -> None:
    # Mills 2002 lists two rows at 1268 K: 22.7 (alpha) and 19.3 W/mK (beta)
    assert alloy("Ti-6Al-4V").conductivity_w_mk(1268.0) == pytest.approx(19.3)
    assert alloy("Ti-6Al-4V").conductivity_w_mk(1267.999) == pytest.approx(22.7, abs=0.01)


def test_enthalpy_to_liquid_is_that_of_a_fit_integrated_by_hand() -> None:
    # cp = 428.46 + 0.1816 T (fit to Mills): 428.46 (T2-T1) + 0.0908 (T2²-T1²); cp beyond 1573 K is extrapolated
    first, last = 298.15, 1720.0
    by_hand = 428.46 * (last - first) + 0.0908 * (last**2 - first**2) + 265e3
    assert alloy("316L").enthalpy_to_liquid_j_kg(first) == pytest.approx(by_hand, rel=0.02)
    assert alloy("316L").enthalpy_to_liquid_j_kg(2000.0) == alloy("316L").latent_heat_j_kg


@pytest.mark.parametrize("name", alloy_names())
def test_every_value_is_sane_and_says_where_it_comes_from(name: str) -> None:
    metal = alloy(name)
    phase = (metal.solidus, metal.liquidus, metal.latent_heat, metal.absorptivity)
    rows = [row for quantity in PROPERTIES for row in metal.tables[quantity].rows]
    assert all(value.source and value.flag in FLAGS for value in (*phase, *rows))
    assert 500 < metal.solidus_k <= metal.liquidus_k < 4000
    assert 100e3 < metal.latent_heat_j_kg < 500e3
    assert 0.05 < metal.absorptivity.value < 0.8
    for temperature_k in (300.0, 600.0, 1000.0):
        assert 2000 < metal.density_kg_m3(temperature_k) < 20000
        assert 100 < metal.heat_capacity_j_kgk(temperature_k) < 1300
        assert 5 < metal.conductivity_w_mk(temperature_k) < 420


def test_all_thirteen_alloys_of_the_table_are_offered() -> None:
    assert len(alloy_names()) == 13
    assert {"Ti-6Al-4V", "316L", "IN718", "IN625", "AlSi10Mg", "CoCrMo", "Cu", "CuCrZr_aged"} <= set(alloy_names())
