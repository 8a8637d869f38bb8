"""A thin powder gap with its walls, against figures worked from the VDI formula and a printed table."""

import numpy as np
import pytest

from core.heat.column_1d import column_flux_w_m2
from core.heat.gap_conductance import gap_conductance_band, gap_resistance_m2k_w, wall_band, wall_conductance_w_m2k
from core.heat.gas import gas
from core.heat.materials import alloy
from core.heat.powder_choice import PowderChoice
from core.heat.powder_conductivity import powder_band


@pytest.mark.parametrize(
    ("roughness_um", "temperature_k", "alpha_w"),
    # Schlünder's wall formula (VDI Heat Atlas, chapter M), argon, 35 µm, worked with CoolProp gas values
    [(0, 300.0, 5170), (0, 773.15, 5540), (1, 300.0, 3160), (1, 773.15, 4530), (5, 300.0, 1585), (5, 773.15, 2800)],
)
def test_wall_conductance_has_the_worked_values(roughness_um: float, temperature_k: float, alpha_w: float) -> None:
    argon = gas("argon")
    found = wall_conductance_w_m2k(
        gas_w_mk=argon.conductivity_w_mk(temperature_k),
        jump_length_m=argon.jump_length_m(temperature_k),
        diameter_m=35e-6,
        roughness_m=roughness_um * 1e-6,
        temperature_k=temperature_k,
    )
    assert found == pytest.approx(alpha_w, rel=0.005)


@pytest.mark.parametrize(
    ("gap_mm", "resistance", "gap_alone_w_m2k", "removed"),
    # 1-D, face to plate 10 mm, powder 0.15, metal 15 W/mK, walls 4500 W/m²K; worked by hand
    [
        (0.10, 0.00177, 900, 0.973),
        (0.20, 0.00243, 562, 0.964),
        (0.25, 0.00276, 474, 0.959),
        (0.30, 0.00309, 409, 0.954),
        (0.50, 0.00441, 265, 0.934),
        (1.0, 0.00771, 141, 0.884),
        (2.0, 0.01431, 73, 0.785),
    ],
)
def test_a_sink_removes_most_of_the_powders_resistance(
    gap_mm: float, resistance: float, gap_alone_w_m2k: float, removed: float
) -> None:
    gap_m = gap_mm * 1e-3
    gap = gap_resistance_m2k_w(gap_m, 0.15, 4500.0)
    with_sink = gap + 1.0 / column_flux_w_m2(
        drop_k=1.0, thickness_m=np.array([10e-3 - gap_m]), conductivity_w_mk=np.array([15.0])
    )
    assert with_sink == pytest.approx(resistance, abs=5.1e-6)
    assert 1.0 / gap == pytest.approx(gap_alone_w_m2k, abs=0.6)
    assert 1.0 - with_sink / (10e-3 / 0.15) == pytest.approx(removed, abs=6e-4)


def test_each_wall_acts_like_some_powder_more() -> None:
    # 25 to 90 µm for rough and smooth walls at room temperature, k 0.144 W/mK
    walls = wall_band(PowderChoice(), 300.0)
    assert 25e-6 < 0.144 / walls.high < 0.144 / walls.nominal < 0.144 / walls.low < 95e-6


def test_the_conductance_of_a_quarter_millimetre_in_argon_is_about_four_hundred() -> None:
    # 400 to 560 W/m²K for 0.3 to 0.2 mm with wall resistance (k 0.15, alpha_w 4500)
    powder = PowderChoice()
    band = gap_conductance_band(0.25e-3, powder_band(powder, alloy("316L"), 500.0), wall_band(powder, 500.0))
    assert 400 < band.nominal < 560
    assert band.low < band.nominal < band.high
