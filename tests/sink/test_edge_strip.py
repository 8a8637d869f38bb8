"""Edge sinks stand only under edges from which a patch starts on powder; lengths and areas by hand."""

import manifold3d as m3d
import numpy as np
import pytest

from core.part.downskin import find_patches
from core.part.load_part import load_part
from core.part.part import Part
from core.refusal import Refusal
from core.sink.build_sink import build_sink
from core.sink.edge_strip import edge_strip, lowest_edges
from core.sink.sink_choice import SinkChoice
from tests.sink.simple_parts import box, low_faces, part_of, shelf, wedge

WIDTH = 2.0


def length_mm(edges: np.ndarray) -> float:
    return float(np.linalg.norm(edges[:, 1] - edges[:, 0], axis=1).sum())


def arm(far_mm: float, leg: m3d.Manifold | None = None) -> Part:
    """A wall 10 mm thick with an arm 40 mm long and 20 mm wide; its underside runs from z = 30 to a height far out."""
    profile = np.array([[10.0, 30], [50, far_mm], [50, 50], [10, 50]])
    beam = m3d.CrossSection([profile], m3d.FillRule.NonZero).extrude(20).rotate([90, 0, 0]).translate([0, 20, 0])
    whole = box(10, 20, 50) + beam
    return part_of(whole if leg is None else whole + leg)


def test_an_arm_that_hangs_down_starts_at_its_far_end() -> None:
    part = arm(15.0)
    free, _ = lowest_edges(part, low_faces(part))
    assert length_mm(free) == pytest.approx(20) and free[..., 0] == pytest.approx(50.0)
    assert edge_strip(part, low_faces(part), WIDTH).area == pytest.approx(20 * WIDTH, rel=0.01)
    (sink,) = build_sink(part, low_faces(part), SinkChoice(kind="edge", edge_width_mm=WIDTH), 0.3, name="s")
    assert sink.vertices_mm[:, 0].min() == pytest.approx(50 - WIDTH, abs=0.02)
    # 2 mm × 20 mm, on average 0.375 mm above the end at 15 mm, less 0.3 mm / cos(20.6°)
    assert sink.volume_mm3 == pytest.approx(40 * (15.375 - 0.32), rel=0.02)


def test_an_arm_that_rises_from_its_wall_gets_no_edge_sink_and_the_place_is_named() -> None:
    part = arm(45.0)
    with pytest.raises(Refusal, match=r"starts on the part itself at x 10\.0, y 10\.0, z 30\.0 mm.*choose fins\."):
        build_sink(part, low_faces(part), SinkChoice(kind="edge"), 0.3, name="s")


def test_only_the_part_of_a_lowest_edge_that_is_in_mid_air_gets_a_strip() -> None:
    part = arm(15.0, leg=box(5, 8, 20, (45, 0, 0)))
    free, held = lowest_edges(part, low_faces(part))
    assert length_mm(free) == pytest.approx(12)
    assert free[..., 1].min() == pytest.approx(8.0, abs=1e-4)
    assert len(held) == 0 or held[..., 1].max() <= 8.0 + 1e-4
    assert edge_strip(part, low_faces(part), WIDTH).area == pytest.approx(12 * WIDTH, rel=0.02)


def test_a_level_shelf_starts_along_its_three_edges_in_mid_air_but_not_at_its_wall() -> None:
    part = shelf()
    free, held = lowest_edges(part, low_faces(part))
    assert length_mm(free) == pytest.approx(90) and length_mm(held) == pytest.approx(30)
    # a U of 30 mm × 30 mm, 2 mm wide
    assert edge_strip(part, low_faces(part), WIDTH).area == pytest.approx(2 * 30 * 2 + 26 * 2, rel=0.01)


def test_a_tip_in_mid_air_has_no_edge_and_gets_a_strip_round_its_lowest_place() -> None:
    cone = m3d.Manifold.cylinder(10, 0.0, 25.0, 48).translate([60, 0, 20])  # 21.8° from the plate
    part = part_of(cone + box(10, 10, 40, (80, -5, 0)) + box(40, 10, 5, (50, -5, 30)))
    free, _ = lowest_edges(part, low_faces(part))
    faces = low_faces(part)
    assert len(free) == 0
    strip = edge_strip(part, faces, WIDTH)
    assert strip.area == pytest.approx(np.pi * WIDTH**2, rel=0.02)
    assert np.hypot(strip.centroid.x - 60, strip.centroid.y) < 0.01


def test_a_wedge_that_lies_on_the_plate_starts_there() -> None:
    part = wedge(20.0)
    with pytest.raises(Refusal, match=r"starts on the build plate at x 0\.0"):
        edge_strip(part, low_faces(part), WIDTH)


@pytest.mark.parametrize("name", ["sensor-fairing", "impeller-shroud", "manifold-block", "valve-body"])
def test_sample_parts_whose_patch_starts_at_their_own_wall_get_no_edge_sink(name: str) -> None:
    part = load_part(f"sample_parts/{name}.stl")
    for patch in find_patches(part, 45.0, 0.04):
        with pytest.raises(Refusal, match="starts on the part itself"):
            build_sink(part, patch.faces, SinkChoice(kind="edge"), 0.3, name="s")
