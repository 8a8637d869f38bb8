"""Tell whether the lowest place of a patch starts in mid-air, joined to nothing printed before."""

import numpy as np

from core.compiled import kernel
from core.units import BoolArray, FloatArray, IntArray

LEVEL_MM = 1e-4
"""Corners less than this apart in height are at one level; finer than any layer, coarser than float32 noise."""


@kernel
def _root(parent: IntArray, v: int) -> int:
    while parent[v] != v:
        parent[v] = parent[parent[v]]
        v = parent[v]
    return v


@kernel
def _level_groups(z: FloatArray, triangles: IntArray, near: BoolArray, level: float) -> tuple[IntArray, BoolArray]:
    """Join corners marked near that an edge links at one level; say which of the groups has a lower neighbour."""
    parent = np.arange(len(z)).astype(np.int32)
    lower = np.zeros(len(z), np.bool_)
    for f in range(len(triangles)):
        for i in range(3):
            a, b = triangles[f, i], triangles[f, (i + 1) % 3]
            if not (near[a] or near[b]):
                continue
            rise = z[b] - z[a]
            if rise > level:
                lower[b] = True
            elif rise < -level:
                lower[a] = True
            else:
                ra, rb = _root(parent, a), _root(parent, b)
                if ra != rb:
                    parent[max(ra, rb)] = min(ra, rb)
    for v in range(len(z)):
        if lower[v]:
            lower[_root(parent, v)] = True
    for v in range(len(z)):
        parent[v] = _root(parent, v)
        lower[v] = lower[parent[v]]
    return parent, lower


def lowest_points_in_mid_air(
    points: FloatArray, triangles: IntArray, faces: IntArray, patch: IntArray, z_min: FloatArray, plate_mm: float
) -> BoolArray:
    """(n_patches,) True where a patch's lowest corners, and all at their level linked to them, have none below.

    faces: (m,) face numbers, patch: (m,) the patch each is in, z_min: (n_patches,) mm. A patch that starts on
    the plate (below plate_mm) is never an island.
    """
    z = np.ascontiguousarray(points[:, 2])
    corners = triangles[faces]
    lowest = z[corners] <= z_min[patch][:, None] + LEVEL_MM
    near = np.zeros(len(z), dtype=bool)
    # corners at the level of some patch's lowest corner: only these can belong to its foot
    levels = np.unique(z_min)
    at = np.searchsorted(levels, z)
    for side in (np.clip(at, 0, len(levels) - 1), np.clip(at - 1, 0, len(levels) - 1)):
        near |= np.abs(z - levels[side]) <= 2 * LEVEL_MM
    _, lower = _level_groups(z, triangles, near, LEVEL_MM)
    rows, columns = np.nonzero(lowest)
    free = ~lower[corners[rows, columns]]
    island = np.zeros(len(z_min), dtype=bool)
    island[patch[rows[free]]] = True
    return island & (z_min > plate_mm)
