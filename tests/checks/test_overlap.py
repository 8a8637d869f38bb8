"""Shared volume of sink and part, beside the volume of their intersection by manifold3d."""

from dataclasses import replace

import manifold3d as m3d
import pytest

from core.checks.overlap import check_overlap
from core.part.triangle_tree import TriangleTree
from tests.checks.drawn_bodies import box, drawn_part, drawn_sink

SHELL = box((0, 0, 0), (40, 40, 40)) - box((5, 5, 5), (35, 35, 35))


@pytest.mark.parametrize(
    ("part", "sink"),
    [
        (box((0, 0, 20), (20, 20, 30)), box((0, 0, 0), (20, 20, 19.7))),  # below it
        (SHELL, box((10, 10, 10), (30, 30, 30))),  # in its cavity
        (box((0, 0, 0), (40, 40, 40)), box((10, 10, 10), (30, 30, 30))),  # swallowed by it
        (box((10, 10, 10), (30, 30, 30)), box((0, 0, 0), (40, 40, 40))),  # swallows it
        (box((10, 10, 10), (30, 30, 30)) + box((50, 0, 0), (60, 10, 10)), box((0, 0, 0), (40, 40, 40))),  # one of two
        (box((10, 10, 10), (30, 30, 30)), SHELL),  # the part stands in the sink's cavity
    ],
)
def test_a_stop_exactly_where_the_solids_intersect(part: m3d.Manifold, sink: m3d.Manifold) -> None:
    shared_mm3 = (part ^ sink).volume()
    body = drawn_part(part)
    found = check_overlap(TriangleTree.of(body.corners_mm), body, drawn_sink(sink))
    assert found.level == ("stop" if shared_mm3 > 0 else "ok")


def test_surfaces_that_cross_share_volume() -> None:
    body = drawn_part(box((0, 0, 20), (20, 20, 30)))
    crossing = replace(drawn_sink(box((0, 0, 0), (20, 20, 25))), min_clearance_mm=0.0)
    assert check_overlap(TriangleTree.of(body.corners_mm), body, crossing).level == "stop"
