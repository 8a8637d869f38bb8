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


PINCH_MM = 0.01
"""A pinched outline is drawn in by this much, which parts it."""
SAME_MM = 1e-4
"""Corners nearer than this may fall together as float32."""
SPECK_SHARE = 0.005
"""Polygons below this share of the whole are left out."""


def plan_outline(part: Part, faces: IntArray) -> BaseGeometry:
    """Union of the faces projected on the plate, as a valid shapely (multi-)polygon in mm.

    Faces: downskin triangle numbers. Boundary loops serve when the projection doesn't fold over itself;
    otherwise the triangles are joined one by one.
    """
    triangles = part.triangles[faces]
    plan = part.vertices_mm[:, :2]
    loops = boundary_loops(triangles)
    area = plan_area_mm2(part, faces)
    # faces that look down run clockwise seen from above
    outline = region_of_rings([plan[loop][::-1] for loop in loops])
    if outline is not None and abs(outline.area - area) <= 1e-5 * area + 1e-9:
        return outline
    pieces = shapely.polygons(plan[triangles])
    return shapely.union_all(pieces[shapely.area(pieces) > 1e-12], grid_size=1e-7)


def plan_area_mm2(part: Part, faces: IntArray) -> float:
    """Sum of the faces' areas in plan; more than their outline's where they lie over each other."""
    a, b, c = (part.vertices_mm[part.triangles[faces, i], :2] for i in range(3))
    return float(np.abs(_cross(b - a, c - a)).sum() / 2)


def region_of_rings(rings: list[FloatArray]) -> BaseGeometry | None:
    """Inside of counter-clockwise rings (n, 2) less that of clockwise ones; None without rings.

    A ring that crosses itself counts as the areas it encloses; one of fewer than three places encloses none.
    """
    rings = [ring for ring in rings if len(ring) > 2]
    if not rings:
        return None
    shapes = [shapely.make_valid(shapely.Polygon(ring)) for ring in rings]
    outward = [_signed_area(ring) > 0 for ring in rings]
    filled = shapely.union_all([shape for shape, out in zip(shapes, outward, strict=True) if out])
    holes = shapely.union_all([shape for shape, out in zip(shapes, outward, strict=True) if not out])
    return shapely.union_all(_polygons(shapely.difference(filled, holes)))


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
    """Polygons of a region that are nowhere thinner than a width, touched up, without specks and pinches.

    Narrow spots are opened (shrunk and grown again with mitred corners), so every polygon can be built.
    """
    r = least_width_mm / 2
    opened = region.buffer(-r, join_style="mitre").buffer(r * (1 - 1e-6), join_style="mitre", mitre_limit=2)
    inside = shapely.intersection(opened, region).simplify(TOUCH_UP_MM)
    polygons = [_without_specks(p, r) for p in _polygons(shapely.make_valid(inside))]
    polygons = [part for p in polygons for part in (_polygons(p.buffer(-PINCH_MM)) if _is_pinched(p) else [p])]
    least = max(4 * least_width_mm**2, SPECK_SHARE * region.area)
    return [p for p in polygons if p.area >= least]


def _polygons(region: BaseGeometry) -> list[shapely.Polygon]:
    return [p for p in shapely.get_parts(region) if p.geom_type == "Polygon" and not p.is_empty]


def _without_specks(polygon: shapely.Polygon, r: float) -> shapely.Polygon:
    return shapely.Polygon(polygon.exterior, [h for h in polygon.interiors if shapely.Polygon(h).area > r * r])


def _is_pinched(polygon: shapely.Polygon) -> bool:
    """True when two places of the outline come together in a point, which no 2-manifold wall can follow."""
    corners = np.concatenate([np.asarray(ring.coords)[:-1] for ring in (polygon.exterior, *polygon.interiors)])
    return len(np.unique(np.round(corners / SAME_MM), axis=0)) < len(corners)


def _cross(a: FloatArray, b: FloatArray) -> FloatArray:
    return a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]


def _signed_area(ring: FloatArray) -> float:
    return float(_cross(ring, np.roll(ring, -1, axis=0)).sum() / 2)
