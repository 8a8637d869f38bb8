"""A sink's top with fewer triangles, for the moment while the hand moves it."""

import numpy as np

from core.units import FloatArray, IntArray

CELLS = 80
"""Boxes along the longest side; the points in one box become one."""


class RoughTop:
    """Gathers the points of a net in boxes; the same boxes serve however the points move afterwards."""

    def __init__(self, points_mm: FloatArray, triangles: IntArray) -> None:
        """points_mm: (n, 3). triangles: (m, 3)."""
        low = points_mm.min(axis=0)
        size = float((points_mm.max(axis=0) - low).max())
        boxes = np.floor((points_mm - low) * (CELLS / max(size, 1e-9))).astype(np.int64)
        _, self._box = np.unique(boxes @ [1, 1 << 20, 1 << 40], return_inverse=True)
        self._count = np.bincount(self._box)
        corners = self._box[triangles]
        a, b, c = corners.T
        corners = corners[(a != b) & (b != c) & (c != a)]
        _, first = np.unique(np.sort(corners, axis=1), axis=0, return_index=True)
        self.triangles: IntArray = corners[first].astype(np.int32)

    def points_mm(self, points_mm: FloatArray) -> FloatArray:
        """(k, 3) the middle of the points in each box, of the net's points (n, 3) where they are now."""
        return np.column_stack([np.bincount(self._box, points_mm[:, i]) / self._count for i in range(3)])
