"""The slim strip in plan under the edge where a patch starts in mid-air: there the first track is laid on powder."""

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from core.part.face_neighbours import face_neighbours
from core.part.part import Part
from core.refusal import Refusal
from core.sink.footprint import plan_outline
from core.units import BoolArray, FloatArray, IntArray

LEVEL = 0.01
"""Faces with a slope (as sine) below this count as level and start along their whole outline."""
LOW_SHARE = 0.17
"""An edge is low when its face rises from it at this share of the face's slope or more (within 80° of uphill)."""
DOWN = -1e-3
"""A neighbouring face that falls from the edge by more than this per mm holds the edge from below."""
SAME_MM = 1e-3
PLATE_MM = 0.02


def edge_strip(part: Part, faces: IntArray, width_mm: float) -> BaseGeometry:
    """Plan region within a width of the edges from which the faces start on powder, or around such a lowest place.

    Raises Refusal, with the place, where the faces start on the part itself.
    """
    outline = plan_outline(part, faces)
    edges, held = lowest_edges(part, faces)
    if len(edges):
        strip = shapely.union_all(shapely.linestrings(edges[:, :, :2])).buffer(width_mm, cap_style="flat")
        strip = strip.union(shapely.union_all(shapely.points(edges.reshape(-1, 3)[:, :2])).buffer(0.02 * width_mm))
    else:
        corners = part.corners_mm[faces].reshape(-1, 3)
        lowest = corners[corners[:, 2] <= corners[:, 2].min() + SAME_MM]
        if len(held) and held[:, :, 2].min() <= lowest[:, 2].max() + SAME_MM:
            x, y, z = held[np.argmin(held[:, :, 2].min(axis=1))].mean(axis=0)
            on = "build plate" if z < PLATE_MM else "part itself"
            raise Refusal(
                f"This patch starts on the {on} at x {x:.1f}, y {y:.1f}, z {z:.1f} mm, so an edge sink has "
                "nothing to cool there; choose fins."
            )
        strip = shapely.MultiPoint(lowest[:, :2]).convex_hull.buffer(width_mm)
    return shapely.intersection(strip, outline)


def lowest_edges(part: Part, faces: IntArray) -> tuple[FloatArray, FloatArray]:
    """Outline edges (k, 2, 3) from which the faces rise, or all of them where they are level: in mid-air, and held.

    An edge is held when the face beyond it goes on downwards, or the edge lies on the plate: solid is right below.
    """
    chosen = np.zeros(part.n_faces, dtype=bool)
    chosen[faces] = True
    beyond = face_neighbours(part).across[faces]
    within = (beyond >= 0) & chosen[beyond]
    down = np.stack([_rise(part, beyond[:, i], part.triangles[faces], i) < DOWN for i in range(3)], axis=1)
    down &= beyond >= 0
    rise = np.stack([_rise(part, faces, part.triangles[faces], i) for i in range(3)], axis=1)
    slope = np.hypot(part.normals[faces, 0], part.normals[faces, 1])
    # a level face that chosen ones lead up to, as the crown of a bore, starts nowhere of its own
    level = (slope < LEVEL) & ~(within & down).any(axis=1)
    low = (level[:, None] | ((slope >= LEVEL)[:, None] & (rise >= LOW_SHARE * slope[:, None]))) & ~within
    face, side = np.nonzero(low)
    ends = np.stack([part.triangles[faces[face], side], part.triangles[faces[face], (side + 1) % 3]], axis=1)
    edges = part.vertices_mm[ends]
    held: BoolArray = down[face, side] | (edges[:, :, 2].max(axis=1) < PLATE_MM)
    return np.asarray(edges[~held]), np.asarray(edges[held])


def _rise(part: Part, over: IntArray, beside: IntArray, side: int) -> FloatArray:
    """(n,) rise per mm of faces `over` (n,), square from edge number `side` of triangles `beside` (n, 3) they share."""
    a, b = beside[:, side], beside[:, (side + 1) % 3]
    # the corner that isn't on the edge; sums stay exact in 64 bit
    c = part.triangles[over].astype(np.int64).sum(axis=1) - a - b
    start, third = part.vertices_mm[a], part.vertices_mm[np.clip(c, 0, len(part.vertices_mm) - 1)]
    along = part.vertices_mm[b] - start
    along /= np.maximum(np.linalg.norm(along, axis=1, keepdims=True), 1e-12)
    inward = third - start
    inward -= (inward * along).sum(axis=1, keepdims=True) * along
    return np.asarray(inward[:, 2] / np.maximum(np.linalg.norm(inward, axis=1), 1e-12))
