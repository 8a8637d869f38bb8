"""The gap of every face of a patch, against python-fcl triangle by triangle."""

import time
from pathlib import Path

import fcl
import numpy as np
import pytest

from core.gap.gap_measure import gap_per_face_mm
from core.part.downskin import find_patches
from core.part.load_part import load_part
from core.part.part import Part
from core.sink.build_sink import build_sink
from core.sink.sink_choice import SinkChoice
from core.units import FloatArray, IntArray
from tests.fcl_object import fcl_object

SAMPLE = Path(__file__).resolve().parents[2] / "sample_parts" / "impeller-shroud.stl"
Case = tuple[Part, IntArray, FloatArray]


@pytest.fixture(scope="module")
def shroud() -> Case:
    """The finest sample part, its worst patch, and the triangles of the block under it."""
    part = load_part(SAMPLE)
    faces = find_patches(part, 45.0, 0.04)[0].faces
    (sink,) = build_sink(part, faces, SinkChoice(kind="block"), 0.3, name="s")
    return part, faces, sink.vertices_mm[sink.triangles]


def test_the_gap_of_a_face_is_what_fcl_measures_from_it_to_the_sink(shroud: Case) -> None:
    part, faces, corners = shroud
    gaps = gap_per_face_mm(part, faces, corners)
    assert gaps.shape == faces.shape
    sink = fcl_object(corners.reshape(-1, 3), np.arange(3 * len(corners)).reshape(-1, 3))
    for k in np.linspace(0, len(faces) - 1, 60).astype(int):
        face = fcl_object(part.corners_mm[faces[k]], np.array([[0, 1, 2]]))
        distance = fcl.distance(face, sink, fcl.DistanceRequest(), fcl.DistanceResult())
        assert gaps[k] == pytest.approx(distance, abs=1e-9)


def test_no_face_is_nearer_than_asked_and_most_are_hardly_farther(shroud: Case) -> None:
    part, faces, corners = shroud
    gaps = gap_per_face_mm(part, faces, corners)
    assert gaps.min() >= 0.3
    assert np.median(gaps) < 0.303


def test_what_is_farther_than_asked_for_gets_the_bound_and_all_else_its_exact_distance(shroud: Case) -> None:
    part, faces, corners = shroud
    gaps = gap_per_face_mm(part, faces, corners)
    bound_mm = float(np.median(gaps))
    bounded = gap_per_face_mm(part, faces, corners, bound_mm)
    near = gaps < bound_mm
    assert 0.4 < near.mean() < 0.6
    assert np.array_equal(bounded[near], gaps[near]) and np.all(bounded[~near] == bound_mm)


def test_the_order_of_the_faces_does_not_change_their_gaps(shroud: Case) -> None:
    part, faces, corners = shroud
    mixed = np.random.default_rng(3).permutation(len(faces))
    assert np.array_equal(gap_per_face_mm(part, faces[mixed], corners), gap_per_face_mm(part, faces, corners)[mixed])


def test_forty_thousand_faces_are_measured_in_a_fifth_of_a_second(shroud: Case) -> None:
    """Wanted: 0.2 s on two cores, so 0.4 s of processor time; twice that is allowed for slower machines."""
    part, faces, corners = shroud
    took = []
    for _ in range(3):
        start, start_cpu = time.perf_counter(), time.process_time()
        gap_per_face_mm(part, faces, corners)
        # on a busy machine the clock runs on while others compute; two threads count twice on the other
        took.append(min(2 * (time.perf_counter() - start), time.process_time() - start_cpu))
    assert len(faces) > 30_000
    assert min(took) < 0.8
