"""Lines in plan along which a sink's top has a kink: under the folds of a patch, and where the patch ends."""

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from core.part.part import Part
from core.units import FloatArray, IntArray

LEAST_BEND_SHARE = 0.04
"""Folds over which the patch bends by less than this share of the gap are followed by the net without being told."""
MOST_FOLDS = 20_000
"""A patch of more folds is rough all over; then none of them is singled out."""


def fold_lines_mm(part: Part, faces: IntArray, gap_mm: float) -> FloatArray:
    """(k, 2, 3) lines one gap below those folds of the patch that are seen in its gap.

    There two planes one gap off the faces meet: at the fold moved by gap (n1 + n2) / (1 + n1 n2). Below a fold at
    which the faces lean away from each other the top is rounded around that line. A fold by an angle, between two
    triangles that reach h1 and h2 from it, bends the patch by angle h1 h2 / (h1 + h2).
    """
    triangles = part.triangles[faces]
    sides = np.stack([triangles, np.roll(triangles, -1, axis=1)], axis=2).reshape(-1, 2).astype(np.int64)
    code = (sides.min(axis=1) << 32) | sides.max(axis=1)
    order = np.argsort(code, kind="stable")
    twice = np.flatnonzero(code[order][1:] == code[order][:-1])
    first, second = order[twice], order[twice + 1]
    one, two = part.normals[faces[first // 3]], part.normals[faces[second // 3]]
    cosine = (one * two).sum(axis=1)
    a, b = (part.vertices_mm[sides[first, i]] for i in range(2))
    double = 2 * part.areas_mm2[faces]
    reach = 1 / (1 / double[first // 3] + 1 / double[second // 3]) / np.linalg.norm(b - a, axis=1)
    bend = reach * np.arccos(np.clip(cosine, -1, 1))
    fold = np.flatnonzero((bend > LEAST_BEND_SHARE * gap_mm) & (cosine > -0.9))
    if len(fold) > MOST_FOLDS:
        return np.zeros((0, 2, 3))
    moved = gap_mm * (one + two)[fold] / (1 + cosine[fold, None])
    return np.stack([a[fold] + moved, b[fold] + moved], axis=1)


def outline_lines_mm(outline: BaseGeometry) -> FloatArray:
    """(k, 2, 2) the pieces of an outline's rings."""
    pieces = [np.zeros((0, 2, 2))]
    for line in shapely.get_parts(outline.boundary):
        corners = shapely.get_coordinates(line)
        pieces.append(np.stack([corners[:-1], corners[1:]], axis=1))
    return np.concatenate(pieces)


def crossings(ends_mm: FloatArray, creases_mm: FloatArray) -> FloatArray:
    """(n,) share of each edge (n, 2, 2) at which it crosses a crease (k, 2, 2), nearest its middle; else 0.5."""
    share = np.full(len(ends_mm), 0.5)
    if not len(creases_mm) or not len(ends_mm):
        return share
    tree = shapely.STRtree(shapely.linestrings(creases_mm))
    edge, crease = tree.query(shapely.linestrings(ends_mm), predicate="intersects")
    along = ends_mm[edge, 1] - ends_mm[edge, 0]
    fold = creases_mm[crease, 1] - creases_mm[crease, 0]
    away = creases_mm[crease, 0] - ends_mm[edge, 0]
    turn = along[:, 0] * fold[:, 1] - along[:, 1] * fold[:, 0]
    good = np.abs(turn) > 1e-12
    edge, at = edge[good], ((away[:, 0] * fold[:, 1] - away[:, 1] * fold[:, 0])[good] / turn[good])
    order = np.argsort(-np.abs(at - 0.5), kind="stable")  # the nearest to the middle is written last
    share[edge[order]] = at[order]
    return share
