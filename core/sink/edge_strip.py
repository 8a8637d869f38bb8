"""The slim strip in plan under the edge where a patch starts: there the first track is laid on powder."""

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from core.part.part import Part
from core.sink.footprint import plan_outline
from core.units import FloatArray, IntArray

LEVEL = 0.01
"""Faces with a slope (as sine) below this count as level and start along their whole outline."""
LOW_SHARE = 0.17
"""An edge is low when its face rises from it at this share of the face's slope or more (within 80° of uphill)."""


def edge_strip(part: Part, faces: IntArray, width_mm: float) -> BaseGeometry:
    """Plan region within a width of the lowest edges of the faces, or around their lowest place when they have none."""
    outline = plan_outline(part, faces)
    edges = lowest_edges(part, faces)
    if len(edges):
        strip = shapely.union_all(shapely.linestrings(edges[:, :, :2])).buffer(width_mm, cap_style="flat")
        strip = strip.union(shapely.union_all(shapely.points(edges.reshape(-1, 3)[:, :2])).buffer(0.02 * width_mm))
    else:
        corners = part.corners_mm[faces].reshape(-1, 3)
        lowest = corners[corners[:, 2] <= corners[:, 2].min() + 1e-3]
        strip = shapely.MultiPoint(lowest[:, :2]).convex_hull.buffer(width_mm)
    return shapely.intersection(strip, outline)


def lowest_edges(part: Part, faces: IntArray) -> FloatArray:
    """(k, 2, 3) outline edges of the faces from which the patch rises, or all of them where it is level."""
    triangles = part.triangles[faces]
    sides = np.stack([triangles, np.roll(triangles, -1, axis=1)], axis=2)
    code = np.sort(sides, axis=2) @ np.array([int(triangles.max()) + 1, 1])
    _, number, count = np.unique(code, return_inverse=True, return_counts=True)
    face, side = np.nonzero(count[number.reshape(code.shape)] == 1)
    a, b = (part.vertices_mm[sides[face, side, i]] for i in range(2))
    c = part.vertices_mm[triangles[face, (side + 2) % 3]]
    along = (b - a) / np.linalg.norm(b - a, axis=1, keepdims=True)
    inward = (c - a) - ((c - a) * along).sum(axis=1, keepdims=True) * along
    rise = inward[:, 2] / np.maximum(np.linalg.norm(inward, axis=1), 1e-12)
    slope = np.hypot(part.normals[faces[face], 0], part.normals[faces[face], 1])
    low = (slope < LEVEL) | (rise >= LOW_SHARE * slope)
    on_plate = np.maximum(a[:, 2], b[:, 2]) < 0.02
    return np.asarray(np.stack([a, b], axis=1)[low & ~on_plate])
