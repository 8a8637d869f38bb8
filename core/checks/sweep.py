"""Does a body that is shifted along a straight line touch another on the way? Exact, triangle against triangle.

Seen along the direction of travel, two triangles can only meet where their projections overlap. The depth from one
to the other is linear over that convex overlap, so its least and greatest value stand at the overlap's corners:
corners of one triangle inside the other, and crossings of their edges. They meet during a travel T exactly when
the range from least to greatest reaches into 0 to T. Touching counts as meeting; nothing is shrunk, and rounding
is below 1e-9 mm for parts of a metre.
"""

from collections.abc import Sequence

import numpy as np

from core.compiled import kernel
from core.part.tree_search import LEAF
from core.part.triangle_tree import TriangleTree
from core.units import FloatArray

SLACK = 1e-9
"""Projected corners this far outside a triangle, as a share of its size, still count as inside."""
_STACK = 128


def first_contact(
    tree: TriangleTree, moving_mm: FloatArray, direction: FloatArray, travel_mm: float = np.inf, *, whole: bool = False
) -> tuple[float, int, int]:
    """First contact of shifted triangles (m, 3, 3) with the tree along a direction (3,), within a travel.

    Returns the way until contact in mm, the tree's triangle and the moving one; (inf, -1, -1) for none. Without
    `whole` the search ends at any contact, which is quicker. The bodies must be apart at the start; a body wholly
    inside the other is seen when it meets the surface.
    """
    d = np.asarray(direction, dtype=np.float64)
    frame = np.ascontiguousarray(_frame(d / np.linalg.norm(d)))
    moving = np.ascontiguousarray(moving_mm, dtype=np.float64)
    way, slot, which = _sweep_many(tree.corners_mm, tree.boxes, moving, frame, float(travel_mm), whole)
    return float(way), int(tree.number[slot]) if slot >= 0 else -1, int(which)


def is_clear(
    trees: Sequence[TriangleTree], moving_mm: FloatArray, direction: FloatArray, travel_mm: float = np.inf
) -> bool:
    """True when the shifted triangles meet none of the trees."""
    return all(first_contact(tree, moving_mm, direction, travel_mm)[1] < 0 for tree in trees)


def _frame(d: FloatArray) -> FloatArray:
    """(3, 3) two unit vectors across a unit direction, and the direction; exact for the axes."""
    helper = np.eye(3)[int(np.argmin(np.abs(d)))]
    across = np.cross(d, helper)
    across /= np.linalg.norm(across)
    return np.stack([across, np.cross(d, across), d])


@kernel
def _box_in_way(boxes, node, low, high, d, bound):  # type: ignore[no-untyped-def]
    """Could a triangle within low..high, shifted by 0 to bound along d, meet the box of a node?"""
    enter, leave = 0.0, bound
    for k in range(3):
        near = boxes[node, 0, k] - high[k] - 1e-9
        far = boxes[node, 1, k] - low[k] + 1e-9
        if abs(d[k]) < 1e-300:
            if near > 0.0 or far < 0.0:
                return False
            continue
        a, b = near / d[k], far / d[k]
        enter, leave = max(enter, min(a, b)), min(leave, max(a, b))
        if enter > leave:
            return False
    return True


@kernel
def _axes(other, j, d, axes, reach):  # type: ignore[no-untyped-def]
    """Axes that tell a swept triangle from boxes: across each edge as seen along d, and the triangle's normal.

    Fills axes (4, 3), turned so that the normal looks forward, and reach (4, 2) of the triangle along each.
    """
    for e in range(4):
        a, b = e % 3, (e + 1) % 3
        ux, uy, uz = (
            other[j, b, 0] - other[j, a, 0],
            other[j, b, 1] - other[j, a, 1],
            other[j, b, 2] - other[j, a, 2],
        )
        vx, vy, vz = d[0], d[1], d[2]
        if e == 3:
            vx, vy, vz = (
                other[j, 2, 0] - other[j, 0, 0],
                other[j, 2, 1] - other[j, 0, 1],
                other[j, 2, 2] - other[j, 0, 2],
            )
        x, y, z = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
        length = np.sqrt(x * x + y * y + z * z)
        if e == 3 and x * d[0] + y * d[1] + z * d[2] < 0:
            length = -length
        if length != 0.0:
            x, y, z = x / length, y / length, z / length
        axes[e, 0], axes[e, 1], axes[e, 2] = x, y, z
        low, high = np.inf, -np.inf
        for i in range(3):
            at = x * other[j, i, 0] + y * other[j, i, 1] + z * other[j, i, 2]
            low, high = min(low, at), max(high, at)
        reach[e, 0], reach[e, 1] = low - 1e-9, high + 1e-9


@kernel
def _aside(boxes, node, axes, reach):  # type: ignore[no-untyped-def]
    """True when the box of a node lies beside the swept triangle, or behind its plane."""
    for e in range(4):
        middle, half = 0.0, 0.0
        for k in range(3):
            middle += 0.5 * (boxes[node, 0, k] + boxes[node, 1, k]) * axes[e, k]
            half += 0.5 * (boxes[node, 1, k] - boxes[node, 0, k]) * abs(axes[e, k])
        if middle + half < reach[e, 0] or (e < 3 and middle - half > reach[e, 1]):
            return True
    return False


@kernel
def _corners_aside(corners, s, axes, reach):  # type: ignore[no-untyped-def]
    """The same for the triangle in a slot."""
    for e in range(4):
        low, high = np.inf, -np.inf
        for i in range(3):
            at = corners[s, i, 0] * axes[e, 0] + corners[s, i, 1] * axes[e, 1] + corners[s, i, 2] * axes[e, 2]
            low, high = min(low, at), max(high, at)
        if high < reach[e, 0] or (e < 3 and low > reach[e, 1]):
            return True
    return False


@kernel
def _pair_range(pair):  # type: ignore[no-untyped-def]
    """Least and greatest depth from triangle pair[0] to pair[1] over the overlap of their projections.

    pair: (2, 3, 3); the third coordinate is the depth. (inf, -inf) when they don't overlap.
    """
    low, high = np.inf, -np.inf
    for c in range(6):  # a corner of one inside the other
        p, q, i = c // 3, 1 - c // 3, c % 3
        x, y = pair[p, i, 0], pair[p, i, 1]
        ax, ay = pair[q, 0, 0] - x, pair[q, 0, 1] - y
        bx, by = pair[q, 1, 0] - x, pair[q, 1, 1] - y
        cx, cy = pair[q, 2, 0] - x, pair[q, 2, 1] - y
        u, v, w = bx * cy - by * cx, cx * ay - cy * ax, ax * by - ay * bx
        total = u + v + w
        if abs(total) <= 1e-12 * ((bx - ax) ** 2 + (by - ay) ** 2 + (cx - ax) ** 2 + (cy - ay) ** 2):
            continue
        u, v, w = u / total, v / total, w / total
        if u >= -SLACK and v >= -SLACK and w >= -SLACK:
            depth = u * pair[q, 0, 2] + v * pair[q, 1, 2] + w * pair[q, 2, 2] - pair[p, i, 2]
            depth = depth if p == 0 else -depth
            low, high = min(low, depth), max(high, depth)
    for c in range(9):  # an edge of one across an edge of the other
        i, j = c // 3, c % 3
        m, n = (i + 1) % 3, (j + 1) % 3
        rx, ry = pair[0, m, 0] - pair[0, i, 0], pair[0, m, 1] - pair[0, i, 1]
        sx, sy = pair[1, n, 0] - pair[1, j, 0], pair[1, n, 1] - pair[1, j, 1]
        det = rx * sy - ry * sx
        if abs(det) <= 1e-12 * (rx * rx + ry * ry + sx * sx + sy * sy):
            continue
        ox, oy = pair[1, j, 0] - pair[0, i, 0], pair[1, j, 1] - pair[0, i, 1]
        u, v = (ox * sy - oy * sx) / det, (ox * ry - oy * rx) / det
        if u >= -SLACK and u <= 1 + SLACK and v >= -SLACK and v <= 1 + SLACK:
            depth = pair[1, j, 2] + v * (pair[1, n, 2] - pair[1, j, 2])
            depth -= pair[0, i, 2] + u * (pair[0, m, 2] - pair[0, i, 2])
            low, high = min(low, depth), max(high, depth)
    return low, high


@kernel
def _sweep_one(corners, boxes, other, j, frame, bound):  # type: ignore[no-untyped-def]
    """Way of triangle other[j] until it meets the tree, and the slot it meets; (bound, -1) for none."""
    first_leaf = len(boxes) // 2
    d = frame[2]
    low, high = np.empty(3), np.empty(3)
    pair = np.empty((2, 3, 3))
    axes, reach = np.empty((4, 3)), np.empty((4, 2))
    _axes(other, j, d, axes, reach)
    for k in range(3):
        low[k] = min(other[j, 0, k], other[j, 1, k], other[j, 2, k])
        high[k] = max(other[j, 0, k], other[j, 1, k], other[j, 2, k])
        for i in range(3):
            pair[0, i, k] = 0.0
            for m in range(3):
                pair[0, i, k] += frame[k, m] * (other[j, i, m] - other[j, 0, m])
    best, slot = bound, -1
    stack = np.empty(_STACK, dtype=np.int64)
    stack[0], top = 0, 1
    while top:
        top -= 1
        node = stack[top]
        if not _box_in_way(boxes, node, low, high, d, best) or _aside(boxes, node, axes, reach):
            continue
        if node < first_leaf:
            stack[top], stack[top + 1] = 2 * node + 1, 2 * node + 2
            top += 2
            continue
        for s in range((node - first_leaf) * LEAF, (node - first_leaf) * LEAF + LEAF):
            if _corners_aside(corners, s, axes, reach):
                continue
            for i in range(3):
                for k in range(3):
                    pair[1, i, k] = 0.0
                    for m in range(3):
                        pair[1, i, k] += frame[k, m] * (corners[s, i, m] - other[j, 0, m])
            least, most = _pair_range(pair)
            if most >= 0.0 and least <= bound and max(least, 0.0) < best:
                best, slot = max(least, 0.0), s
    return best, slot


@kernel
def _sweep_many(corners, boxes, other, frame, travel, whole):  # type: ignore[no-untyped-def]
    chunks = 64
    n = len(other)
    best = np.full(chunks, travel)
    slot = np.full(chunks, -1)
    which = np.full(chunks, -1)
    found = np.zeros(1, dtype=np.int64)
    for chunk in range(chunks):
        b, s, w = travel, -1, -1
        for j in range(chunk, n, chunks):
            if found[0] and not whole:
                break
            way, i = _sweep_one(corners, boxes, other, j, frame, b)
            if i >= 0:
                b, s, w = way, i, j
                found[0] = 1
        best[chunk], slot[chunk], which[chunk] = b, s, w
    k = np.argmin(best)
    if slot.max() < 0:
        return np.inf, -1, -1
    if slot[k] < 0:
        k = np.argmax(slot)
    return best[k], slot[k], which[k]
