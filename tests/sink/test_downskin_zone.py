"""Downskin zones by hand-made volumes, and on sample parts by another library: none in another, none outside."""

import itertools
import math
from pathlib import Path

import manifold3d as m3d
import numpy as np
import pytest
import trimesh

from core.job_file import new_job
from core.part.downskin import find_patches
from core.part.part import Part
from core.run_job import load_placed_part
from core.sink.downskin_zone import downskin_zones, raised_patch
from core.sink.solid import to_manifold
from tests.sink.simple_parts import box, low_faces, part_of, wedge

SAMPLES = Path(__file__).parents[2] / "sample_parts"


def ceiling(part: Part, z_mm: float) -> np.ndarray:
    """The flat downskin at one height."""
    at_height = np.abs(part.corners_mm[:, :, 2] - z_mm).max(axis=1) < 1e-6
    return np.flatnonzero(at_height & (part.normals[:, 2] < -0.99)).astype(np.int32)


@pytest.mark.parametrize("angle_deg", [10.0, 20.0, 40.0])
def test_a_zone_is_the_plan_of_the_patch_times_its_height(angle_deg: float) -> None:
    """Moved up along z, a slanted rectangle sweeps its plan, 40 × 25 mm, times the height, at any angle."""
    part = wedge(angle_deg, 40.0, 25.0)
    (zone,), said = downskin_zones(part, [(1, low_faces(part))], [0.2])
    assert zone.volume_mm3 == pytest.approx(40.0 * 25.0 * 0.2, rel=1e-4) and said == []
    assert zone.share == pytest.approx(1.0, abs=1e-4)
    mesh = trimesh.Trimesh(zone.vertices_mm, zone.triangles, process=False)
    assert mesh.is_watertight and mesh.volume == pytest.approx(zone.volume_mm3)
    assert mesh.bounds[1, 2] == pytest.approx(40.0 * math.tan(math.radians(angle_deg)) + 0.2, abs=2e-3)


def test_where_the_part_is_thinner_than_the_zone_it_ends_with_the_part() -> None:
    part = part_of(box(5, 10, 20) + box(25, 10, 0.5, (0, 0, 19.5)))
    (zone,), _ = downskin_zones(part, [(1, ceiling(part, 19.5))], [1.0])
    assert zone.volume_mm3 == pytest.approx(20 * 10 * 0.5, rel=1e-4)
    assert zone.share == pytest.approx(0.5, abs=1e-4)


def test_of_two_patches_above_each_other_the_first_goes_first_and_powder_between_is_no_zone() -> None:
    """Floors at 10 to 12 and 15 to 30 mm over 20 × 10 mm: 8 mm above the lower hold 2 + 3 mm, the upper gets 5."""
    part = part_of(box(5, 10, 30) + box(25, 10, 2, (0, 0, 10)) + box(25, 10, 15, (0, 0, 15)))
    patches = [(1, ceiling(part, 10.0)), (2, ceiling(part, 15.0))]
    (lower, upper), _ = downskin_zones(part, patches, [8.0, 8.0])
    assert lower.volume_mm3 == pytest.approx(200 * 5, rel=1e-4)
    assert upper.volume_mm3 == pytest.approx(200 * 5, rel=1e-4)
    assert upper.vertices_mm[:, 2].min() == pytest.approx(18.0, abs=2e-3)
    assert upper.share == pytest.approx(5 / 8, abs=1e-4)
    again, said = downskin_zones(part, [(1, ceiling(part, 10.0)), (2, ceiling(part, 10.0))], [8.0, 2.0])
    assert [zone.patch for zone in again] == [1] and "No zone was cut above patch 2" in said[0]


def test_a_patch_whose_pieces_touch_in_one_point_only_still_closes() -> None:
    """Two squares of 10 mm that share a corner: two towers of 10 × 10 × 0.3 mm."""
    whole = box(20, 20, 5, (0, 0, 10)) + box(20, 20, 10.5).translate([-20, 0, 0])
    corners = np.array([[x, y, 10.0] for x in (0, 10, 20) for y in (0, 10, 20)])
    flat = np.array([[0, 1, 4], [0, 4, 3], [4, 5, 8], [4, 8, 7]])  # the squares about (5, 5) and (15, 15)
    square = Part(name="two squares", file_format="stl", units="mm", vertices_mm=corners, triangles=flat)
    prism = raised_patch(square, np.arange(4, dtype=np.int32), 0.3)
    assert prism.status() == m3d.Error.NoError
    assert prism.volume() == pytest.approx(2 * 10 * 10 * 0.3)
    assert len(prism.decompose()) == 2
    assert (whole ^ prism).volume() == pytest.approx(60.0, rel=1e-6)


@pytest.mark.parametrize("name", sorted(path.name for path in SAMPLES.glob("*.stl")))
def test_on_sample_parts_zones_fill_what_lies_above_the_patches_and_nothing_else(name: str) -> None:
    """manifold3d measures: outside the part and in each other less than a micrometre's skin, together all of it."""
    part = load_placed_part(new_job(SAMPLES / name))
    patches = find_patches(part, 45.0, 0.04)[:8]
    height_mm = 0.6
    zones, _ = downskin_zones(part, [(p.id, p.faces) for p in patches], [height_mm] * len(patches))
    assert zones
    whole = to_manifold(part.vertices_mm, part.triangles)
    solids = [to_manifold(zone.vertices_mm, zone.triangles) for zone in zones]
    for solid in solids:
        assert solid.status() == m3d.Error.NoError
        assert (solid - whole).volume() <= 1e-3 * solid.surface_area() / 2
    for a, b in itertools.combinations(solids, 2):
        assert (a ^ b).volume() <= 1e-3 * min(a.surface_area(), b.surface_area()) / 2
    prisms = m3d.Manifold.batch_boolean([raised_patch(part, p.faces, height_mm) for p in patches], m3d.OpType.Add)
    meant = (whole ^ prisms).volume()
    assert sum(solid.volume() for solid in solids) == pytest.approx(meant, rel=5e-3)
