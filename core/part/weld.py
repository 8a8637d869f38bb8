"""Weld corners: give every point in space one number, exactly or within a hair."""

import numpy as np

from core.compiled import kernel
from core.units import FloatArray, IntArray

MOST_TWINS = 5_000_000
"""Pairs of open points within a hair; more are no crack but a heap, and finding them would fill the memory."""


@kernel
def _number_points(bits: IntArray) -> tuple[IntArray, IntArray]:
    """Number (n, 3) int64 keys by first appearance: (n,) numbers and the row each number appeared in first."""
    n = len(bits)
    number = np.empty(n, np.int32)
    first = np.empty(n, np.int32)
    found = 0
    mask = np.int64(2047)
    table = np.full(2048, -1, np.int32)
    m1, m2, m3 = np.int64(-7046029254386353131), np.int64(-4417276706812531889), np.int64(1609587929392839161)
    for i in range(n):
        if 2 * found > mask:
            mask = np.int64(4 * (mask + 1) - 1)
            table = np.full(mask + 1, -1, np.int32)
            for j in range(found):
                row = first[j]
                h = (bits[row, 0] * m1) ^ (bits[row, 1] * m2 + (bits[row, 2] * m3))
                h = (h ^ (h >> np.int64(29))) * m2
                slot = (h ^ (h >> np.int64(32))) & mask
                while table[slot] >= 0:
                    slot = (slot + 1) & mask
                table[slot] = j
        h = (bits[i, 0] * m1) ^ (bits[i, 1] * m2 + (bits[i, 2] * m3))
        h = (h ^ (h >> np.int64(29))) * m2
        slot = (h ^ (h >> np.int64(32))) & mask
        while True:
            j = table[slot]
            if j < 0:
                table[slot] = found
                first[found] = i
                number[i] = found
                found += 1
                break
            row = first[j]
            if bits[row, 0] == bits[i, 0] and bits[row, 1] == bits[i, 1] and bits[row, 2] == bits[i, 2]:
                number[i] = j
                break
            slot = (slot + 1) & mask
    return number, first[:found].copy()


def weld_exactly(points: FloatArray) -> tuple[IntArray, FloatArray]:
    """Give equal points the same number.

    points: (n, 3). Returns (n,) int32 numbers in order of first appearance, and (n_different, 3) those points.
    """
    clean = np.ascontiguousarray(points, dtype=np.float64) + 0.0  # turns -0.0 into 0.0
    number, first = _number_points(clean.view(np.int64))
    return number, clean[first]


def drop_unused(points: FloatArray, triangles: IntArray) -> tuple[FloatArray, IntArray]:
    """Keep only the points that a triangle uses, in their order."""
    used = np.zeros(len(points), dtype=bool)
    used[triangles.ravel()] = True
    if used.all():
        return points, triangles
    new = np.cumsum(used, dtype=np.int32) - np.int32(1)
    return np.ascontiguousarray(points[used]), np.ascontiguousarray(new[triangles])


def near_twins(points: FloatArray, candidates: IntArray, tolerance: float) -> IntArray:
    """(n_points,) the point each point should become: the lowest candidate within the tolerance, else itself.

    Twins chain: if a is near b and b near c, all become the lowest of them. Where more than MOST_TWINS pairs lie
    that near, which no crack does, every point stays itself.
    """
    from scipy.sparse import coo_array  # a quarter of a second to load, and a closed mesh never asks
    from scipy.sparse.csgraph import connected_components
    from scipy.spatial import cKDTree

    target = np.arange(len(points), dtype=np.int32)
    candidates = np.sort(candidates)
    tree = cKDTree(points[candidates])
    n = len(candidates)
    if tree.count_neighbors(tree, tolerance) > 2 * MOST_TWINS + n:
        return target
    a, b = tree.query_pairs(tolerance, output_type="ndarray").T
    _, group = connected_components(coo_array((np.ones(len(a), np.int8), (a, b)), shape=(n, n)), directed=False)
    _, first = np.unique(group, return_index=True)
    target[candidates] = candidates[first[group]]
    return target
