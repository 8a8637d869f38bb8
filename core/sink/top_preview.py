"""A quick look at the sink's top while the gap slider moves; only ever shown, never exported."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from core.compiled import kernel
from core.part.part import Part
from core.part.weld import drop_unused
from core.units import FloatArray, IntArray

LONGEST_MITRE = 3.0
"""A vertex moves at most this many gaps, however sharp the edge it sits on."""


@dataclass(frozen=True, kw_only=True, eq=False)
class TopPreview:
    """The patch, each vertex moved along its mitre: one gap off all planes around it, in the mean of them.

    start_mm: (n, 3) patch vertices; mitre: (n, 3) move per mm of gap; triangles: (m, 3) facing up.
    It doesn't see neighbouring walls, so near those it shows the top too high.
    """

    start_mm: FloatArray
    mitre: FloatArray
    triangles: IntArray

    @classmethod
    def of(cls, part: Part, faces: IntArray) -> "TopPreview":
        """faces: (m,) triangle numbers of the patch."""
        start_mm, corners = drop_unused(part.vertices_mm, part.triangles[faces])
        mitre = _mitres(corners, part.normals[faces], part.areas_mm2[faces], len(start_mm))
        return cls(start_mm=start_mm, mitre=mitre, triangles=np.ascontiguousarray(corners[:, ::-1]))

    @cached_property
    def _moved_mm(self) -> FloatArray:
        """Room for the moved points, kept from tick to tick: fetching fresh memory takes longer than the sum."""
        return np.empty_like(self.start_mm)

    def points_mm(self, gap_mm: float) -> FloatArray:
        """(n, 3) the top's points for a gap, in an array that the next call fills anew."""
        moved = np.multiply(self.mitre, gap_mm, out=self._moved_mm)
        return np.add(moved, self.start_mm, out=moved)


@kernel
def _mitres(corners, normals, areas, n):  # type: ignore[no-untyped-def]
    """Least squares of n . m = 1 over the planes around each point, lightly held towards zero where they agree."""
    square, push = np.zeros((n, 6)), np.zeros((n, 3))
    for f in range(len(corners)):
        x, y, z = normals[f, 0], normals[f, 1], normals[f, 2]
        a = areas[f]
        for k in range(3):
            v = corners[f, k]
            square[v, 0] += a * x * x
            square[v, 1] += a * x * y
            square[v, 2] += a * x * z
            square[v, 3] += a * y * y
            square[v, 4] += a * y * z
            square[v, 5] += a * z * z
            push[v, 0] += a * x
            push[v, 1] += a * y
            push[v, 2] += a * z
    mitre = np.zeros((n, 3))
    for v in range(n):
        hold = 1e-6 * (square[v, 0] + square[v, 3] + square[v, 5]) + 1e-300
        a, b, c = square[v, 0] + hold, square[v, 1], square[v, 2]
        d, e, f3 = square[v, 3] + hold, square[v, 4], square[v, 5] + hold
        p, q, r = push[v, 0], push[v, 1], push[v, 2]
        # Cholesky, as the matrix is positive
        l11 = np.sqrt(a)
        l21, l31 = b / l11, c / l11
        l22 = np.sqrt(max(d - l21 * l21, 1e-300))
        l32 = (e - l31 * l21) / l22
        l33 = np.sqrt(max(f3 - l31 * l31 - l32 * l32, 1e-300))
        y1 = p / l11
        y2 = (q - l21 * y1) / l22
        y3 = (r - l31 * y1 - l32 * y2) / l33
        mz = y3 / l33
        my = (y2 - l32 * mz) / l22
        mx = (y1 - l21 * my - l31 * mz) / l11
        length = np.sqrt(mx * mx + my * my + mz * mz)
        shrink = min(1.0, LONGEST_MITRE / max(length, 1e-300))
        mitre[v, 0], mitre[v, 1], mitre[v, 2] = shrink * mx, shrink * my, shrink * mz
    return mitre
