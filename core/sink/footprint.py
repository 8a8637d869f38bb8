"""The plan outline of chosen faces: projected boundary loops, checked against the projected area."""

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from core.part.part import Part
from core.units import FloatArray, IntArray

LEAST_WIDTH_MM = 0.6
"""Nothing of a sink is thinner in plan (wall 0.4 mm is the usual printable least; common practice, no source)."""
TOUCH_UP_MM = 0.002
"""Outline details below this are smoothed away; the sink's rim may lie off the patch's by as much."""


def plan_outline(part: Part, faces: IntArray) -> BaseGeometry:
    """Union of the faces projected on the plate, as a valid shapely (multi-)polygon in mm.

    Faces: downskin triangle numbers. Boundary loops serve when the projection doesn't fold over itself;
    otherwise the triangles are joined one by one.
    """
    triangles = part.triangles[faces]
    plan = part.vertices_mm[:, :2]
    loops = boundary_loops(triangles)
    a, b, c = (plan[triangles[:, i]] for i in range(3))
    area = float(np.abs(_cross(b - a, c - a)).sum() / 2)
    rings = [shapely.Polygon(plan[loop]) for loop in loops if len(loop) > 2]
    if rings:
        signed = np.array([_signed_area(plan[loop]) for loop in loops if len(loop) > 2])
        if all(ring.is_valid for ring in rings):
            # faces that look down run clockwise seen from above, so outer loops are clockwise
            outline = shapely.union_all([r for r, s in zip(rings, signed, strict=True) if s < 0])
            holes = [r for r, s in zip(rings, signed, strict=True) if s > 0]
            if holes:
                outline = shapely.difference(outline, shapely.union_all(holes))
            if abs(outline.area - area) <= 1e-5 * area + 1e-9:
                return outline
    pieces = shapely.polygons(np.stack([a, b, c], axis=1))
    return shapely.union_all(pieces[shapely.area(pieces) > 1e-12], grid_size=1e-7)


def boundary_loops(triangles: IntArray) -> list[IntArray]:
    """Closed chains of vertex numbers along the edges that only one of the triangles (n, 3) has."""
    rim = rim_edges(triangles)
    follows: dict[int, list[int]] = {}
    for start, end in rim.tolist():
        follows.setdefault(start, []).append(end)
    loops = []
    while follows:
        start = next(iter(follows))
        chain, here = [], start
        while here in follows:
            chain.append(here)
            ends = follows[here]
            following = ends.pop()
            if not ends:
                del follows[here]
            here = following
        loops.append(np.array(chain))
    return loops


def rim_edges(triangles: IntArray) -> IntArray:
    """Directed edges (k, 2) that only one of the triangles (n, 3) has."""
    edges = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]]).astype(np.int64)
    code = edges.min(axis=1) * (int(triangles.max()) + 1) + edges.max(axis=1)
    order = np.argsort(code, kind="stable")
    differs = np.concatenate([[True], np.diff(code[order]) != 0, [True]])
    return np.asarray(edges[np.sort(order[differs[:-1] & differs[1:]])])


def tidy(region: BaseGeometry, least_width_mm: float) -> list[shapely.Polygon]:
    """Polygons of a region that are nowhere thinner than a width, touched up and without specks.

    Narrow spots are opened (shrunk and grown again with mitred corners), so every polygon can be built.
    """
    r = least_width_mm / 2
    opened = region.buffer(-r, join_style="mitre").buffer(r * (1 - 1e-6), join_style="mitre", mitre_limit=2)
    inside = shapely.intersection(opened, region).simplify(TOUCH_UP_MM)
    parts = shapely.get_parts(shapely.make_valid(inside))
    solid = [p for p in parts if p.geom_type == "Polygon" and p.area >= 4 * least_width_mm**2]
    return [shapely.Polygon(p.exterior, [h for h in p.interiors if shapely.Polygon(h).area > r * r]) for p in solid]


def _cross(a: FloatArray, b: FloatArray) -> FloatArray:
    return a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]


def _signed_area(ring: FloatArray) -> float:
    return float(_cross(ring, np.roll(ring, -1, axis=0)).sum() / 2)
