"""The sink's top against a part grown by a ball: manifold3d's Minkowski sum knows nothing of columns.

Growing the part by a ball whose facets touch the sphere of one gap from inside gives a body that reaches at most
one gap; with the facets outside it reaches at least one gap. A sink that follows the patch lies outside the first
body, and its top lies inside the second, a little wider one.
"""

import manifold3d as m3d
import numpy as np
import pytest
import shapely

from core.part.downskin import find_patches
from core.part.part import Part
from core.sink.build_sink import build_sink
from core.sink.sink import Sink
from core.sink.sink_choice import SinkChoice

SEGMENTS = 48
"""Facets of the ball lie within 0.3 % of its radius, 1 µm at this gap."""
GAP_MM = 0.3
ABOVE_MM = 0.010
"""How much farther than the gap the top may lie: the promise of 10 µm at 0.3 mm."""


def wedge() -> m3d.Manifold:
    profile = np.array([(0, 0), (3, 0), (3, 3), (9, 5), (9, 7), (0, 7)], dtype=float)
    return m3d.CrossSection([profile]).extrude(6.0).rotate([90.0, 0.0, 0.0])


def arch() -> m3d.Manifold:
    opening = m3d.Manifold.cylinder(20.0, 4.5, -1.0, 24, True).rotate([90.0, 7.5, 0.0])
    return m3d.Manifold.cube([12.0, 6.0, 7.0], True).translate([0, 0, 3.5]) - opening


def gable() -> m3d.Manifold:
    """An underside with a ridge that hangs down and a valley beside it."""
    profile = np.array([(0, 0), (2, 0), (2, 4), (4, 3), (6, 4.5), (8, 3), (10, 4), (10, 6), (0, 6)], dtype=float)
    return m3d.CrossSection([profile]).extrude(5.0).rotate([90.0, 0.0, 0.0])


def dome() -> m3d.Manifold:
    head = m3d.Manifold.sphere(4.0, 16).translate([0, 0, 7.0])
    return head + m3d.Manifold.cylinder(5.0, 1.0, -1.0, 12)


def shelf_by_a_wall() -> m3d.Manifold:
    return (
        m3d.Manifold.cube([8.0, 1.0, 8.0])
        + m3d.Manifold.cube([1.0, 8.0, 8.0])
        + m3d.Manifold.cube([7.0, 7.0, 1.0]).translate([0.5, 0.5, 5.0])
    )


def as_part(solid: m3d.Manifold) -> Part:
    mesh = solid.to_mesh64()
    vertices = np.asarray(mesh.vert_properties)[:, :3].copy()
    triangles = np.asarray(mesh.tri_verts).astype(np.int32)
    return Part(name="made here", file_format="stl", units="mm", vertices_mm=vertices, triangles=triangles)


def as_solid(sink: Sink) -> m3d.Manifold:
    return m3d.Manifold(m3d.Mesh64(sink.vertices_mm, sink.triangles.astype(np.uint64)))


def grown(solid: m3d.Manifold, reach_mm: float, *, outside: bool) -> m3d.Manifold:
    """The solid with a ball around each of its points; the ball's facets lie in, or outside, the true sphere.

    outside: the sphere's facets are moved out by the largest sag, measured on the ball itself.
    """
    ball = m3d.Manifold.sphere(1.0, SEGMENTS)
    mesh = ball.to_mesh64()
    corners = np.asarray(mesh.vert_properties)[:, :3][np.asarray(mesh.tri_verts).astype(np.int64)]
    cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    nearest = np.abs((corners[:, 0] * cross).sum(axis=1)) / np.linalg.norm(cross, axis=1)
    scale = reach_mm / float(nearest.min()) if outside else reach_mm
    return solid.minkowski_sum(ball.scale([scale] * 3))


SHAPES = {shape.__name__: shape for shape in (wedge, arch, gable, dome, shelf_by_a_wall)}


QUICK = ("wedge", "shelf_by_a_wall")


@pytest.mark.parametrize("kind", ["block", "fins"])
@pytest.mark.parametrize(
    "name", [name if name in QUICK else pytest.param(name, marks=pytest.mark.slow) for name in sorted(SHAPES)]
)
def test_the_sink_lies_between_the_part_grown_by_the_gap_and_by_a_little_more(name: str, kind: str) -> None:
    solid = SHAPES[name]()
    part = as_part(solid)
    within_gap = grown(solid, GAP_MM, outside=False)
    beyond_gap = grown(solid, GAP_MM + ABOVE_MM, outside=True)
    patches = [patch for patch in find_patches(part, 45.0, 0.04) if patch.area_mm2 > 5]
    assert patches
    for patch in patches:
        sinks = build_sink(part, patch.faces, SinkChoice(kind=kind), GAP_MM, name="sink", layer_mm=0.04)
        for sink in sinks:
            body = as_solid(sink)
            assert (body ^ within_gap).volume() < 1e-9 * body.volume()
            assert tops_inside(sink, beyond_gap) > 0.98


def tops_inside(sink: Sink, grown_part: m3d.Manifold) -> float:
    """Share of the top's plan area, the rim left out, over which a needle 1 µm above the top is in the grown part.

    Counted at the centres of the upward triangles cut along a grid.
    """
    corners = sink.vertices_mm[sink.triangles]
    plan = corners[:, :, :2]
    u, v = plan[:, 1] - plan[:, 0], plan[:, 2] - plan[:, 0]
    up = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0] > 1e-9
    outline = shapely.union_all(shapely.polygons(plan[up]), grid_size=1e-6)
    inner = outline.buffer(1e-5).buffer(-2 * GAP_MM)  # hairline cracks of the projection closed first
    x0, y0, x1, y1 = inner.bounds
    xs, ys = np.meshgrid(np.arange(x0, x1, 0.31), np.arange(y0, y1, 0.29))
    points = np.column_stack([xs.ravel(), ys.ravel()])
    points = points[shapely.contains_xy(inner, points[:, 0], points[:, 1])]
    inside = 0
    for x, y in points.tolist():
        top = height_at(corners[up], x, y)
        needle = m3d.Manifold.cube([2e-4, 2e-4, 2e-4], True).translate([x, y, top])
        inside += not (needle ^ grown_part).is_empty()
    return inside / len(points)


def height_at(corners: np.ndarray, x: float, y: float) -> float:
    """Highest of the triangles over a place in plan, by barycentric weights."""
    a, b, c = (corners[:, k, :2] - [x, y] for k in range(3))
    weights = np.stack([_cross(b, c), _cross(c, a), _cross(a, b)], axis=1)
    hit = (weights >= -1e-12).all(axis=1)
    total = weights[hit].sum(axis=1)
    return float(((weights[hit] * corners[hit][:, :, 2]).sum(axis=1) / total).max())


def _cross(u: np.ndarray, v: np.ndarray) -> np.ndarray:
    return u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
