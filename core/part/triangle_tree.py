"""A box tree over triangles: nearest point, vertical rays, and exact distance between two triangle sets.

The tree is implicit: triangles are halved again and again at the median along the longest side, cut into leaves
of four, and the boxes of a complete binary tree are taken bottom-up.
"""

from dataclasses import dataclass

import numpy as np

from core.part.tree_search import (
    LEAF,
    distance_between,
    distances_between,
    first_above_many,
    halved,
    nearest_many,
    within_many,
)
from core.units import BoolArray, FloatArray, IntArray


@dataclass(frozen=True, kw_only=True, eq=False)
class TriangleTree:
    """corners_mm: (n_leaves * 4, 3, 3) triangles in tree order; number: (n_leaves * 4,) their original numbers.

    boxes: (2 * n_leaves - 1, 2, 3) low and high corners; the children of node i are 2i + 1 and 2i + 2.
    """

    corners_mm: FloatArray
    number: IntArray
    boxes: FloatArray

    @classmethod
    def of(cls, corners_mm: FloatArray) -> "TriangleTree":
        """corners_mm: (n, 3, 3) float64, n >= 1."""
        n = len(corners_mm)
        if n == 0:
            raise ValueError("A triangle tree needs at least one triangle.")
        order = np.arange(n)
        halved(np.ascontiguousarray(corners_mm.mean(axis=1)), order)
        leaves = 1 << max(0, int(np.ceil(np.log2(np.ceil(n / LEAF)))))
        # spread the triangles evenly over all leaves; each leaf is padded with its last triangle
        first = (np.arange(leaves, dtype=np.int64) * n) // leaves
        last = np.maximum((np.arange(1, leaves + 1, dtype=np.int64) * n) // leaves, first + 1) - 1
        slots = np.minimum(first[:, None] + np.arange(LEAF), np.minimum(last, n - 1)[:, None]).ravel()
        number = order[np.minimum(slots, n - 1)].astype(np.int32)
        sorted_corners = np.ascontiguousarray(corners_mm[number], dtype=np.float64)
        boxes = np.empty((2 * leaves - 1, 2, 3))
        grouped = sorted_corners.reshape(leaves, LEAF * 3, 3)
        boxes[leaves - 1 :, 0] = boxes[leaves - 1 :, 1] = grouped[:, 0]
        for corner in range(1, LEAF * 3):  # faster than a reduction over a short axis
            np.minimum(boxes[leaves - 1 :, 0], grouped[:, corner], out=boxes[leaves - 1 :, 0])
            np.maximum(boxes[leaves - 1 :, 1], grouped[:, corner], out=boxes[leaves - 1 :, 1])
        width = leaves // 2
        while width:
            children = boxes[2 * width - 1 : 4 * width - 1].reshape(width, 2, 2, 3)
            boxes[width - 1 : 2 * width - 1, 0] = np.minimum(children[:, 0, 0], children[:, 1, 0])
            boxes[width - 1 : 2 * width - 1, 1] = np.maximum(children[:, 0, 1], children[:, 1, 1])
            width //= 2
        return cls(corners_mm=sorted_corners, number=number, boxes=boxes)

    def nearest(self, points_mm: FloatArray) -> tuple[FloatArray, IntArray, FloatArray]:
        """Distance (n,), triangle number (n,) and nearest point (n, 3) for points (n, 3)."""
        points = np.ascontiguousarray(points_mm, dtype=np.float64)
        distance, slot, nearest = nearest_many(self.corners_mm, self.boxes, points)
        return distance, self.number[slot], nearest

    def within(self, points_mm: FloatArray, low_mm: float, high_mm: float) -> BoolArray:
        """(n,) True where the distance of a point (n, 3) lies between two bounds; quicker than `nearest`."""
        points = np.ascontiguousarray(points_mm, dtype=np.float64)
        found: BoolArray = within_many(self.corners_mm, self.boxes, points, low_mm, high_mm)
        return found

    def first_above(self, points_mm: FloatArray) -> tuple[FloatArray, IntArray]:
        """Height (n,) and triangle (n,) of the first triangle straight above each point; inf and -1 for none."""
        points = np.ascontiguousarray(points_mm, dtype=np.float64)
        height, which = first_above_many(self.corners_mm, self.boxes, self.number, points)
        return height, which

    def distance_to(self, other_mm: FloatArray, start_mm: float = np.inf) -> tuple[float, int, int]:
        """Exact least distance to other triangles (m, 3, 3), with the pair (own triangle, other triangle).

        start_mm: an upper bound below which one is interested; the pair is (-1, -1) when nothing is nearer.
        Triangles that cross are at distance 0. Containment isn't seen.
        """
        other = np.ascontiguousarray(other_mm, dtype=np.float64)
        best, slot, which = distance_between(self.corners_mm, self.number, self.boxes, other, start_mm * start_mm)
        own = int(self.number[slot]) if slot >= 0 else -1
        return float(np.sqrt(best)), own, int(which)

    def distances_to(self, other_mm: FloatArray, most_mm: float) -> FloatArray:
        """(m,) exact least distance from each of other triangles (m, 3, 3), at most most_mm; 0 when they cross."""
        other = np.ascontiguousarray(other_mm, dtype=np.float64)
        found: FloatArray = distances_between(self.corners_mm, self.number, self.boxes, other, most_mm * most_mm)
        return np.sqrt(found)
