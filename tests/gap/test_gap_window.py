"""The gap window against the one published gap study and by hand."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.gap.gap_window import (
    Limit,
    classify_gap,
    fuse_limit,
    heat_limit_mm,
    normal_gap_mm,
    proposed_gap_mm,
    vertical_gap_mm,
    window_text,
)
from core.heat.laser_settings import LaserSettings
from core.heat.materials import alloy
from core.heat.melt_depth import powder_melt_depth_band_m

# Çelik, Tekoğlu, Yasa, Sönmez, Materials 15(11):3765 (2022), doi 10.3390/ma15113765: CoCrMo, 50 µm layers. 100, 125 and
# 150 µm fused; 250 and 300 µm at 25° and 30° could be measured (so they stayed apart); 15° failed at every gap.
# The paper's laser settings were not read: usual ones for the alloy are taken (from memory).
COCR = LaserSettings(power_w=290.0, speed_mm_s=950.0, hatch_mm=0.11, layer_mm=0.05, absorptivity=0.4)


def melt_depth_mm() -> float:
    return powder_melt_depth_band_m(COCR, alloy("CoCrMo"), 0.45).nominal * 1e3


@pytest.mark.parametrize("angle_deg", (25.0, 30.0))
@pytest.mark.parametrize(
    ("gap_mm", "expected"),
    [(0.1, "fuses"), (0.125, "fuses"), (0.15, "fuses"), (0.25, "comes free"), (0.3, "comes free")],
)
def test_the_published_gaps_fall_into_the_published_classes(gap_mm: float, angle_deg: float, expected: str) -> None:
    for depth_mm in (melt_depth_mm(), 0.219):
        assert classify_gap(gap_mm, angle_deg, melt_depth_mm=depth_mm, layer_mm=0.05) == expected


@pytest.mark.parametrize("angle_deg", (25.0, 30.0))
@pytest.mark.parametrize("gap_mm", (0.25, 0.3))
def test_the_free_gaps_stay_free_if_the_study_measured_them_vertically(gap_mm: float, angle_deg: float) -> None:
    # the part read doesn't say whether the gap is vertical or normal to the face
    normal_mm = normal_gap_mm(gap_mm, angle_deg)
    assert classify_gap(normal_mm, angle_deg, melt_depth_mm=0.219, layer_mm=0.05) == "comes free"


@pytest.mark.parametrize("gap_mm", (0.1, 0.15, 0.25, 0.3))
def test_at_fifteen_degrees_no_gap_is_recommended(gap_mm: float) -> None:
    assert classify_gap(gap_mm, 15.0, melt_depth_mm=melt_depth_mm(), layer_mm=0.05) == "not recommended"


def test_between_the_reported_gaps_the_answer_is_open() -> None:
    assert classify_gap(0.2, 25.0, melt_depth_mm=melt_depth_mm(), layer_mm=0.05) == "may fuse"


def test_the_fuse_limit_can_be_redone_by_hand() -> None:
    # depth 294 µm, layer 50 µm: max(200, 244) + 50 = 294 µm upright; low max(200, 126) + 50, high max(200, 362) + 50
    found = fuse_limit(0.294, 0.05, 25.0)
    cosine = math.cos(math.radians(25.0))
    assert found.nominal_mm == pytest.approx(0.294 * cosine)
    assert found.low_mm == pytest.approx(0.250 * cosine)
    assert found.high_mm == pytest.approx((1.4 * 0.294) * cosine)


def test_upright_and_shortest_gap_differ_by_the_cosine() -> None:
    # 25°: x 1.10, 45°: x 1.41
    assert vertical_gap_mm(1.0, 25.0) == pytest.approx(1.10, abs=0.005)
    assert vertical_gap_mm(1.0, 45.0) == pytest.approx(math.sqrt(2.0))
    assert normal_gap_mm(vertical_gap_mm(0.3, 33.0), 33.0) == pytest.approx(0.3)


def test_the_first_gap_proposed_lies_between_the_studys_free_gaps() -> None:
    assert 0.25 <= proposed_gap_mm(fuse_limit(0.219, 0.05, 25.0), 0.05) <= 0.3
    assert proposed_gap_mm(Limit(low_mm=0.2, nominal_mm=0.34, high_mm=0.5), 0.03) == pytest.approx(0.34)


def heat(allowed: float, without: float = 0.0667) -> float:
    return heat_limit_mm(
        conductivity_w_mk=0.15,
        wall_w_m2k=4500.0,
        resistance_allowed_m2k_w=allowed,
        resistance_rest_m2k_w=0.00065,
        resistance_without_m2k_w=without,
    )


def test_the_heat_limit_undoes_the_resistance_of_the_gap() -> None:
    # 0.25 mm, k 0.15, walls 4500 W/m²K, 9.75 mm of metal at 15 W/mK: 0.00276 m²K/W
    assert heat(0.25e-3 / 0.15 + 2.0 / 4500.0 + 0.00065) == pytest.approx(0.25)


def test_the_heat_limit_is_none_or_out_of_reach_at_the_ends() -> None:
    assert heat(0.07) == math.inf
    assert heat(0.001) == 0.0


def test_the_window_says_in_words_what_its_ends_are() -> None:
    fuse = Limit(low_mm=0.2, nominal_mm=0.25, high_mm=0.3)

    def text(nominal_mm: float) -> str:
        return window_text(fuse, Limit(low_mm=0.0, nominal_mm=nominal_mm, high_mm=math.inf))

    assert "there is no heat limit" in text(math.inf)
    assert "can't be reached" in text(0.0)
    assert "no gap satisfies both" in text(0.2)
    assert text(0.6).endswith("the heat limit at 0.60 mm (0.00 to no limit).")


@given(
    depth_mm=st.floats(0.02, 1.0),
    more=st.floats(1.0, 2.0),
    layer_mm=st.floats(0.02, 0.1),
    angle_deg=st.floats(20.0, 60.0),
    gap_mm=st.floats(0.02, 2.0),
)
def test_a_deeper_melt_or_a_narrower_gap_never_makes_it_come_free(
    depth_mm: float, more: float, layer_mm: float, angle_deg: float, gap_mm: float
) -> None:
    order = ("fuses", "may fuse", "comes free")
    here = order.index(classify_gap(gap_mm, angle_deg, melt_depth_mm=depth_mm, layer_mm=layer_mm))
    deeper = order.index(classify_gap(gap_mm, angle_deg, melt_depth_mm=depth_mm * more, layer_mm=layer_mm))
    wider = order.index(classify_gap(gap_mm * more, angle_deg, melt_depth_mm=depth_mm, layer_mm=layer_mm))
    assert deeper <= here <= wider
    limit = fuse_limit(depth_mm, layer_mm, angle_deg)
    assert limit.low_mm <= limit.nominal_mm <= limit.high_mm
