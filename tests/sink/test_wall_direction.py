"""Walls keep off the recoater blade where that costs little: the angles can be checked by hand."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from core.part.downskin import find_patches
from core.part.load_part import load_part
from core.sink.bay_runs import cut_area_mm2
from core.sink.build_sink import build_sink
from core.sink.sink_choice import SinkChoice
from core.sink.wall_direction import ways_off_blade
from core.sink.wall_layout import Slopes, bay_layout
from tests.sink.simple_parts import box, low_faces, part_of

ANGLE = st.floats(-720, 720, allow_nan=False)


def between(a_deg: float, b_deg: float) -> float:
    """Angle between two lines, 0 to 90°."""
    apart = abs(a_deg - b_deg) % 180
    return min(apart, 180 - apart)


@pytest.mark.parametrize(
    ("direction", "blade", "ways"),
    [
        (0, 90, ()),  # across the blade: left as it is
        (80, 90, ()),  # 10° off: left as it is
        (90, 90, (105, 75)),  # along the blade: 15° on
        (83, 90, (75, 105)),  # 7° short of it: back to 15° short
        (93, 90, (105, 75)),
        (270, 90, (285, 255)),  # the same line the other way round
        (-88, 90, (-75, -105)),  # -88° is the line at 92°; 105° is the line at -75°
        (5, 0, (15, -15)),
        (178, 0, (165, 195)),
    ],
)
def test_walls_near_the_blade_may_go_fifteen_degrees_off_the_nearer_side_first(
    direction: float, blade: float, ways: tuple[float, ...]
) -> None:
    assert ways_off_blade(direction, blade) == pytest.approx(ways)


@given(ANGLE, ANGLE)
def test_ways_off_are_fifteen_degrees_from_the_blade_and_the_first_turns_by_no_more(
    direction: float, blade: float
) -> None:
    ways = ways_off_blade(direction, blade)
    assert bool(ways) == (between(direction, blade) < 10)
    assert all(between(way, blade) == pytest.approx(15) for way in ways)
    assert all(abs(way - direction) <= most + 1e-9 for way, most in zip(ways, (15, 25), strict=False))


@given(ANGLE, ANGLE, st.integers(-3, 3))
def test_it_is_a_matter_of_lines_so_half_turns_change_nothing(direction: float, blade: float, halves: int) -> None:
    if between(direction, blade) > 1e-6 and abs(between(direction, blade) - 10) > 1e-6:
        ways = zip(ways_off_blade(direction, blade + 180 * halves), ways_off_blade(direction, blade), strict=True)
        assert all(between(a, b) < 1e-9 for a, b in ways)


def level(width_mm: float, depth_mm: float) -> tuple[shapely.Polygon, Slopes]:
    """A level patch, so that walls run along its short side."""
    slopes = Slopes(centres_mm=np.zeros((1, 2)), lean=np.zeros((1, 2)), area_mm2=np.ones(1))
    return shapely.box(0, 0, width_mm, depth_mm), slopes


def test_a_wide_patch_has_its_walls_turned_and_keeps_most_of_its_bays() -> None:
    outline, slopes = level(100.0, 40.0)
    choice = SinkChoice(kind="fins")
    own, turned = (bay_layout(choice, outline, slopes, blade) for blade in (0.0, 90.0))
    assert own[0].turned_deg == 0.0 and abs(turned[0].turned_deg) == pytest.approx(15.0)
    kept = cut_area_mm2(turned, outline, 1.5) / cut_area_mm2(own, outline, 1.5)
    assert 0.85 <= kept <= 1.1


def test_a_slim_ledge_keeps_its_walls_along_the_blade_rather_than_becoming_a_block() -> None:
    # turned by 15°, the one wide bay would run into both long sides and end in neither
    outline, slopes = level(11.0, 10.9)
    bays = bay_layout(SinkChoice(kind="plate"), outline, slopes, 90.0)
    assert bays and bays[0].turned_deg == 0.0
    # by hand: 11 mm, less a wall of 1.5 mm, is one bay 8 mm wide and 10.9 mm long
    assert cut_area_mm2(bays, outline, 1.5) == pytest.approx(8.0 * 10.9, rel=0.1)


@pytest.mark.parametrize("direction_deg", [75.0, 105.0, 120.0])
def test_bays_that_meet_the_rim_askew_still_open(direction_deg: float) -> None:
    part = part_of(box(10, 30, 40) + box(40, 30, 5, (0, 0, 35)))
    volume = {
        turn: build_sink(part, low_faces(part), SinkChoice(direction_deg=turn), 0.3, name="s")[0].volume_mm3
        for turn in (90.0, direction_deg)
    }
    block = build_sink(part, low_faces(part), SinkChoice(kind="block"), 0.3, name="s")[0].volume_mm3
    assert block - volume[direction_deg] > 0.7 * (block - volume[90.0])


def test_the_bracket_gets_fins_on_both_patches() -> None:
    part = load_part("sample_parts/sensor-bracket.stl")
    for patch in find_patches(part, 45.0, 0.04):
        (fins,), (block,) = (
            build_sink(part, patch.faces, SinkChoice(kind=kind), 0.3, name="s", blade_deg=90.0)
            for kind in ("fins", "block")
        )
        assert fins.volume_mm3 < 0.5 * block.volume_mm3
