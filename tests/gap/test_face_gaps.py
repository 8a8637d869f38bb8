"""The gap as a map and as numbers for each patch: by hand on boxes, against python-fcl on a sample part."""

from dataclasses import replace
from pathlib import Path

import fcl
import numpy as np
import pytest
import trimesh

from core.gap.face_gaps import face_gaps, patch_gap
from core.part.downskin import find_patches
from core.part.load_part import load_part
from core.part.part import Part
from core.part.triangle_tree import TriangleTree
from core.sink.build_sink import build_sink
from core.sink.sink_choice import SinkChoice
from core.units import FloatArray
from tests.fcl_object import fcl_object

SAMPLES = Path(__file__).resolve().parents[2] / "sample_parts"
GAP_MM = 0.3


def box(low: tuple[float, float, float], high: tuple[float, float, float]) -> FloatArray:
    """(12, 3, 3) triangles of a box."""
    return np.asarray(trimesh.creation.box(bounds=[low, high]).triangles)


@pytest.fixture
def shelf(tmp_path: Path) -> Part:
    """A leg of 10 mm and a shelf of 20 by 20 mm from 10 mm of height up; its ceiling is one patch of 400 mm²."""
    leg, board = box((-10, 0, 0), (0, 20, 20)), box((0, 0, 10), (20, 20, 20))
    path = tmp_path / "shelf.stl"
    joined = trimesh.boolean.union([trimesh.Trimesh(*trimesh.triangles.to_kwargs(t).values()) for t in (leg, board)])
    joined.export(path)
    return load_part(path)


def test_a_ceiling_half_over_a_box_has_the_gap_drawn_under_it_and_is_half_covered(shelf: Part) -> None:
    """By hand: 0.3 mm below half of the ceiling; beyond its edge at x = 10 mm the way grows as sqrt(0.3² + x²)."""
    (patch,) = find_patches(shelf, 45.0, 0.04)
    sink = box((0.5, -1.0, 0.0), (10.0, 21.0, 9.7))
    gap = patch_gap(shelf, patch, TriangleTree.of(sink), GAP_MM)
    beyond_mm = np.sqrt(1.5**2 - 1.0) * GAP_MM  # where the way is 1.5 gaps
    assert gap.patch == patch.id and gap.least_mm == pytest.approx(0.3, abs=1e-12)
    assert gap.median_mm == pytest.approx(0.3, abs=1e-12)
    assert 0.44 < gap.widest_mm <= 1.5 * GAP_MM and 0.3 < gap.p99_mm < gap.widest_mm
    assert gap.covered_share == pytest.approx((9.5 + 2 * beyond_mm) / 20, abs=0.01)


def test_a_patch_without_a_sink_has_no_gap_but_a_least_distance(shelf: Part) -> None:
    (patch,) = find_patches(shelf, 45.0, 0.04)
    gap = patch_gap(shelf, patch, TriangleTree.of(box((1, 1, 0), (19, 19, 5))), GAP_MM)
    assert gap.least_mm == pytest.approx(5.0) and gap.covered_share == 0.0
    assert np.isnan([gap.median_mm, gap.p99_mm, gap.widest_mm]).all()


def test_the_least_value_of_the_map_is_the_clearance_that_fcl_measures() -> None:
    """python-fcl takes the whole patch and the whole sink as two bodies."""
    part = load_part(SAMPLES / "sensor-bracket.stl")
    patches = find_patches(part, 45.0, 0.04)
    (sink,) = build_sink(part, patches[0].faces, SinkChoice(kind="fins"), GAP_MM, name="s")
    corners = sink.vertices_mm[sink.triangles]
    all_low = np.concatenate([patch.faces for patch in patches])
    gaps = face_gaps(part, all_low, corners, GAP_MM)
    models = [
        fcl_object(triangles.reshape(-1, 3), np.arange(3 * len(triangles)).reshape(-1, 3))
        for triangles in (part.corners_mm[patches[0].faces], corners)
    ]
    clearance_mm = fcl.distance(*models, fcl.DistanceRequest(), fcl.DistanceResult())
    told = gaps.distance_mm[all_low]
    assert told.min() == pytest.approx(clearance_mm, abs=1e-9) and clearance_mm >= GAP_MM
    number = patch_gap(part, patches[0], TriangleTree.of(corners), GAP_MM)
    assert number.least_mm == pytest.approx(clearance_mm, abs=1e-9)
    assert np.isnan(np.delete(gaps.distance_mm, all_low)).all(), "faces that nobody asked for have no value"
    assert np.isinf(told).any() and told[np.isfinite(told)].max() < 3 * GAP_MM, "the other patch has no sink"


def test_a_lifted_sink_is_nearer_by_what_it_was_lifted(shelf: Part) -> None:
    patch = replace(find_patches(shelf, 45.0, 0.04)[0])
    for lift_mm in (0.0, 0.1, 0.2):
        sink = box((1.0, 1.0, 0.0), (19.0, 19.0, 9.7 + lift_mm))
        gaps = face_gaps(shelf, patch.faces, sink, GAP_MM)
        assert np.nanmin(gaps.distance_mm) == pytest.approx(0.3 - lift_mm, abs=1e-12)
