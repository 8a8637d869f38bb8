"""Which layers can hold anything that hangs over powder by more than the self-support step, told without cutting.

Between two cuts, walk from any solid place straight down, and where the surface is met, down the steepest way on it.
If all downskin met is at the limit angle or steeper, the walk drifts less than one step. It can only fail on a
low-angle downskin face, along a low-angle edge both faces of which rise from it (a keel), or at a corner without a
lower neighbour (a tip). Layers with none of these have no new overhang and no island.
"""

import numpy as np

from core.compiled import kernel
from core.part.face_neighbours import edge_mates
from core.units import BoolArray, FloatArray, IntArray

ANGLE_SPARE_DEG = 0.01
HEIGHT_SPARE_MM = 1e-5
"""Faces this near to the limit, and cuts this near to a corner, are taken in too: float32 files are no finer."""


def layers_that_may_hang(
    points: FloatArray, triangles: IntArray, max_angle_deg: float, z0: float, layer: float, count: int
) -> BoolArray:
    """(count,) False for layers that surely rest on the layer below. points (n, 3) float64, triangles (m, 3) int32."""
    limit = min(max_angle_deg + ANGLE_SPARE_DEG, 90.0)
    mate, _, _ = edge_mates(triangles, len(points))
    cos_limit = max(float(np.cos(np.radians(limit))), 1e-9)
    starts = _marks(points, triangles, mate, cos_limit, z0, layer, count)
    return np.asarray(np.cumsum(starts)[:count] > 0)


@kernel
def _mark(starts: IntArray, low: float, high: float, z0: float, layer: float) -> None:
    """Mark the layers whose slab, from the cut below to their own, meets the heights low to high."""
    count = len(starts) - 1
    first = int(np.ceil((low - HEIGHT_SPARE_MM - z0) / layer - 0.5))
    last = int(np.ceil((high + HEIGHT_SPARE_MM - z0) / layer - 0.5))
    if first < count and last >= 0:
        starts[max(first, 0)] += 1
        starts[min(last + 1, count)] -= 1


@kernel
def _normal(points: FloatArray, triangles: IntArray, f: int) -> tuple[float, float, float]:
    """Outward normal, twice the area long."""
    a, b, c = points[triangles[f, 0]], points[triangles[f, 1]], points[triangles[f, 2]]
    ux, uy, uz = b[0] - a[0], b[1] - a[1], b[2] - a[2]
    vx, vy, vz = c[0] - a[0], c[1] - a[1], c[2] - a[2]
    return uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx


@kernel
def _marks(
    points: FloatArray, triangles: IntArray, mate: IntArray, cos_limit: float, z0: float, layer: float, count: int
) -> IntArray:
    starts = np.zeros(count + 1, np.int64)
    has_lower = np.zeros(len(points), np.bool_)
    looks_down = np.zeros(len(points), np.bool_)
    sin_limit = np.sqrt(1.0 - cos_limit * cos_limit)
    for f in range(len(triangles)):
        nx, ny, nz = _normal(points, triangles, f)
        size = np.sqrt(nx * nx + ny * ny + nz * nz)
        z = points[triangles[f, 0], 2], points[triangles[f, 1], 2], points[triangles[f, 2], 2]
        if size < 1e-12 or -nz > cos_limit * size:
            _mark(starts, min(z), max(z), z0, layer)
        for i in range(3):
            a, b = triangles[f, i], triangles[f, (i + 1) % 3]
            if nz < 0:
                looks_down[a] = True
            rise = points[b, 2] - points[a, 2]
            if rise > 0:
                has_lower[b] = True
            elif rise < 0:
                has_lower[a] = True
            other = mate[3 * f + i]
            if 0 <= other < 3 * f + i:
                continue
            ex, ey = points[b, 0] - points[a, 0], points[b, 1] - points[a, 1]
            length = np.sqrt(ex * ex + ey * ey + rise * rise)
            if abs(rise) >= sin_limit * length:
                continue
            keel = True
            if other >= 0:
                mx, my, mz = _normal(points, triangles, other // 3)
                reach = 1e-9 * length
                rises = nx * ey - ny * ex >= -reach * size
                its_rises = my * ex - mx * ey >= -reach * np.sqrt(mx * mx + my * my + mz * mz)
                keel = rises and its_rises and (nz < 0 or mz < 0)
            if keel:
                _mark(starts, min(points[a, 2], points[b, 2]), max(points[a, 2], points[b, 2]), z0, layer)
    for v in range(len(points)):
        if looks_down[v] and not has_lower[v]:
            _mark(starts, points[v, 2], points[v, 2], z0, layer)
    return starts
