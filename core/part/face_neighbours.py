"""Which triangles lie across which edges, and where the surface is open or branches."""

import weakref
from dataclasses import dataclass

import numpy as np

from core.compiled import kernel
from core.part.part import Part, face_mask
from core.units import IntArray

OPEN = -1
BRANCHES = -2


@kernel
def edge_mates(triangles: IntArray, n_vertices: int) -> tuple[IntArray, int, int]:
    """Pair the directed edges of triangles.

    triangles: (n, 3) int32. Directed edge 3 f + i runs from corner i of face f to the next corner.
    Returns (3 n,) int32 the directed edge on the other side, OPEN, or BRANCHES where more than two faces meet;
    the number of open edges; the number of branching edges.
    """
    n = len(triangles)
    start = np.zeros(n_vertices + 1, np.int32)
    for f in range(n):
        for i in range(3):
            a, b = triangles[f, i], triangles[f, (i + 1) % 3]
            start[min(a, b) + 1] += 1
    for v in range(n_vertices):
        start[v + 1] += start[v]
    fill = start[:-1].copy()
    edge = np.empty(3 * n, np.int32)
    high = np.empty(3 * n, np.int32)
    for f in range(n):
        for i in range(3):
            a, b = triangles[f, i], triangles[f, (i + 1) % 3]
            low = min(a, b)
            at = fill[low]
            fill[low] += 1
            edge[at] = 3 * f + i
            high[at] = max(a, b)
    mate = np.full(3 * n, OPEN, np.int32)
    n_open = 0
    n_branching = 0
    for v in range(n_vertices):
        first, end = start[v], start[v + 1]
        step = 1
        while 3 * step + 1 < end - first:
            step = 3 * step + 1
        while step > 0:  # Shell's sort; most corners have so few edges that one pass is all
            for k in range(first + step, end):
                key, what = high[k], edge[k]
                j = k
                while j >= first + step and high[j - step] > key:
                    high[j] = high[j - step]
                    edge[j] = edge[j - step]
                    j -= step
                high[j] = key
                edge[j] = what
            step //= 3
        k = first
        while k < end:
            stop = k + 1
            while stop < end and high[stop] == high[k]:
                stop += 1
            if stop - k == 1:
                n_open += 1
            elif stop - k == 2:
                mate[edge[k]] = edge[k + 1]
                mate[edge[k + 1]] = edge[k]
            else:
                n_branching += 1
                for j in range(k, stop):
                    mate[edge[j]] = BRANCHES
            k = stop
    return mate, n_open, n_branching


@dataclass(frozen=True, kw_only=True, eq=False)
class FaceNeighbours:
    """across: (n_faces, 3) int32 the face over the edge from corner i to corner i + 1, OPEN or BRANCHES (< 0)."""

    across: IntArray


_known: dict[int, tuple["weakref.ref[IntArray]", FaceNeighbours]] = {}


def face_neighbours(part: Part) -> FaceNeighbours:
    """Neighbours of every face; kept as long as the part's triangles are, so moving a part costs nothing."""
    key = id(part.triangles)
    known = _known.get(key)
    if known is not None and known[0]() is part.triangles:
        return known[1]
    mate, _, _ = edge_mates(part.triangles, len(part.vertices_mm))
    across = np.where(mate >= 0, mate // 3, mate).astype(np.int32).reshape(-1, 3)
    found = FaceNeighbours(across=across)
    for old in [k for k, (alive, _) in list(_known.items()) if alive() is None]:
        _known.pop(old, None)
    _known[key] = (weakref.ref(part.triangles), found)
    return found


def rim_edges(part: Part, faces: IntArray) -> IntArray:
    """(m, 2) corner numbers of the edges that only one of some faces (n,) has."""
    across, triangles = face_neighbours(part).across[faces], part.triangles[faces]
    rim = (across < 0) | ~face_mask(part.n_faces, faces)[across]
    return np.asarray(np.stack([triangles, np.roll(triangles, -1, axis=1)], axis=2)[rim])
