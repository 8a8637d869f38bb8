"""Find triangles of one mesh that cut through each other; touching and sharing corners is no crossing."""

import os
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from core.compiled import kernel
from core.part.bodies import number_shells
from core.part.face_neighbours import edge_mates
from core.units import FloatArray, IntArray

MOST_CHECKED = 2_000_000
"""Meshes with more triangles are not searched while loading."""
RELATIVE_TOLERANCE = 1e-6
"""Cuts shallower or shorter than this share of the farthest coordinate are rounding: 0.1 µm at 100 mm."""
LEAF = 4
"""Triangles in a leaf of the search tree."""
_SHARES = 16
_KEPT = 64


@dataclass(frozen=True, kw_only=True, eq=False)
class Crossings:
    """count: pairs of triangles that cross. pairs: (n, 2) int32 some of them, lower number first, sorted."""

    count: int
    pairs: IntArray


@kernel
def _spread(x: int) -> int:
    """Put two zero bits before each of the lowest 20 bits (Morton code)."""
    x &= 0xFFFFF
    x = (x | (x << 32)) & 0x1F00000000FFFF
    x = (x | (x << 16)) & 0x1F0000FF0000FF
    x = (x | (x << 8)) & 0x100F00F00F00F00F
    x = (x | (x << 4)) & 0x10C30C30C30C30C3
    x = (x | (x << 2)) & 0x1249249249249249
    return x


@kernel
def _morton(points: FloatArray, triangles: IntArray, low: FloatArray, scale: float) -> IntArray:
    """(n,) int64 place of each triangle's centre along a Z-shaped curve through space."""
    code = np.empty(len(triangles), np.int64)
    for f in range(len(triangles)):
        key = np.int64(0)
        for axis in range(3):
            middle = 0.0
            for i in range(3):
                middle += points[triangles[f, i], axis]
            key |= np.int64(_spread(np.int64((middle / 3.0 - low[axis]) * scale))) << axis
        code[f] = key
    return code


@kernel
def _boxes(points: FloatArray, corners: IntArray, n_leaves: int) -> FloatArray:
    """(2 n_leaves, 6) low and high corners of a complete binary tree over `corners`, sorted along the curve."""
    box = np.empty((2 * n_leaves, 6))
    for k in range(n_leaves):
        row = box[n_leaves + k]
        for axis in range(3):
            row[axis] = np.inf
            row[3 + axis] = -np.inf
        for f in range(k * LEAF, min((k + 1) * LEAF, len(corners))):
            for i in range(3):
                for axis in range(3):
                    value = points[corners[f, i], axis]
                    row[axis] = min(row[axis], value)
                    row[3 + axis] = max(row[3 + axis], value)
    for k in range(n_leaves - 1, 0, -1):
        for axis in range(3):
            box[k, axis] = min(box[2 * k, axis], box[2 * k + 1, axis])
            box[k, 3 + axis] = max(box[2 * k, 3 + axis], box[2 * k + 1, 3 + axis])
    return box


@kernel
def _normal(t: FloatArray, out: FloatArray) -> tuple[float, float]:
    """Write the unit normal of triangle t (3, 3) to out (3,); returns twice its area and its longest edge."""
    ux, uy, uz = t[1, 0] - t[0, 0], t[1, 1] - t[0, 1], t[1, 2] - t[0, 2]
    vx, vy, vz = t[2, 0] - t[0, 0], t[2, 1] - t[0, 1], t[2, 2] - t[0, 2]
    wx, wy, wz = vx - ux, vy - uy, vz - uz
    x, y, z = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
    area = np.sqrt(x * x + y * y + z * z)
    longest = max(ux * ux + uy * uy + uz * uz, vx * vx + vy * vy + vz * vz, wx * wx + wy * wy + wz * wz)
    if area > 0.0:
        out[0], out[1], out[2] = x / area, y / area, z / area
    return area, np.sqrt(longest)


@kernel
def _distances(t: FloatArray, point: FloatArray, normal: FloatArray, out: FloatArray) -> tuple[float, float]:
    """Write the distances of t's corners from the plane to out (3,); returns the lowest and the highest."""
    for i in range(3):
        out[i] = normal[0] * (t[i, 0] - point[0]) + normal[1] * (t[i, 1] - point[1]) + normal[2] * (t[i, 2] - point[2])
    return min(out[0], out[1], out[2]), max(out[0], out[1], out[2])


@kernel
def _interval(p: FloatArray, d: FloatArray) -> tuple[float, float]:
    """Where a triangle cuts a plane: p (3,) places along the cutting line, d (3,) distances, on both sides."""
    if (d[0] >= 0) != (d[1] >= 0) and (d[0] >= 0) != (d[2] >= 0):
        a, b, c = 0, 1, 2
    elif (d[1] >= 0) != (d[0] >= 0) and (d[1] >= 0) != (d[2] >= 0):
        a, b, c = 1, 0, 2
    else:
        a, b, c = 2, 0, 1
    s = p[a] + (p[b] - p[a]) * d[a] / (d[a] - d[b])
    t = p[a] + (p[c] - p[a]) * d[a] / (d[a] - d[c])
    return min(s, t), max(s, t)


@kernel
def _overlap_clearly(p: FloatArray, q: FloatArray, normal: FloatArray, depth: float) -> bool:
    """True when two triangles (3, 3) of one plane overlap deeper than `depth`, by separating axes."""
    for which in range(2):
        t = p if which == 0 else q
        for i in range(3):
            j = (i + 1) % 3
            ex, ey, ez = t[j, 0] - t[i, 0], t[j, 1] - t[i, 1], t[j, 2] - t[i, 2]
            x = ey * normal[2] - ez * normal[1]
            y = ez * normal[0] - ex * normal[2]
            z = ex * normal[1] - ey * normal[0]
            length = np.sqrt(x * x + y * y + z * z)
            if length == 0.0:
                continue
            low_p, high_p, low_q, high_q = np.inf, -np.inf, np.inf, -np.inf
            for k in range(3):
                at_p = x * (p[k, 0] - t[i, 0]) + y * (p[k, 1] - t[i, 1]) + z * (p[k, 2] - t[i, 2])
                at_q = x * (q[k, 0] - t[i, 0]) + y * (q[k, 1] - t[i, 1]) + z * (q[k, 2] - t[i, 2])
                low_p, high_p = min(low_p, at_p), max(high_p, at_p)
                low_q, high_q = min(low_q, at_q), max(high_q, at_q)
            if min(high_p, high_q) - max(low_p, low_q) <= depth * length:
                return False
    return True


@kernel
def _cross_each_other(p: FloatArray, q: FloatArray, tolerance: float, scratch: FloatArray) -> bool:
    """True when triangles p and q (3, 3) cut through each other, or lie on each other facing the same way.

    They cut when each has corners clearly on both sides of the other's plane, and the pieces of the common line
    inside each overlap clearly (after Möller, A fast triangle-triangle intersection test, 1997).
    scratch: (6, 3), overwritten.
    """
    n, m, dp, dq, at_p, at_q = scratch[0], scratch[1], scratch[2], scratch[3], scratch[4], scratch[5]
    area, longest = _normal(p, n)
    if area <= tolerance * longest:
        return False
    low_q, high_q = _distances(q, p[0], n, dq)
    if low_q > tolerance or high_q < -tolerance:
        return False
    area, longest = _normal(q, m)
    if area <= tolerance * longest:
        return False
    low_p, high_p = _distances(p, q[0], m, dp)
    if low_q >= -tolerance and high_q <= tolerance and low_p >= -tolerance and high_p <= tolerance:
        same_way = n[0] * m[0] + n[1] * m[1] + n[2] * m[2] > 0.0
        return bool(same_way and _overlap_clearly(p, q, n, 10.0 * tolerance))
    if not (low_q < -tolerance and high_q > tolerance and low_p < -tolerance and high_p > tolerance):
        return False
    x, y, z = n[1] * m[2] - n[2] * m[1], n[2] * m[0] - n[0] * m[2], n[0] * m[1] - n[1] * m[0]
    length = np.sqrt(x * x + y * y + z * z)
    if length < 1e-9:
        return False
    for i in range(3):
        at_p[i] = (x * (p[i, 0] - p[0, 0]) + y * (p[i, 1] - p[0, 1]) + z * (p[i, 2] - p[0, 2])) / length
        at_q[i] = (x * (q[i, 0] - p[0, 0]) + y * (q[i, 1] - p[0, 1]) + z * (q[i, 2] - p[0, 2])) / length
    low_p, high_p = _interval(at_p, dp)
    low_q, high_q = _interval(at_q, dq)
    return bool(min(high_p, high_q) - max(low_p, low_q) > tolerance)


@kernel
def _share_a_corner(corners: IntArray, f: int, g: int) -> bool:
    for i in range(3):
        for j in range(3):
            if corners[f, i] == corners[g, j]:
                return True
    return False


@kernel
def _search_share(
    points: FloatArray, corners: IntArray, box: FloatArray, first: int, stride: int, tolerance: float, pairs: IntArray
) -> int:
    """Search every stride-th triangle against all later ones; returns the count and writes the first pairs.

    Needs no interpreter lock, so several shares run at once.
    """
    n = len(corners)
    n_leaves = len(box) // 2
    kept = len(pairs)
    count = 0
    stack = np.empty(128, np.int64)
    p = np.empty((3, 3))
    q = np.empty((3, 3))
    scratch = np.empty((6, 3))
    low = np.empty(3)
    high = np.empty(3)
    for f in range(first, n, stride):
        for axis in range(3):
            for i in range(3):
                p[i, axis] = points[corners[f, i], axis]
            low[axis] = min(p[0, axis], p[1, axis], p[2, axis])
            high[axis] = max(p[0, axis], p[1, axis], p[2, axis])
        stack[0] = 1
        top = 1
        while top > 0:
            top -= 1
            node = stack[top]
            if (
                box[node, 0] > high[0]
                or box[node, 3] < low[0]
                or box[node, 1] > high[1]
                or box[node, 4] < low[1]
                or box[node, 2] > high[2]
                or box[node, 5] < low[2]
            ):
                continue
            if node < n_leaves:
                stack[top] = 2 * node
                stack[top + 1] = 2 * node + 1
                top += 2
                continue
            start = (node - n_leaves) * LEAF
            for g in range(max(start, f + 1), min(start + LEAF, n)):
                if _share_a_corner(corners, f, g):
                    continue
                apart = False
                for axis in range(3):
                    for i in range(3):
                        q[i, axis] = points[corners[g, i], axis]
                    apart = apart or min(q[0, axis], q[1, axis], q[2, axis]) > high[axis]
                    apart = apart or max(q[0, axis], q[1, axis], q[2, axis]) < low[axis]
                if not apart and _cross_each_other(p, q, tolerance, scratch):
                    if count < kept:
                        pairs[count, 0] = f
                        pairs[count, 1] = g
                    count += 1
    return count


def find_crossings(vertices: FloatArray, triangles: IntArray) -> Crossings:
    """Count the pairs of triangles that cut through each other.

    vertices: (n, 3) mm. triangles: (m, 3) int32. Pairs that share a corner are passed over, and cuts shallower
    than RELATIVE_TOLERANCE; faces that lie on each other count only when they face the same way, as they do
    where two bodies overlap flush.
    """
    if len(triangles) < 2:
        return Crossings(count=0, pairs=np.zeros((0, 2), dtype=np.int32))
    points = np.ascontiguousarray(vertices, dtype=np.float64)
    low, high = points.min(axis=0), points.max(axis=0)
    tolerance = float(np.clip(RELATIVE_TOLERANCE * max(np.abs(low).max(), np.abs(high).max()), 1e-6, 1e-3))
    scale = (2**20 - 1) / max(float((high - low).max()), 1e-12)
    order = np.argsort(_morton(points, triangles, low, scale), kind="stable")
    corners = np.ascontiguousarray(triangles[order], dtype=np.int32)
    n_leaves = 1
    while n_leaves * LEAF < len(corners):
        n_leaves *= 2
    box = _boxes(points, corners, n_leaves)
    rows = np.full((_SHARES, _KEPT, 2), -1, dtype=np.int32)
    with ThreadPoolExecutor(max_workers=min(_SHARES, os.cpu_count() or 1)) as pool:
        shares = [
            pool.submit(_search_share, points, corners, box, k, _SHARES, tolerance, rows[k]) for k in range(_SHARES)
        ]
        count = sum(int(share.result()) for share in shares)
    found = rows.reshape(-1, 2)
    pairs = np.sort(order[found[found[:, 0] >= 0]].astype(np.int32), axis=1)
    return Crossings(count=count, pairs=pairs[np.lexsort((pairs[:, 1], pairs[:, 0]))])


def count_self_crossings(vertices: FloatArray, triangles: IntArray) -> int:
    """Number of pairs of triangles that cut through each other; see find_crossings."""
    return find_crossings(vertices, triangles).count


def crossings_in_words(found: Crossings, vertices: FloatArray, triangles: IntArray) -> str:
    """One problem sentence: whether bodies cross each other or the surface itself, and where."""
    x, y, z = (float(v) + 0.0 for v in vertices[triangles[found.pairs[0, 0]]].mean(axis=0))
    where = f"near ({x:.3g}, {y:.3g}, {z:.3g}) mm"
    shell = number_shells(triangles, edge_mates(triangles, len(vertices))[0])
    sides = shell[found.pairs]
    between = sides[sides[:, 0] != sides[:, 1]]
    if len(between):
        bodies = len(np.unique(between))
        return (
            f"{bodies} bodies cross each other, {found.count:,} pairs of triangles, {where}. "
            "Unite them in the CAD program; until then no sink can be built on the part."
        )
    return (
        f"The surface crosses itself at {found.count:,} pairs of triangles, {where}. "
        "Repair it in the CAD program; until then no sink can be built on the part."
    )
