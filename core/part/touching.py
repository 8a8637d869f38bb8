"""Find bodies of one mesh that touch without sharing an edge, such as walls that lie on each other cut differently."""

import numpy as np

from core.part.bodies import number_shells
from core.part.face_neighbours import edge_mates
from core.part.triangle_tree import TriangleTree
from core.units import FloatArray, IntArray

MOST_SHELLS = 60
"""With more shells not every pair is looked at."""
RELATIVE_TOLERANCE = 1e-6
"""Nearer than this share of the farthest coordinate is touching: 0.1 µm at 100 mm, as for crossings."""


def first_touch(points: FloatArray, triangles: IntArray) -> FloatArray | None:
    """(3,) a place where two shells touch, or None; None too with more than MOST_SHELLS shells."""
    shell = number_shells(triangles, edge_mates(triangles, len(points))[0])
    count = int(shell.max()) + 1
    if not 2 <= count <= MOST_SHELLS:
        return None
    near = RELATIVE_TOLERANCE * float(np.abs(points).max())
    corners = [points[triangles[shell == number]] for number in range(count)]
    lows, highs = (np.array([edge(c, axis=(0, 1)) for c in corners]) for edge in (np.min, np.max))
    for j in range(1, count):
        beside = (lows[:j] <= highs[j] + near).all(axis=1) & (highs[:j] >= lows[j] - near).all(axis=1)
        tree = TriangleTree.of(corners[j]) if beside.any() else None
        for i in np.flatnonzero(beside):
            if tree is not None:
                _, own, _ = tree.distance_to(corners[i], near)
                if own >= 0:
                    return np.asarray(corners[j][own].mean(axis=0))
    return None
