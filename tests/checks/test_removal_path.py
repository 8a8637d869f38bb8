"""Ways in steps on cells, and the cells themselves."""

import time

import manifold3d as m3d
import numpy as np
import pytest

from core.checks.removal import removal_way
from core.checks.removal_path import Mesh, exact_way, stepped_way
from core.checks.voxels import Grid, cell_for, filled
from core.part.triangle_tree import TriangleTree
from core.progress import never_stop
from core.sink.solid import to_arrays
from tests.checks.drawn_bodies import box, drawn_part, drawn_sink


def mesh(solid: m3d.Manifold) -> Mesh:
    vertices, triangles = to_arrays(solid)
    return Mesh(vertices_mm=vertices, triangles=triangles)


def test_a_zigzag_needs_three_bends_and_is_confirmed() -> None:
    """Chamber up on the left, tunnel along y below it, tunnel along x, then out through the side."""
    room = box((5, 5, 30), (20, 20, 45)) + box((5, 5, 10), (20, 20, 45)) + box((5, 5, 10), (20, 60, 25))
    room += box((5, 45, 10), (80, 60, 25))
    part, sink = mesh(box((0, 0, 0), (70, 70, 50)) - room), mesh(box((5.4, 5.4, 30.4), (19.6, 19.6, 44.6)))
    way = stepped_way([part], [TriangleTree.of(part.corners_mm)], sink, never_stop, most_cells=2_000_000)
    assert way.confirmed and len(way.shifts_mm) == 4
    legs = np.diff(way.shifts_mm, axis=0)
    assert [int(np.argmax(np.abs(leg))) for leg in legs] == [2, 1, 0]
    assert legs[0, 2] == pytest.approx(-20, abs=0.5) and legs[1, 1] == pytest.approx(40, abs=0.5)


def test_coarse_cells_never_close_the_sinks_own_place() -> None:
    """The gap is 0.05 mm and the cells 1 mm or more: the way straight out is still seen."""
    part, sink = (
        mesh(box((0, 0, 0), (50, 50, 50)) - box((10, 10, 5), (40, 40, 60))),
        mesh(box((10.05, 10.05, 5.05), (39.95, 39.95, 30))),
    )
    way = stepped_way([part], [TriangleTree.of(part.corners_mm)], sink, never_stop, most_cells=60_000)
    assert way.cell_mm > 1 and way.confirmed and way.shifts_mm[-1, 2] > 44


def test_cells_keep_within_the_bound() -> None:
    size = np.array([100.0, 50.0, 3.0])
    cell = cell_for(size, 100_000, 0.01)
    assert np.prod(np.ceil(size / cell) + 2) <= 100_000 and cell < 0.7
    assert cell_for(size, 10**9, 0.5) == 0.5


def test_a_way_that_grazes_is_not_confirmed() -> None:
    part, sink = mesh(box((0, 0, 0), (10, 10, 5))), mesh(box((0, 0, 5.5), (10, 10, 8)))
    trees = [TriangleTree.of(part.corners_mm)]
    down, up = np.array([[0.0, 0, 0], [0, 0, -1]]), np.array([[0.0, 0, 0], [0, 0, 1]])
    assert len(exact_way(trees, sink.corners_mm, down)) == 0
    assert exact_way(trees, sink.corners_mm, up).tolist() == up.tolist()


def test_filled_cells_of_boxes_are_counted_exactly_though_centres_lie_on_edges() -> None:
    solid = box((0.5, 0.5, 0.5), (5.5, 4.5, 3.5)).refine(4)
    vertices, triangles = to_arrays(solid)
    grid = Grid(low_mm=np.zeros(3), cell_mm=1.0, shape=(7, 7, 7))
    assert filled(vertices, triangles, grid).sum() == 5 * 4 * 3
    hollow = solid - box((2, 2, 1), (3, 3, 3))
    vertices, triangles = to_arrays(hollow)
    assert filled(vertices, triangles, grid).sum() == 60 - 2


def test_filled_cells_agree_with_the_volume_of_a_sphere() -> None:
    """4/3 pi r³; the mesh itself is 0.2 % smaller."""
    vertices, triangles = to_arrays(m3d.Manifold.sphere(10.0, 128))
    grid = Grid(low_mm=np.full(3, -10.5), cell_mm=0.21, shape=(100, 100, 100))
    inside = filled(vertices, triangles, grid)
    assert inside.sum() * 0.21**3 == pytest.approx(4 / 3 * np.pi * 1000, rel=5e-3)
    assert not inside[0].any() and not inside[:, :, -1].any()


@pytest.mark.slow
def test_straight_down_takes_well_under_half_a_second_at_200000_triangles() -> None:
    solid = (box((0, 0, 0), (5, 20, 20)) + box((0, 0, 15), (20, 20, 20))).refine_to_length(0.13)
    part, sink = drawn_part(solid), drawn_sink(box((5.3, 0, 0), (20, 20, 14.7)).refine_to_length(0.8))
    assert part.n_faces > 200_000
    tree = TriangleTree.of(part.corners_mm)
    removal_way(tree, part, sink)
    start = time.process_time()
    way = removal_way(tree, part, sink)
    assert way.kind == "straight" and time.process_time() - start < 0.5
