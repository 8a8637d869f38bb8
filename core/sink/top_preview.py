"""A quick look at the sink's top while the gap slider moves; only ever shown, never exported."""

from dataclasses import dataclass

import numpy as np

from core.part.part import Part
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
        used, corners = np.unique(part.triangles[faces], return_inverse=True)
        corners = corners.reshape(-1, 3)
        normals = part.normals[faces]
        weight = part.areas_mm2[faces]
        square, push = np.zeros((len(used), 3, 3)), np.zeros((len(used), 3))
        outer = normals[:, :, None] * normals[:, None, :] * weight[:, None, None]
        for k in range(3):
            for i in range(3):
                push[:, i] += np.bincount(corners[:, k], weight * normals[:, i], len(used))
                for j in range(3):
                    square[:, i, j] += np.bincount(corners[:, k], outer[:, i, j], len(used))
        # least squares of n . m = 1 over the planes around, lightly held towards their mean where they agree
        hold = 1e-6 * np.trace(square, axis1=1, axis2=2) + 1e-300
        square += hold[:, None, None] * np.eye(3)
        mitre = np.linalg.solve(square, push[:, :, None])[:, :, 0]
        length = np.linalg.norm(mitre, axis=1, keepdims=True)
        mitre *= np.minimum(1.0, LONGEST_MITRE / np.maximum(length, 1e-300))
        return cls(start_mm=part.vertices_mm[used], mitre=mitre, triangles=corners[:, ::-1].astype(np.int32))

    def points_mm(self, gap_mm: float) -> FloatArray:
        """(n, 3) the top's points for a gap."""
        return self.start_mm + gap_mm * self.mitre
