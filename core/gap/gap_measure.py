"""The gap as it is: exact least distance, and how evenly the sink follows the patch."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from core.part.part import Part
from core.part.tree_search import halved
from core.part.triangle_tree import TriangleTree
from core.progress import GoesOn, in_bites, never_stop
from core.units import BoolArray, FloatArray, IntArray

if TYPE_CHECKING:
    import shapely
    from shapely.geometry.base import BaseGeometry

SAMPLES = 20_000
RIM_GAPS = 1.5
"""The rim of a patch is what lies within this many gaps of the sink's outline."""

AT_ONCE = 2_000
"""Points made at a time: shapely keeps the interpreter to itself while it makes them, and the window would wait."""


@dataclass(frozen=True, kw_only=True, eq=False)
class GapMap:
    """Distance to the sink at places on the patch.

    points_mm: (n, 3); distance_mm: (n,); interior: (n,) farther than 1.5 gaps from the rims
    of sink and patch in plan;
    covered: (n,) no farther from the sink than 1.5 gaps. Each point stands for the same share of the area.
    """

    points_mm: FloatArray
    distance_mm: FloatArray
    interior: BoolArray
    covered: BoolArray


def sample_faces(part: Part, faces: IntArray, n: int = SAMPLES) -> FloatArray:
    """(n, 3) points spread evenly by area over faces: systematic along the summed area, R2 sequence inside."""
    area = np.cumsum(part.areas_mm2[faces])
    pick = np.searchsorted(area, (np.arange(n) + 0.5) / n * area[-1])
    k = np.arange(1, n + 1)[:, None] * np.array([0.7548776662466927, 0.5698402909980532]) % 1.0
    fold = k.sum(axis=1) > 1
    k[fold] = 1 - k[fold]
    a, b, c = np.moveaxis(part.corners_mm[faces[np.minimum(pick, len(faces) - 1)]], 1, 0)
    return np.asarray(a + k[:, :1] * (b - a) + k[:, 1:] * (c - a))


def gap_map(
    part: Part,
    faces: IntArray,
    sink_corners_mm: FloatArray,
    outline: "shapely.Polygon",
    patch_outline: "BaseGeometry",
    gap_mm: float,
    lean: FloatArray,
) -> GapMap:
    """Distances from places on the faces to a sink (m, 3, 3) with an outline on the plate, under a patch with another.

    lean: (2,) sideways move of the sink's columns per mm of height; zero for upright ones.
    """
    points = sample_faces(part, faces)
    distance, _, _ = TriangleTree.of(sink_corners_mm).nearest(points)
    plan = points[:, :2] - points[:, 2:] * lean
    rims = (outline.boundary, patch_outline.boundary)
    bites = (plan[start : start + AT_ONCE] for start in range(0, len(plan), AT_ONCE))
    interior = np.concatenate([_interior(outline, rims, bite, RIM_GAPS * gap_mm) for bite in bites])
    return GapMap(points_mm=points, distance_mm=distance, interior=interior, covered=distance <= 1.5 * gap_mm)


def _interior(
    outline: "shapely.Polygon", rims: "tuple[BaseGeometry, ...]", plan_mm: FloatArray, rim_mm: float
) -> BoolArray:
    """Which places (n, 2) lie inside the outline and farther than rim_mm from every rim."""
    import shapely  # for which the first picture does not wait

    places = shapely.points(plan_mm)
    shapely.prepare(outline)
    interior: BoolArray = shapely.contains(outline, places)
    for rim in rims:
        shapely.prepare(rim)
        interior[interior] = ~shapely.dwithin(rim, places[interior], rim_mm)
    return interior


def gap_per_face_mm(
    part: Part, faces: IntArray, sinks_mm: FloatArray, most_mm: float = np.inf, goes_on: GoesOn = never_stop
) -> FloatArray:
    """(n,) exact least distance from each face to the nearest of the sinks' triangles (m, 3, 3), at least one.

    faces: (n,) triangle numbers of a patch. Triangle against triangle in double precision, 0 where they cross;
    most_mm where nothing is nearer, which makes it quicker for faces without a sink. Raises Stopped.
    """
    corners = part.corners_mm[faces]
    order = np.arange(len(faces))
    halved(np.ascontiguousarray(corners.mean(axis=1)), order)  # what is nearest to a face is near to the next one too
    tree = TriangleTree.of(sinks_mm)
    found = np.empty(len(faces))
    for bite in in_bites(len(faces), goes_on, 50_000):
        found[order[bite]] = tree.distances_to(corners[order[bite]], most_mm)
    return found
