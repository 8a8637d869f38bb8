"""Zones cut in a process of their own are those cut in this one, and it ends when told to."""

import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from core.job_file import new_job
from core.part.downskin import find_patches
from core.progress import Stopped, never_stop
from core.refusal import Refusal
from core.run_job import load_placed_part
from core.sink.downskin_zone import downskin_zones
from core.sink.zones_apart import zones_apart
from tests.sink.simple_parts import box, low_faces, part_of
from tests.sink.test_downskin_zone import ceiling

SAMPLES = Path(__file__).parents[2] / "sample_parts"
FLOORS = part_of(box(5, 10, 30) + box(25, 10, 2, (0, 0, 10)) + box(25, 10, 15, (0, 0, 15)))


def test_the_same_zones_and_sentences_come_back() -> None:
    patches = [(1, ceiling(FLOORS, 10.0)), (4, ceiling(FLOORS, 15.0)), (7, ceiling(FLOORS, 10.0))]
    here, said = downskin_zones(FLOORS, patches, [8.0, 8.0, 2.0])
    there, said_there = zones_apart(FLOORS, patches, [8.0, 8.0, 2.0], never_stop)
    assert len(here) == 2 and said_there == said and len(said) == 1
    for one, other in zip(here, there, strict=True):
        assert (one.patch, one.height_mm, one.volume_mm3, one.share) == (
            other.patch,
            other.height_mm,
            other.volume_mm3,
            other.share,
        )
        assert np.array_equal(one.vertices_mm, other.vertices_mm) and np.array_equal(one.triangles, other.triangles)


def test_a_large_part_comes_through_whole() -> None:
    """Of 194,000 triangles; by hand: the plan of the patch times the height, less than its area times it."""
    part = load_placed_part(new_job(SAMPLES / "impeller-shroud.stl"))
    patch = find_patches(part, 45.0, 0.04)[0]
    (zone,), said = zones_apart(part, [(patch.id, patch.faces)], [0.08], never_stop)
    assert said == [] and zone.share == pytest.approx(1.0, abs=0.01)
    plan_mm2 = float((part.areas_mm2 * -part.normals[:, 2])[patch.faces].sum())
    assert zone.volume_mm3 == pytest.approx(0.08 * plan_mm2, rel=0.01) and zone.volume_mm3 < 0.08 * patch.area_mm2


def test_no_zone_at_all_comes_back_as_none() -> None:
    thin = part_of(box(5, 10, 30) + box(25, 10, 2, (0, 0, 10)))
    patches = [(1, ceiling(thin, 10.0)), (2, ceiling(thin, 10.0))]
    zones, said = zones_apart(thin, patches, [2.0, 2.0], never_stop)
    assert [zone.patch for zone in zones] == [1] and "patch 2" in said[0]


def test_a_part_that_is_no_solid_is_refused_with_the_same_sentence() -> None:
    open_part = replace(FLOORS, triangles=FLOORS.triangles[1:])
    faces = low_faces(open_part)
    with pytest.raises(Refusal) as here:
        downskin_zones(open_part, [(1, faces)], [1.0])
    with pytest.raises(Refusal) as there:
        zones_apart(open_part, [(1, faces)], [1.0], never_stop)
    assert str(there.value) == str(here.value)


def test_told_to_stop_it_ends_at_once() -> None:
    start = time.perf_counter()
    with pytest.raises(Stopped):
        zones_apart(FLOORS, [(1, ceiling(FLOORS, 10.0))], [8.0], lambda share: False)
    assert time.perf_counter() - start < 2.0
