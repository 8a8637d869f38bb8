"""Inner loops of slicing: where triangles cross the planes of the layers, and how the pieces join to loops.

A corner exactly on a plane counts as above it, so that every plane sees each edge either crossed or not and the
pieces of a closed body always join to closed loops. Every crossing is worked out from the lower end of its edge to
the upper one, so that two triangles that share an edge get the same point to the last bit.
"""

import numpy as np

from core.compiled import kernel
from core.units import FloatArray, IntArray

BAND = 4
"""Layers that share one list of triangles: long triangles are listed once for all of them."""


@kernel
def plane_height(z0: float, layer: float, i: int) -> float:
    """Height of the middle of layer i."""
    return z0 + (i + 0.5) * layer


@kernel
def crossed_layers(low: float, high: float, z0: float, layer: float, count: int) -> tuple[int, int]:
    """First and one past the last of count layers whose planes lie above low and not above high."""
    first = max(int(np.floor((low - z0) / layer - 0.5)), 0)
    while first < count and plane_height(z0, layer, first) <= low:
        first += 1
    last = min(max(int(np.floor((high - z0) / layer - 0.5)) + 2, first), count)
    while last > first and plane_height(z0, layer, last - 1) > high:
        last -= 1
    return first, last


@kernel
def _by_height(z: FloatArray) -> tuple[int, int, int, bool]:
    """Corners of a triangle from low to high, and whether that order runs the way the triangle does."""
    a, b, c = 0, 1, 2
    if z[a] > z[b]:
        a, b = b, a
    if z[b] > z[c]:
        b, c = c, b
    if z[a] > z[b]:
        a, b = b, a
    return a, b, c, (b - a) % 3 == 1


@kernel
def _at(points: FloatArray, low: int, high: int, z: float) -> tuple[float, float]:
    """Where the edge from low to high crosses z."""
    share = (z - points[low, 2]) / (points[high, 2] - points[low, 2])
    x = points[low, 0] + share * (points[high, 0] - points[low, 0])
    y = points[low, 1] + share * (points[high, 1] - points[low, 1])
    return x, y


@kernel
def layer_sums(
    points: FloatArray, triangles: IntArray, z0: float, layer: float, count: int, x0: float, y0: float
) -> tuple[FloatArray, FloatArray, FloatArray, IntArray]:
    """Per layer: area (mm²) about (x0, y0), perimeter (mm), box (low x, low y, high x, high y), number of pieces."""
    area, perimeter = np.zeros(count), np.zeros(count)
    box = np.empty((count, 4))
    box[:, :2], box[:, 2:] = np.inf, -np.inf
    pieces = np.zeros(count, np.int64)
    z = np.empty(3)
    for f in range(len(triangles)):
        for k in range(3):
            z[k] = points[triangles[f, k], 2]
        first, last = crossed_layers(min(z[0], z[1], z[2]), max(z[0], z[1], z[2]), z0, layer, count)
        if first >= last:
            continue
        i, j, k, forward = _by_height(z)
        a, b, c = triangles[f, i], triangles[f, j], triangles[f, k]
        turn = 0.5 if forward else -0.5
        for n in range(first, last):
            plane = plane_height(z0, layer, n)
            px, py = _at(points, a, c, plane)
            if plane <= points[b, 2]:
                qx, qy = _at(points, a, b, plane)
            else:
                qx, qy = _at(points, b, c, plane)
            area[n] += turn * ((px - x0) * (qy - y0) - (qx - x0) * (py - y0))
            perimeter[n] += np.sqrt((qx - px) ** 2 + (qy - py) ** 2)
            box[n, 0], box[n, 1] = min(box[n, 0], px, qx), min(box[n, 1], py, qy)
            box[n, 2], box[n, 3] = max(box[n, 2], px, qx), max(box[n, 3], py, qy)
            pieces[n] += 1
    return area, perimeter, box, pieces


@kernel
def band_lists(
    points: FloatArray, triangles: IntArray, z0: float, layer: float, count: int
) -> tuple[IntArray, IntArray]:
    """Triangles that cross each band of layers: where each band's run starts (n_bands + 1,) and the runs."""
    bands = (count + BAND - 1) // BAND
    start = np.zeros(bands + 1, np.int64)
    which = np.empty(0, np.int32)
    for again in range(2):
        if again:
            for k in range(bands):
                start[k + 1] += start[k]
            which = np.empty(start[bands], np.int32)
            fill = start[:-1].copy()
        for f in range(len(triangles)):
            za, zb, zc = points[triangles[f, 0], 2], points[triangles[f, 1], 2], points[triangles[f, 2], 2]
            first, last = crossed_layers(min(za, zb, zc), max(za, zb, zc), z0, layer, count)
            if first >= last:
                continue
            for k in range(first // BAND, (last - 1) // BAND + 1):
                if again:
                    which[fill[k]] = f
                    fill[k] += 1
                else:
                    start[k + 1] += 1
    return start, which


@kernel
def plane_pieces(points: FloatArray, triangles: IntArray, which: IntArray, plane: float) -> tuple[FloatArray, IntArray]:
    """The crossings of some triangles with a plane, the solid on their left.

    Returns ends (k, 4) as x, y of the start and of the end, and (k, 2) the edges they lie on, numbered so that two
    triangles that share an edge give it the same number.
    """
    ends = np.empty((len(which), 4))
    edge = np.empty((len(which), 2), np.int64)
    n, many = 0, np.int64(len(points))
    z = np.empty(3)
    for f in which:
        z[0], z[1], z[2] = points[triangles[f, 0], 2], points[triangles[f, 1], 2], points[triangles[f, 2], 2]
        if (z[0] < plane) == (z[1] < plane) == (z[2] < plane):
            continue
        i, j, k, forward = _by_height(z)
        a, b, c = triangles[f, i], triangles[f, j], triangles[f, k]
        low, high = (a, b) if plane <= z[j] else (b, c)
        s, e = (0, 1) if forward else (1, 0)
        ends[n, 2 * s], ends[n, 2 * s + 1] = _at(points, a, c, plane)
        ends[n, 2 * e], ends[n, 2 * e + 1] = _at(points, low, high, plane)
        edge[n, s] = min(a, c) * many + max(a, c)
        edge[n, e] = min(low, high) * many + max(low, high)
        n += 1
    return ends[:n], edge[:n]


@kernel
def walk_loops(following: IntArray) -> tuple[IntArray, IntArray]:
    """Pieces in the order in which they follow each other, and where each loop starts (n_loops + 1,)."""
    n = len(following)
    order, start = np.empty(n, np.int64), np.empty(n + 1, np.int64)
    seen = np.zeros(n, np.bool_)
    filled, loops = 0, 0
    for first in range(n):
        if seen[first]:
            continue
        start[loops] = filled
        loops += 1
        at = first
        while not seen[at]:
            seen[at] = True
            order[filled] = at
            filled += 1
            at = following[at]
    start[loops] = filled
    return order, start[: loops + 1]
