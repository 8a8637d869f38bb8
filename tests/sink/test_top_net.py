"""The net of a sink's top: triangles as Qhull makes them, fine only where the patch asks for it."""

from pathlib import Path

import manifold3d as m3d
import numpy as np
import pytest
import shapely
from scipy.spatial import Delaunay

from core.part.part import Part
from core.part.triangle_tree import TriangleTree
from core.progress import never_stop
from core.sink.build_sink import build_sink
from core.sink.creases import crossings, fold_lines_mm
from core.sink.footprint import region_of_rings
from core.sink.net_flips import NEW, sides, well_shaped
from core.sink.sink_choice import SinkChoice
from core.sink.sink_top import ColumnTops
from core.units import FloatArray, IntArray
from tests.sink.promises import broken_promises
from tests.sink.simple_parts import box, low_faces, part_of
from tests.sink.solid_as_read import Solid


def edge_set(triangles: IntArray, n: int) -> set[tuple[int, int]]:
    return {(int(a), int(b)) for a, b in sides(triangles, n)[0]}


def fan(plan: FloatArray) -> IntArray:
    """Badly shaped triangles of points: each joined to the triangle it lies in, the corners of a square first."""
    triangles = [(0, 1, 2), (0, 2, 3)]
    for k in range(4, len(plan)):
        for t, (a, b, c) in enumerate(triangles):
            if shapely.Polygon(plan[[a, b, c]]).contains(shapely.Point(plan[k])):
                triangles[t : t + 1] = [(a, b, k), (b, c, k), (c, a, k)]
                break
    return np.array(triangles)


@pytest.mark.parametrize("seed", range(5))
def test_flipping_makes_of_any_triangles_those_that_qhull_makes(seed: int) -> None:
    rng = np.random.default_rng(seed)
    plan = np.concatenate([[[0, 0], [1, 0], [1, 1], [0, 1]], rng.random((120, 2)) * 0.98 + 0.01])
    triangles = fan(plan)
    well_shaped(plan, triangles, np.zeros(len(triangles), dtype=np.int8))
    assert edge_set(triangles, len(plan)) == edge_set(Delaunay(plan).simplices.astype(np.int64), len(plan))


def test_flipping_marks_the_triangles_it_changed_and_keeps_the_area() -> None:
    plan = np.array([[0.0, 0.0], [4.0, -0.1], [8.0, 0.0], [4.0, 0.1]])
    triangles = np.array([[0, 1, 2], [0, 2, 3]])
    state = np.zeros(2, dtype=np.int8)
    well_shaped(plan, triangles, state)
    assert (state == NEW).all()
    assert edge_set(triangles, 4) == {(0, 1), (1, 2), (2, 3), (0, 3), (1, 3)}
    assert shapely.area(shapely.polygons(plan[triangles])).sum() == pytest.approx(0.8)


def test_edges_are_counted_as_euler_says() -> None:
    plan = np.random.default_rng(1).random((500, 2))
    triangles = Delaunay(plan).simplices.astype(np.int64)
    edges, of_triangle = sides(triangles, len(plan))
    assert len(plan) - len(edges) + len(triangles) == 1  # a disc
    assert (np.sort(edges[of_triangle[:, 0]], axis=1) == np.sort(triangles[:, :2], axis=1)).all()


def test_an_edge_is_split_where_it_crosses_a_crease() -> None:
    ends = np.array([[[0.0, 0.0], [10.0, 0.0]], [[0.0, 5.0], [10.0, 5.0]]])
    crease = np.array([[[3.0, -1.0], [3.0, 1.0]]])
    assert crossings(ends, crease) == pytest.approx([0.3, 0.5])


def two_storeys() -> Part:
    """Ceilings at z = 10 up to x = 20.2 and at z = 14 from x = 20 on; in plan they overlap by 0.2 mm."""
    low, high = box(20.2, 20, 1, (0, 0, 10)), box(20, 20, 7, (20, 0, 14))
    return part_of(low + high + box(40, 20, 5, (0, 0, 16)) + box(2, 20, 21, (-2, 0, 0)))


def storeys(part: Part) -> IntArray:
    faces = low_faces(part)
    return np.asarray(faces[part.corners_mm[faces][:, :, 2].max(axis=1) < 15])


def test_a_column_passes_a_lower_storey_of_its_patch_by_a_gap_or_stays_below_it() -> None:
    part = two_storeys()
    whole, patch = (TriangleTree.of(corners) for corners in (part.corners_mm, part.corners_mm[storeys(part)]))
    tops = ColumnTops(part=whole, patch=patch, lean=np.zeros(2), folded=True)
    beyond = np.array([-0.1, 0.1, 0.2, 0.29, 0.31, 1.0])  # of the lower storey's edge
    heights = tops.heights_mm(np.column_stack([20.2 + beyond, np.full(6, 10.0)]), 0.3, never_stop)
    # a ball of 0.3 mm rolls around the edge of the lower storey; one gap past it nothing is in the way
    rolled = 10 - np.sqrt(0.3**2 - np.clip(beyond[:4], 0, None) ** 2)
    assert heights == pytest.approx([*rolled, 13.7, 13.7], abs=5e-4)


def test_storeys_that_overlap_a_little_share_a_sink_with_an_even_gap_under_both(tmp_path: Path) -> None:
    part = two_storeys()
    sinks = build_sink(part, storeys(part), SinkChoice(), 0.3, name="s")
    assert len(sinks) == 1
    solid = Solid(vertices_mm=part.vertices_mm, triangles=part.triangles)
    assert not broken_promises(solid, storeys(part), sinks, 0.3, tmp_path)


def test_rings_of_two_places_enclose_nothing() -> None:
    square = np.array([[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]])
    region = region_of_rings([square, square[:2]])
    assert region is not None and region.area == pytest.approx(4)
    assert region_of_rings([square[:2]]) is None


def roof(angle_deg: float) -> Part:
    """A block with a V-shaped valley cut up into its underside: two faces that lean towards each other."""
    high = 10 * np.tan(np.radians(angle_deg))
    profile = np.array([[0.0, -1.0], [20.0, -1.0], [20.0, 20.0], [10.0, 20.0 + high], [0.0, 20.0]])
    valley = m3d.CrossSection([profile]).extrude(30).rotate([90, 0, 0]).translate([0, 30, 0])
    return part_of(box(20, 30, 40) - valley + box(20, 2, 21, (0, -2, 0)))


def test_under_a_fold_the_kink_lies_where_both_planes_are_one_gap_away() -> None:
    part = roof(30.0)
    lines = fold_lines_mm(part, low_faces(part), 0.3)
    assert len(lines) >= 1
    assert lines[:, :, 0] == pytest.approx(np.full(lines.shape[:2], 10.0), abs=1e-5)
    apex = 20 + 10 * np.tan(np.radians(30))
    assert lines[:, :, 2] == pytest.approx(np.full(lines.shape[:2], apex - 0.3 / np.cos(np.radians(30))), abs=1e-4)


@pytest.mark.parametrize("gap_mm, is_kink", [(0.3, False), (0.1, True)])
def test_a_slight_fold_is_a_kink_where_its_faces_are_long_enough_for_the_gap(gap_mm: float, is_kink: bool) -> None:
    # each face rises 10 mm * tan 0.05° = 8.7 um to the fold, in all the patch bends by 5 mm * 0.1° = 8.7 um:
    # less than 4 % of 0.3 mm, more than 4 % of 0.1 mm
    part = roof(0.05)
    found = fold_lines_mm(part, low_faces(part), gap_mm)
    assert (len(found) > 0) == is_kink


def test_outward_folds_are_kinks_too() -> None:
    part = roof(-5.0)
    lines = fold_lines_mm(part, low_faces(part), 0.3)
    assert len(lines) >= 1
    assert lines[:, :, 0] == pytest.approx(np.full(lines.shape[:2], 10.0), abs=1e-5)


def test_in_a_fold_the_gap_is_that_of_two_planes_and_costs_few_points() -> None:
    part = roof(30.0)
    (sink,) = build_sink(part, low_faces(part), SinkChoice(kind="block"), 0.3, name="s")
    # where two planes at 30° meet, the place one gap off both is 0.3 / cos 30° = 0.3464 mm from the fold
    assert sink.gap_error_max_um == pytest.approx(1e3 * (0.3 / np.cos(np.radians(30)) - 0.3), abs=4)
    on_fold = np.abs(sink.vertices_mm[:, 0] - 10) < 0.02
    assert 2 <= (on_fold & (sink.vertices_mm[:, 2] > 20)).sum() < 60
    inside = (np.abs(sink.vertices_mm[:, 0] - 10) < 9) & (sink.vertices_mm[:, 2] > 15) & ~on_fold
    assert inside.sum() < 100
