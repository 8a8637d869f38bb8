"""Walls keep off the recoater blade: the angles can be checked by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.sink.wall_direction import turned_from_blade

ANGLE = st.floats(-720, 720, allow_nan=False)


def between(a_deg: float, b_deg: float) -> float:
    """Angle between two lines, 0 to 90°."""
    apart = abs(a_deg - b_deg) % 180
    return min(apart, 180 - apart)


@pytest.mark.parametrize(
    ("direction", "blade", "turned"),
    [
        (0, 90, 0),  # across the blade: left as it is
        (80, 90, 80),  # 10° off: left as it is
        (90, 90, 105),  # along the blade: 15° on
        (83, 90, 75),  # 7° short of it: back to 15° short
        (93, 90, 105),
        (270, 90, 285),  # the same line the other way round
        (-88, 90, -75),  # -88° is the line at 92°; 105° is the line at -75°
        (5, 0, 15),
        (178, 0, 165),
    ],
)
def test_walls_near_the_blade_are_turned_to_fifteen_degrees_off(direction: float, blade: float, turned: float) -> None:
    assert turned_from_blade(direction, blade) == pytest.approx(turned)


@given(ANGLE, ANGLE)
def test_no_walls_end_near_the_blade_and_none_turn_farther_than_fifteen_degrees(direction: float, blade: float) -> None:
    turned = turned_from_blade(direction, blade)
    assert between(turned, blade) >= 10 - 1e-9
    assert abs(turned - direction) <= 15 + 1e-9
    assert turned == direction or between(direction, blade) < 10


@given(ANGLE, ANGLE, st.integers(-3, 3))
def test_it_is_a_matter_of_lines_so_half_turns_change_nothing(direction: float, blade: float, halves: int) -> None:
    if between(direction, blade) > 1e-6 and abs(between(direction, blade) - 10) > 1e-6:
        other = turned_from_blade(direction, blade + 180 * halves)
        assert between(other, turned_from_blade(direction, blade)) < 1e-9
