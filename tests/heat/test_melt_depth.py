"""Melt depths against an energy balance, exact limits, a published fit and the bare-plate tracks of NIST."""

import math

import numpy as np
import pytest
from scipy.integrate import quad

from core.heat.laser_settings import LaserSettings
from core.heat.materials import alloy
from core.heat.melt_depth import depth_band_m, powder_melt_depth_band_m, powder_melt_depth_m, rosenthal_depth_m
from core.heat.melt_pool import eagar_tsai_pool_m, eagar_tsai_rise_k


@pytest.mark.parametrize(
    ("name", "power_w", "speed_m_s", "hatch_um", "absorptivity", "depth_um"),
    # E/(rho pf (cp dT + L)), pf 0.55, worked with single mean heat capacities; ours integrates cp over temperature
    [
        ("CoCrMo", 290, 0.95, 110, 0.40, 219),
        ("316L", 195, 1.083, 90, 0.40, 175),
        ("316L", 370, 1.0, 110, 0.40, 294),
        ("IN718", 285, 0.96, 110, 0.40, 258),
        ("Maraging300", 285, 0.96, 110, 0.40, 223),
        ("Ti-6Al-4V", 280, 1.2, 140, 0.40, 211),
        ("AlSi10Mg", 370, 1.3, 190, 0.35, 374),
    ],
)
def test_powder_melt_depth_is_the_energy_balance(
    name: str, power_w: float, speed_m_s: float, hatch_um: float, absorptivity: float, depth_um: float
) -> None:
    absorbed_j_m2 = absorptivity * power_w / (speed_m_s * hatch_um * 1e-6)
    found = powder_melt_depth_m(absorbed_j_m2, alloy(name), 298.15, 0.55)
    assert found * 1e6 == pytest.approx(depth_um, rel=0.09)


def test_copper_from_room_temperature_by_hand() -> None:
    # mean cp of copper 300-1358 K about 430 J/kgK: 430 * 1058 + 208.7e3 = 663.6 kJ/kg; 1 MJ/m² in 8960 * 0.5 kg/m³
    by_hand_m = 1e6 / (8960.0 * 0.5 * 663.6e3)
    assert powder_melt_depth_m(1e6, alloy("Cu"), 300.0, 0.5) == pytest.approx(by_hand_m, rel=0.02)


def test_the_band_counts_one_pass_and_is_forty_percent_wide() -> None:
    once = powder_melt_depth_band_m(LaserSettings(), alloy("316L"), 0.45)
    twice = powder_melt_depth_band_m(LaserSettings(passes=2), alloy("316L"), 0.45)
    assert once.low / once.nominal == pytest.approx(0.6)
    assert once.high / once.nominal == pytest.approx(1.4)
    assert twice == once
    assert depth_band_m(100e-6).high == pytest.approx(140e-6)


# --- Eagar and Tsai -------------------------------------------------------------------------------------------------


def rise_k(place_m: tuple[float, float, float], speed_m_s: float, spot_m: float = 100e-6) -> float:
    return float(
        eagar_tsai_rise_k(
            np.array(place_m),
            absorbed_w=40.0,
            speed_m_s=speed_m_s,
            spot_m=spot_m,
            conductivity_w_mk=20.0,
            volumetric_heat_j_m3k=4e6,
        )
    )


def test_a_resting_beam_has_the_closed_form_centre_temperature() -> None:
    # A P/(sqrt(2 pi) k w), w = 2 sigma = 50 µm: 15957.7 K for 40 W absorbed and k 20 W/mK
    assert rise_k((0.0, 0.0, 0.0), 0.0) == pytest.approx(40.0 / (math.sqrt(2.0 * math.pi) * 20.0 * 50e-6), rel=1e-10)
    assert rise_k((0.0, 0.0, 0.0), 0.0) == pytest.approx(15957.7, abs=0.05)


@pytest.mark.parametrize("speed_m_s", (0.2, 1.0, 3.0))
@pytest.mark.parametrize("place_m", [(0.0, 0.0, 0.0), (-80e-6, 20e-6, 30e-6), (-300e-6, 0.0, 60e-6)])
def test_the_quadrature_agrees_with_the_printed_integral(speed_m_s: float, place_m: tuple[float, float, float]) -> None:
    # Eagar and Tsai, Weld. J. 62:346 (1983), integrated adaptively by scipy in the square root of time
    x, y, z = place_m
    a, sigma = 20.0 / 4e6, 25e-6

    def integrand(root_s: float) -> float:
        t = root_s**2
        if t == 0.0:
            return 0.0 if z > 0.0 else 2.0 / sigma**2 * math.exp(-(x**2 + y**2) / (2 * sigma**2))
        spread = 4 * a * t + 2 * sigma**2
        cooled = math.exp(-((x + speed_m_s * t) ** 2 + y**2) / spread - z**2 / (4 * a * t))
        return 2.0 / (2 * a * t + sigma**2) * cooled

    integral = quad(integrand, 0.0, 0.2, points=[0.002, 0.01, 0.03], limit=400, epsabs=0.0, epsrel=1e-10)[0]
    expected = 40.0 / (math.pi * 4e6 * math.sqrt(4 * math.pi * a)) * integral
    assert rise_k(place_m, speed_m_s) == pytest.approx(expected, rel=1e-6)


def test_far_from_the_beam_it_becomes_rosenthals_point_source() -> None:
    # Rosenthal: A P/(2 pi k R) exp(-v (x + R)/(2 a))
    place_m, speed_m_s = (-3e-3, 0.2e-3, 0.1e-3), 0.5
    far_m = math.dist(place_m, (0.0, 0.0, 0.0))
    point = 40.0 / (2 * math.pi * 20.0 * far_m) * math.exp(-speed_m_s * (place_m[0] + far_m) / (2 * 5e-6))
    assert rise_k(place_m, speed_m_s) == pytest.approx(point, rel=0.01)


def test_a_fast_small_beam_melts_as_deep_as_rosenthal_says() -> None:
    absorbed_w, speed_m_s, k, rho_cp, melting_rise_k = 100.0, 2.0, 20.0, 4e6, 1300.0
    _, depth_m = eagar_tsai_pool_m(
        absorbed_w=absorbed_w,
        speed_m_s=speed_m_s,
        spot_m=4e-6,
        conductivity_w_mk=k,
        volumetric_heat_j_m3k=rho_cp,
        melting_rise_k=melting_rise_k,
    )
    assert depth_m == pytest.approx(rosenthal_depth_m(absorbed_w, speed_m_s, rho_cp, melting_rise_k), rel=0.05)


def rubenchik_um(b: float, p: float, a_um: float) -> tuple[float, float, float]:
    """Depth, length, width: fits by Rubenchik et al., J. Mater. Process. Technol. 257:234 (2018); from memory."""
    ln_p, ln_b = math.log(p), math.log(b)
    depth = (
        a_um
        / math.sqrt(p)
        * (
            0.008
            - 0.0048 * b
            - 0.047 * p
            - 0.099 * b * p
            + (0.32 + 0.015 * b) * p * ln_p
            + ln_b * (0.0056 - 0.89 * p + 0.29 * p * ln_p)
        )
    )
    length = (
        a_um
        / p**2
        * (0.0053 - 0.21 * p + 1.3 * p**2 - (0.11 + 0.17 * b) * p**2 * ln_p + b * (-0.0062 + 0.23 * p + 0.75 * p**2))
    )
    width = (
        a_um
        / (b * p**3)
        * (
            0.0021
            - 0.047 * p
            + 0.34 * p**2
            - 1.9 * p**3
            - 0.33 * p**4
            + b * (0.00066 - 0.0070 * p - 0.00059 * p**2 + 2.8 * p**3 - 0.12 * p**4)
            + b**2 * (-0.00070 + 0.015 * p - 0.12 * p**2 + 0.59 * p**3 - 0.023 * p**4)
            + b**3 * (0.00001 - 0.00022 * p + 0.0020 * p**2 - 0.0085 * p**3 + 0.0014 * p**4)
        )
    )
    return -depth, length, width


@pytest.mark.parametrize(("b", "p"), [(10.0, 0.3), (5.0, 0.5), (10.0, 1.0), (15.0, 0.2)])
def test_pools_agree_with_a_published_fit(b: float, p: float) -> None:
    # B = A P/(pi^1.5 rho c dT sqrt(D v a³)), p = D/(v a), a the 1/e radius: sigma = a/sqrt2, D4sigma = 4 a/sqrt2
    a_m, diffusivity, rho_cp, melting_rise_k = 50e-6, 5e-6, 4e6, 1300.0
    speed_m_s = diffusivity / (p * a_m)
    absorbed_w = b * math.pi**1.5 * rho_cp * melting_rise_k * math.sqrt(diffusivity * speed_m_s * a_m**3)
    width_m, depth_m = eagar_tsai_pool_m(
        absorbed_w=absorbed_w,
        speed_m_s=speed_m_s,
        spot_m=4.0 * a_m / math.sqrt(2.0),
        conductivity_w_mk=diffusivity * rho_cp,
        volumetric_heat_j_m3k=rho_cp,
        melting_rise_k=melting_rise_k,
    )
    depth_um, _, width_um = rubenchik_um(b, p, 50.0)
    assert depth_m * 1e6 == pytest.approx(depth_um, rel=0.08)
    assert width_m * 1e6 == pytest.approx(width_um, rel=0.08)


def test_the_published_fit_is_written_down_right() -> None:
    assert rubenchik_um(10.0, 0.3, 50.0) == pytest.approx((124.5, 865.8, 273.4), abs=0.06)


def test_bare_plate_tracks_of_nist_are_met_in_conduction_mode() -> None:
    # AMB2018-02, IN625, AMMT case B: 179.2 W, 0.8 m/s, D4sigma 170 µm: 123 µm wide, 36 µm deep (Lane et al., Integr.
    # Mater. Manuf. Innov. 9, 2020, doi 10.1007/s40192-020-00169-1; second-hand). Absorptivity 0.30, k 25, cp 620.
    width_m, depth_m = eagar_tsai_pool_m(
        absorbed_w=0.30 * 179.2,
        speed_m_s=0.8,
        spot_m=170e-6,
        conductivity_w_mk=25.0,
        volumetric_heat_j_m3k=8440.0 * 620.0,
        melting_rise_k=1563.0 - 298.0,
    )
    assert width_m * 1e6 == pytest.approx(123.0, rel=0.25)
    assert depth_m * 1e6 == pytest.approx(36.0, rel=0.30)


def test_conduction_falls_short_of_the_nearly_keyholed_tracks_of_nist() -> None:
    # same study, CBM case B: 195 W, 0.8 m/s, D4sigma 100 µm: 133 µm wide, 91 µm deep; Eagar-Tsai with A 0.5 gives 60
    _, depth_m = eagar_tsai_pool_m(
        absorbed_w=0.5 * 195.0,
        speed_m_s=0.8,
        spot_m=100e-6,
        conductivity_w_mk=25.0,
        volumetric_heat_j_m3k=8440.0 * 620.0,
        melting_rise_k=1563.0 - 298.0,
    )
    assert depth_m * 1e6 == pytest.approx(60.0, rel=0.05)
    assert depth_m * 1e6 < 91.0


def test_a_weak_beam_melts_nothing() -> None:
    pool = eagar_tsai_pool_m(
        absorbed_w=1.0,
        speed_m_s=1.0,
        spot_m=100e-6,
        conductivity_w_mk=20.0,
        volumetric_heat_j_m3k=4e6,
        melting_rise_k=1300.0,
    )
    assert pool == (0.0, 0.0)
