"""Build directions: evenly spread, turned upright by the printed angles, and kept off sealing faces."""

import numpy as np
import pytest
import trimesh
from scipy.spatial import ConvexHull

from core.part.orientations import (
    directions_along,
    fibonacci_directions,
    flat_side_directions,
    looks_down,
    turn_for,
    without_twins,
)
from core.part.place_on_plate import rotation_matrix
from core.refusal import Refusal
from tests.orient.solids import box, part_of, ring


def covering_radius(directions: np.ndarray) -> float:
    """Largest angle of any place on the sphere to the nearest direction: the widest empty cap of the hull's facets."""
    return float(np.arccos(-ConvexHull(directions).equations[:, 3]).max())


@pytest.mark.parametrize("n", [100, 400, 800, 2000])
def test_no_place_on_the_sphere_is_far_from_a_direction(n: int) -> None:
    """Below by L. Fejes Tóth's bound for n caps, cos r <= cot(w)/√3, w = n/(n - 2) π/6 (Lagerungen in der Ebene, 1953).

    Above by 2.8/√n: Hardin, Michaels and Saff (Dolomites Res. Notes Approx. 9, 2016) give about 2.73/√n for these
    nodes; both from memory.
    """
    w = n / (n - 2) * np.pi / 6
    least = np.arccos(1.0 / (np.tan(w) * np.sqrt(3.0)))
    assert least < covering_radius(fibonacci_directions(n)) < 2.8 / np.sqrt(n)


def test_directions_are_unit_vectors_and_balance() -> None:
    directions = fibonacci_directions(800)
    assert np.allclose(np.linalg.norm(directions, axis=1), 1.0)
    assert np.linalg.norm(directions.mean(axis=0)) < 1e-3


def test_the_printed_turn_brings_a_direction_upright() -> None:
    """Within half of 0.01° about each axis, as angles are printed in hundredths."""
    for direction in fibonacci_directions(300):
        upright = rotation_matrix(turn_for(direction)) @ direction
        assert np.degrees(np.arccos(min(upright[2], 1.0))) < 0.0072


@pytest.mark.parametrize("axis", [*np.eye(3), *-np.eye(3)])
def test_axes_are_turned_upright_exactly(axis: np.ndarray) -> None:
    assert (rotation_matrix(turn_for(axis)) @ axis).tolist() == [0, 0, 1]


def test_a_tilted_box_is_tried_on_each_of_its_sides() -> None:
    turned = trimesh.creation.box((30, 20, 10)).apply_transform(
        trimesh.transformations.euler_matrix(0.3, -0.5, 0.9)
    )
    part = part_of(turned)
    found = flat_side_directions(part)
    for normal in part.normals:
        assert (found @ normal).max() > np.cos(np.radians(0.01))


def test_a_bore_that_must_not_look_down_leaves_its_axis_both_ways() -> None:
    part = ring()
    middle = part.corners_mm.mean(axis=1) - [0, 0, 0]
    bore = (np.abs(part.normals[:, 2]) < 1e-6) & ((part.normals * middle).sum(axis=1) < 0)
    normals = part.normals[bore]
    found = directions_along(normals, part.areas_mm2[bore])
    kept = found[~looks_down(found, normals)]
    assert sorted(kept[:, 2].round(6).tolist()) == [-1.0, 1.0]
    assert looks_down(fibonacci_directions(800), normals).all(), "evenly spread directions miss the axis"


def test_two_opposite_sides_leave_the_circle_between_them() -> None:
    part = box()
    normals = part.normals[np.abs(part.normals[:, 0]) > 0.9]
    found = directions_along(normals, np.ones(len(normals)))
    kept = found[~looks_down(found, normals)]
    assert np.abs(kept[:, 0]).max() < 1e-3
    assert len(without_twins(kept)) >= 140


def test_numbers_of_directions_out_of_range_are_refused() -> None:
    with pytest.raises(Refusal, match="out of range"):
        fibonacci_directions(0)
