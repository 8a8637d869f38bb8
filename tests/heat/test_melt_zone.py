"""Laser settings of a zone: energies by hand, tracks of NIST, the scaling law against the integral, and warnings."""

import itertools
import math
from dataclasses import replace

import pytest

from core.heat.laser_settings import LaserSettings
from core.heat.melt_pool import eagar_tsai_pool_m
from core.heat.melt_scaling import normalised_enthalpy, scaled_pool_m
from core.heat.melt_zone import Melt, ZoneChoice, ZoneFigures, melt_of, zone_figures
from core.refusal import Refusal

JOB = LaserSettings(power_w=285.0, speed_mm_s=960.0, hatch_mm=0.11, layer_mm=0.04)


def figures(choice: ZoneChoice, **more: float) -> ZoneFigures:
    given = {"angle_deg": 30.0, "overhang_step_mm": 0.07} | more
    return zone_figures(choice, JOB, "316L", 0.45, patch=1, **given)


def track(power_w: float, speed_mm_s: float, spot_mm: float, absorptivity: float) -> Melt:
    """A single track on a bare IN625 plate at room temperature."""
    laser = LaserSettings(
        power_w=power_w, speed_mm_s=speed_mm_s, spot_mm=spot_mm, absorptivity=absorptivity, preheat_c=25.0
    )
    return melt_of(laser, "IN625", 0.45)


def test_energies_are_what_a_pocket_calculator_says() -> None:
    """285 W, 0.96 m/s, 110 µm, 40 µm: 0.297 J/mm, 2.70 J/mm², 67.5 J/mm³; two passes send twice that per layer."""
    once = figures(ZoneChoice(layers=3))
    assert once.line_energy_j_mm == pytest.approx(0.297, abs=5e-4)
    assert once.areal_energy_j_mm2 == pytest.approx(2.70, abs=5e-3)
    assert once.volumetric_energy_j_mm3 == pytest.approx(67.5, abs=0.05)
    assert once.height_mm == pytest.approx(0.12)
    twice = figures(ZoneChoice(layers=3, passes=2))
    assert twice.volumetric_energy_j_mm3 == pytest.approx(2 * once.volumetric_energy_j_mm3)
    assert twice.melt == replace(once.melt)  # each pass melts as deep as one


@pytest.mark.parametrize(
    ("power_w", "speed_mm_s", "width_um", "depth_um"),
    # AMB2018-02, AMMT, D4sigma 170 µm: Lane et al., Integr. Mater. Manuf. Innov. 9 (2020),
    # doi 10.1007/s40192-020-00169-1; B second-hand, A and C from memory
    [(137.9, 400.0, 147.9, 42.5), (179.2, 800.0, 123.0, 36.0), (179.2, 1200.0, 106.0, 29.5)],
)
def test_conduction_tracks_of_nist_lie_in_the_band(
    power_w: float, speed_mm_s: float, width_um: float, depth_um: float
) -> None:
    """With the table's properties and absorptivity 0.30: depth within 30 %; width within 25 %, of C within 30 %."""
    melt = track(power_w, speed_mm_s, 0.17, 0.30)
    assert melt.mode == "conduction"
    assert melt.width_m * 1e6 == pytest.approx(width_um, rel=0.30 if speed_mm_s > 1000 else 0.25)
    assert melt.solid_depth_m.nominal * 1e6 == pytest.approx(depth_um, rel=0.30)


@pytest.mark.parametrize(
    ("power_w", "speed_mm_s", "depth_um", "mode"),
    [(150.0, 400.0, 151.0, "keyholing"), (195.0, 800.0, 91.0, "keyholing"), (195.0, 1200.0, 60.0, "near keyholing")],
)
def test_tracks_deeper_than_conduction_are_warned_of(
    power_w: float, speed_mm_s: float, depth_um: float, mode: str
) -> None:
    """Same study, CBM, D4sigma 100 µm: 0.6 to 0.9 as deep as wide. Conduction says less, and the mode says why."""
    melt = track(power_w, speed_mm_s, 0.1, 0.40)
    assert melt.mode == mode
    assert melt.solid_depth_m.nominal * 1e6 < depth_um


def test_the_same_track_has_three_normalised_enthalpies() -> None:
    """CBM B, A 0.4, k 25, rho 8440, cp 620, 1265 K: 5.4 by the 1/e² radius and 15.4 by sigma, 2^1.5 times as much."""
    case = {"absorbed_w": 78.0, "speed_m_s": 0.8, "conductivity_w_mk": 25.0, "volumetric_heat_j_m3k": 8440 * 620.0}
    by_e2 = normalised_enthalpy(radius_m=50e-6, melting_rise_k=1265.0, **case)
    by_sigma = normalised_enthalpy(radius_m=25e-6, melting_rise_k=1265.0, **case)
    assert (by_e2, by_sigma) == (pytest.approx(5.4, abs=0.05), pytest.approx(15.4, abs=0.1))


def test_the_scaling_law_is_written_down_right() -> None:
    """B 10, p 0.3, a 50 µm: 273.4 wide, 124.5 deep, 865.8 µm long (worked out apart from this program)."""
    pool = scaled_pool_m(10.0, 0.3, 50e-6)
    assert [v * 1e6 for v in pool] == pytest.approx([273.4, 124.5, 865.8], abs=0.06)
    assert scaled_pool_m(1.0, 0.3, 50e-6) is None and scaled_pool_m(10.0, 5.0, 50e-6) is None


@pytest.mark.parametrize(("b", "p"), list(itertools.product((2.0, 5.0, 10.0, 20.0), (0.1, 0.3, 1.0, 3.0))))
def test_the_scaling_law_agrees_with_the_integral_over_its_range(b: float, p: float) -> None:
    """Eagar and Tsai integrated: depth within 8 %; B = A P / (pi^1.5 rho c dT sqrt(D v a³)), p = D / (v a)."""
    radius_m, diffusivity, heat, rise_k = 50e-6, 5e-6, 4e6, 1300.0
    speed_m_s = diffusivity / (p * radius_m)
    absorbed_w = b * math.pi**1.5 * heat * rise_k * math.sqrt(diffusivity * speed_m_s * radius_m**3)
    width_m, depth_m = eagar_tsai_pool_m(
        absorbed_w=absorbed_w, speed_m_s=speed_m_s, spot_m=2 * math.sqrt(2) * radius_m,
        conductivity_w_mk=diffusivity * heat, volumetric_heat_j_m3k=heat, melting_rise_k=rise_k,
    )  # fmt: skip
    scaled = scaled_pool_m(b, p, radius_m)
    assert scaled[1] == pytest.approx(depth_m, rel=0.085)
    assert scaled[0] == pytest.approx(width_m, rel=0.075)


def test_scaling_law_and_integral_agree_for_the_same_settings_of_a_zone() -> None:
    """Both start from power and spot, so a wrong radius or a lost root of pi would show as 40 % and more."""
    melt = figures(ZoneChoice(layers=5, power_w=180.0)).melt
    assert melt.scaled_depth_m == pytest.approx(melt.solid_depth_m.nominal, rel=0.08)
    assert melt.solid_depth_m.low == pytest.approx(0.6 * melt.solid_depth_m.nominal)


def test_warnings_come_when_they_should_and_only_then() -> None:
    mild = {"layers": 8, "power_w": 150.0, "speed_mm_s": 1400.0}
    quiet = figures(ZoneChoice(**mild), gap_mm=0.4)
    assert len(quiet.notes) == 1 and "±40 %" in quiet.notes[0]

    def said(words: str, choice: ZoneChoice, **more: float) -> bool:
        return any(words in note for note in figures(choice, **more).notes)

    assert said("Keyholing is to be expected", ZoneChoice(layers=8, spot_mm=0.06))
    assert said("more than the zone's hatch", ZoneChoice(**mild), overhang_step_mm=0.19)
    assert said("without end", ZoneChoice(**mild), overhang_step_mm=math.inf)
    assert said("take 2 layers or more", ZoneChoice(layers=0))  # the job's 285 W melt about 0.07 mm deep
    assert said("to the sink", ZoneChoice(layers=8), gap_mm=0.15)
    assert said("melt nothing", ZoneChoice(layers=8, power_w=5.0))


@pytest.mark.parametrize(
    ("choice", "words"),
    [
        ({"layers": -1}, "-1 layers is out of range"),
        ({"power_w": 9e9}, "out of range"),
        ({"passes": 0}, "passes must be"),
    ],
)
def test_settings_out_of_range_are_refused(choice: dict[str, float], words: str) -> None:
    with pytest.raises(Refusal, match=words):
        ZoneChoice(**choice)
