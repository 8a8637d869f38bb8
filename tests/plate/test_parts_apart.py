"""Distances between parts as a hand and python-fcl find them, and free places that are really free."""

import fcl
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.checks.parts_apart import check_parts_apart, near_pairs
from core.checks.standing import check_envelope
from core.part.more_parts import free_move_mm, nearest_free_corner_mm, part_of_face, single_parts, together
from core.part.part import Part
from core.part.place_on_plate import Plate, plate_low_corner_mm
from core.refusal import Refusal
from tests.fcl_object import fcl_object
from tests.sink.simple_parts import box, part_of

At = tuple[float, float, float]


def cube(side: float, at: At, name: str = "cube") -> Part:
    return part_of(box(side, side, side, at), name)


def test_parts_nearer_than_the_least_distance_are_named_with_it() -> None:
    """By hand: 10.15 - 10 = 0.15 mm, which float32 keeps to 1e-6; 0.25 mm is far enough for 0.2 mm."""
    near = together([cube(10, (0, 0, 0), "left"), cube(10, (10.15, 0, 0), "right")])
    (pair,) = near_pairs(near, 0.2)
    assert (pair.first, pair.second) == (0, 1) and pair.distance_mm == pytest.approx(0.15, abs=1e-6)
    (finding,) = check_parts_apart(near, Plate())
    assert finding.level == "note" and "'left' and 'right' are only 0.150 mm apart" in finding.text
    far = together([cube(10, (0, 0, 0)), cube(10, (10.25, 0, 0))])
    assert [f.level for f in check_parts_apart(far, Plate())] == ["ok"]
    (finding,) = check_parts_apart(far, Plate(apart_mm=0.3))
    assert finding.level == "note"


@pytest.mark.parametrize(
    ("second", "share"),
    [
        (cube(10, (9, 9, 9)), True),  # a corner in a corner
        (cube(10, (10, 0, 0)), True),  # face on face
        (cube(2, (4, 4, 4)), True),  # wholly inside
        (cube(30, (-10, -10, -10)), True),  # wholly around
        (cube(10, (10.1, 0, 0)), False),
    ],
)
def test_parts_that_touch_or_share_volume_are_a_stop(second: Part, share: bool) -> None:
    found = check_parts_apart(together([cube(10, (0, 0, 0)), second]), Plate())
    assert [f.level for f in found] == ["stop" if share else "note"]


def test_a_part_in_the_hollow_of_another_shares_no_volume_with_it() -> None:
    hollow = part_of(box(20, 20, 20) - box(10, 10, 10, (5, 5, 5)), "hollow")
    assert [f.level for f in check_parts_apart(together([hollow, cube(4, (8, 8, 8))]), Plate())] == ["ok"]
    assert [f.level for f in check_parts_apart(together([hollow, cube(4, (2, 8, 8))]), Plate())] == ["stop"]


@settings(max_examples=40, deadline=None)
@given(st.tuples(*(st.floats(-180, 180) for _ in range(3))), st.tuples(*(st.floats(-12, 12) for _ in range(3))))
def test_the_distance_of_turned_boxes_is_that_of_another_library(turn: At, move: At) -> None:
    """python-fcl 0.7: 0 or below where the boxes cross."""
    second = part_of(box(3, 4, 5).rotate(turn).translate(move))
    first = part_of(box(6, 5, 4))
    models = [fcl_object(part.vertices_mm, part.triangles) for part in (first, second)]
    expected = max(float(fcl.distance(*models)), 0.0)
    pairs = near_pairs(together([first, second]), 5.0)
    if expected < 4.999:
        (pair,) = pairs
        inside = pair.distance_mm == 0.0 and fcl.collide(*models) == 0  # meshes are hollow to fcl, ours are solid
        assert inside or pair.distance_mm == pytest.approx(expected, abs=1e-9)
    elif expected > 5.001:
        assert not pairs


def test_the_move_that_is_offered_takes_the_part_to_where_nothing_is_found() -> None:
    parts = [cube(10, (0, 0, 0)), cube(10, (3, 3, 0)), cube(10, (20, 0, 0))]
    plate = Plate(size_mm=(80, 80), apart_mm=1.0)
    (finding,) = check_parts_apart(together(parts), plate)
    ((key, (x, y)),) = finding.changes[0].values
    assert key == "more_parts.0.shift_mm"
    parts[1] = cube(10, (3 + x, 3 + y, 0))
    assert [f.level for f in check_parts_apart(together(parts), plate)] == ["ok"]
    assert [f.level for f in check_envelope(together(parts), (), plate)] == ["ok"]


def test_the_nearest_free_corner_is_right_by_hand() -> None:
    """100 by 50 with a box from 0 to 40 in x over all of its depth: 20 by 20 goes to x = 45 at the least."""
    boxes = np.array([[[0.0, 0.0], [40.0, 50.0]]])
    low, high, size = np.zeros(2), np.array([100.0, 50.0]), np.array([20.0, 20.0])
    found = nearest_free_corner_mm(size, boxes, low, high, 5.0, np.array([10.0, 10.0]))
    assert found is not None and found.tolist() == [45.0, 10.0]
    assert nearest_free_corner_mm(np.array([56.0, 20.0]), boxes, low, high, 5.0, np.zeros(2)) is None
    assert nearest_free_corner_mm(np.array([55.0, 50.0]), boxes, low, high, 5.0, np.zeros(2)) is not None


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 8), st.integers(0, 8)), max_size=12), st.integers(1, 4), st.integers(1, 4))
def test_a_free_place_is_found_exactly_when_there_is_one(taken: list[tuple[int, int]], width: int, depth: int) -> None:
    """On a board of ten by ten squares with boxes of two by two, every place on whole squares is tried by counting."""
    board = np.zeros((10, 10), dtype=bool)
    for i, j in taken:
        board[i : i + 2, j : j + 2] = True
    free = any(not board[i : i + width, j : j + depth].any() for i in range(11 - width) for j in range(11 - depth))
    boxes = np.array([[[i, j], [i + 2, j + 2]] for i, j in taken], dtype=float).reshape(-1, 2, 2)
    size = np.array([float(width), float(depth)])
    corner = nearest_free_corner_mm(size, boxes, np.zeros(2), np.full(2, 10.0), 0.0, np.array([3.7, 6.1]))
    assert (corner is not None) == free
    if corner is not None:
        assert (corner >= 0).all() and (corner + size <= 10 + 1e-9).all()
        meets = (corner < boxes[:, 1] - 1e-9) & (corner + size > boxes[:, 0] + 1e-9)
        assert not meets.all(axis=1).any()


def test_a_full_plate_refuses_and_the_plate_stays_about_the_first_part() -> None:
    first, second = cube(10, (0, 0, 0)), cube(10, (2, 0, 0))
    with pytest.raises(Refusal, match="no free place for 'cube \\(2\\)'"):
        free_move_mm(together([first, second]), 1, Plate(size_mm=(30, 14)))
    plate = Plate(size_mm=(100, 80))
    assert plate_low_corner_mm(together([first, cube(10, (60, 30, 0))]), plate) == plate_low_corner_mm(first, plate)


def test_what_is_put_together_comes_apart_again() -> None:
    parts = [cube(3, (0, 0, 0), "a"), cube(4, (9, 0, 0), "a"), cube(5, (0, 9, 0), "b")]
    whole = together(parts)
    assert [body.name for body in whole.bodies] == ["a", "a (2)", "b"] and whole.name == "a and 2 more"
    for one, part in zip(single_parts(whole), parts, strict=True):
        assert np.array_equal(one.corners_mm, part.corners_mm)
    assert part_of_face(whole, np.array([0, 11, 12, 23, 24, 35])).tolist() == [0, 0, 1, 1, 2, 2]
    assert together(parts[:1]) is parts[0] and single_parts(parts[0]) == (parts[0],)
