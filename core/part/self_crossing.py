"""Find triangles of one mesh that cut through each other; touching and sharing corners is no crossing."""

import os
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from core.compiled import kernel
from core.part.bodies import number_shells
from core.part.face_neighbours import edge_mates
from core.part.triangles_cross import cross_each_other
from core.units import FloatArray, IntArray

MOST_CHECKED = 2_000_000
"""Meshes with more triangles are not searched while loading."""
RELATIVE_TOLERANCE = 1e-6
"""Cuts shallower or shorter than this share of the farthest coordinate are rounding: 0.1 µm at 100 mm."""
LEAF = 4
"""Triangles in a leaf of the search tree."""
_SHARES = 32
_KEPT = 64
_MOST_STEPS = 15_000_000
_EXACT_STEPS = 10
_MOST_FOUND = 100_000
"""Of one share: a search that takes more steps, or finds more, stops; some seconds in all for a hopeless tangle."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Crossings:
    """count: pairs of triangles that cross. pairs: (n, 2) int32 some of them, lower number first, sorted.

    complete: False when the search was given up because too many triangles lie over each other.
    """

    count: int
    pairs: IntArray
    complete: bool = True


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
def _triangle_boxes(points: FloatArray, corners: IntArray) -> FloatArray:
    """(n, 6) low and high corners of the box of each triangle."""
    box = np.empty((len(corners), 6))
    for f in range(len(corners)):
        a, b, c = corners[f]
        for axis in range(3):
            x, y, z = points[a, axis], points[b, axis], points[c, axis]
            box[f, axis] = min(x, y, z)
            box[f, 3 + axis] = max(x, y, z)
    return box


@kernel
def _node_boxes(triangle_box: FloatArray, n_leaves: int) -> FloatArray:
    """(2 n_leaves, 6) the same for a complete binary tree over triangles sorted along the curve; node 1 is the root."""
    box = np.empty((2 * n_leaves, 6))
    for k in range(n_leaves):
        row = box[n_leaves + k]
        for axis in range(3):
            row[axis] = np.inf
            row[3 + axis] = -np.inf
        for f in range(k * LEAF, min((k + 1) * LEAF, len(triangle_box))):
            for axis in range(3):
                row[axis] = min(row[axis], triangle_box[f, axis])
                row[3 + axis] = max(row[3 + axis], triangle_box[f, 3 + axis])
    for k in range(n_leaves - 1, 0, -1):
        for axis in range(3):
            box[k, axis] = min(box[2 * k, axis], box[2 * k + 1, axis])
            box[k, 3 + axis] = max(box[2 * k, 3 + axis], box[2 * k + 1, 3 + axis])
    return box


@kernel
def _share_a_corner(corners: IntArray, f: int, g: int) -> bool:
    for i in range(3):
        for j in range(3):
            if corners[f, i] == corners[g, j]:
                return True
    return False


@kernel
def _apart(a: FloatArray, i: int, b: FloatArray, j: int) -> bool:
    """True when boxes a[i] and b[j] don't meet."""
    return bool(
        a[i, 0] > b[j, 3]
        or a[i, 3] < b[j, 0]
        or a[i, 1] > b[j, 4]
        or a[i, 4] < b[j, 1]
        or a[i, 2] > b[j, 5]
        or a[i, 5] < b[j, 2]
    )


@kernel
def _search_share(
    points: FloatArray, corners: IntArray, box: FloatArray, triangle_box: FloatArray, root: int, tolerance: float,
    pairs: IntArray,
) -> tuple[int, bool]:  # fmt: skip
    """Search the triangles below one node against each other and all later ones: the count, and whether all were seen.

    Goes down the tree in pairs of nodes of one level whose boxes meet. Needs no interpreter lock, so several shares
    run at once.
    """
    n_leaves = len(box) // 2
    last = 1
    while last <= root:
        last *= 2
    stack = np.empty((last - root + 256, 2), np.int64)
    top = 0
    for node in range(root, last):
        stack[top] = root, node
        top += 1
    p, q, scratch = np.empty((3, 3)), np.empty((3, 3)), np.empty((6, 3))
    count, steps = 0, 0
    while top > 0 and steps < _MOST_STEPS and count < _MOST_FOUND:
        top -= 1
        steps += 1
        a, b = stack[top]
        if a != b and _apart(box, a, box, b):
            continue
        if a < n_leaves:
            for i in range(2):
                for j in range(i if a == b else 0, 2):
                    stack[top] = 2 * a + i, 2 * b + j
                    top += 1
            continue
        for f in range((a - n_leaves) * LEAF, min((a - n_leaves + 1) * LEAF, len(corners))):
            begin = f + 1 if a == b else (b - n_leaves) * LEAF
            for g in range(begin, min((b - n_leaves + 1) * LEAF, len(corners))):
                steps += 1
                if _apart(triangle_box, f, triangle_box, g) or _share_a_corner(corners, f, g):
                    continue
                steps += _EXACT_STEPS
                for i in range(3):
                    for axis in range(3):
                        p[i, axis] = points[corners[f, i], axis]
                        q[i, axis] = points[corners[g, i], axis]
                if cross_each_other(p, q, tolerance, scratch):
                    if count < len(pairs):
                        pairs[count, 0] = f
                        pairs[count, 1] = g
                    count += 1
    return count, top == 0


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
    triangle_box = _triangle_boxes(points, corners)
    box = _node_boxes(triangle_box, n_leaves)
    roots = range(min(_SHARES, n_leaves), 2 * min(_SHARES, n_leaves))
    rows = np.full((len(roots), _KEPT, 2), -1, dtype=np.int32)
    with ThreadPoolExecutor(max_workers=min(_SHARES, os.cpu_count() or 1)) as pool:
        shares = [
            pool.submit(_search_share, points, corners, box, triangle_box, root, tolerance, row)
            for root, row in zip(roots, rows, strict=True)
        ]
        results = [share.result() for share in shares]
    found = rows.reshape(-1, 2)
    pairs = np.sort(order[found[found[:, 0] >= 0]].astype(np.int32), axis=1)
    return Crossings(
        count=sum(int(count) for count, _ in results),
        pairs=pairs[np.lexsort((pairs[:, 1], pairs[:, 0]))],
        complete=all(whole for _, whole in results),
    )


def count_self_crossings(vertices: FloatArray, triangles: IntArray) -> int:
    """Number of pairs of triangles that cut through each other; see find_crossings."""
    return find_crossings(vertices, triangles).count


def crossings_in_words(found: Crossings, vertices: FloatArray, triangles: IntArray) -> str:
    """One problem sentence: whether bodies cross each other or the surface itself, and where."""
    x, y, z = (float(v) + 0.0 for v in vertices[triangles[found.pairs[0, 0]]].mean(axis=0))
    where = f"near ({x:.3g}, {y:.3g}, {z:.3g}) mm"
    count = f"{found.count:,}" if found.complete else f"over {found.count:,}"
    shell = number_shells(triangles, edge_mates(triangles, len(vertices))[0])
    sides = shell[found.pairs]
    between = sides[sides[:, 0] != sides[:, 1]]
    if len(between):
        bodies = len(np.unique(between))
        return (
            f"{bodies} bodies cross each other, {count} pairs of triangles, {where}. "
            "Unite them in the CAD program; until then no sink can be built on the part."
        )
    return (
        f"The surface crosses itself at {count} pairs of triangles, {where}. "
        "Repair it in the CAD program; until then no sink can be built on the part."
    )
