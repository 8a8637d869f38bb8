"""The edges of a flat net, and its triangles turned into well-shaped ones: Delaunay's, as far as the rim allows."""

import numpy as np

from core.compiled import kernel
from core.units import FloatArray, IntArray

NEW = 3
"""State of a triangle about which nothing is known yet."""
SWEEPS = 40
"""Each sweep looks at every edge once; a handful settles, the bound is for safety."""


def well_shaped(plan_mm: FloatArray, triangles: IntArray, state: IntArray) -> None:
    """Flip inner edges in place until no corner lies in a neighbour's circumcircle (Lawson 1977).

    plan_mm: (n, 2). triangles: (m, 3), counter-clockwise. state: (m,) is set to NEW where a triangle changed.
    """
    edges, of_triangle = sides(triangles, len(plan_mm))
    _flip(plan_mm, triangles, of_triangle, len(edges), state)


def sides(triangles: IntArray, n_points: int) -> tuple[IntArray, IntArray]:
    """Unique edges (k, 2), low number first, and per triangle the edge that leaves each corner (m, 3)."""
    edges, of_triangle, count = _sides(triangles, n_points)
    return edges[:count], of_triangle


@kernel
def _sides(triangles, n_points):  # type: ignore[no-untyped-def]
    edges = np.empty((3 * len(triangles), 2), dtype=np.int64)
    of_triangle = np.empty(triangles.shape, dtype=np.int64)
    first = np.full(n_points, -1)  # of the edges that start at a point, in a chain
    following = np.empty(3 * len(triangles), dtype=np.int64)
    count = 0
    for t in range(len(triangles)):
        for i in range(3):
            a, b = triangles[t, i], triangles[t, (i + 1) % 3]
            low, high = min(a, b), max(a, b)
            e = first[low]
            while e >= 0 and edges[e, 1] != high:
                e = following[e]
            if e < 0:
                e = count
                edges[e, 0], edges[e, 1] = low, high
                following[e] = first[low]
                first[low] = e
                count += 1
            of_triangle[t, i] = e
    return edges, of_triangle, count


@kernel
def _flip(plan, triangles, of_triangle, n_edges, state):  # type: ignore[no-untyped-def]
    twin = _twins(of_triangle, n_edges)
    for _ in range(SWEEPS):
        flipped = 0
        for h in range(len(twin)):
            g = twin[h]
            if g < h:  # each edge once; -1 on the rim
                continue
            t, i, u, j = h // 3, h % 3, g // 3, g % 3
            a, b, c = triangles[t, i], triangles[t, (i + 1) % 3], triangles[t, (i + 2) % 3]
            d = triangles[u, (j + 2) % 3]
            if not _better_across(plan, a, b, c, d):
                continue
            # the quadrilateral a, d, b, c: edge a-b gives way to c-d
            ad, db = twin[3 * u + (j + 1) % 3], twin[3 * u + (j + 2) % 3]
            bc, ca = twin[3 * t + (i + 1) % 3], twin[3 * t + (i + 2) % 3]
            triangles[t, 0], triangles[t, 1], triangles[t, 2] = a, d, c
            triangles[u, 0], triangles[u, 1], triangles[u, 2] = d, b, c
            _join(twin, 3 * t, ad)
            _join(twin, 3 * t + 1, 3 * u + 2)
            _join(twin, 3 * t + 2, ca)
            _join(twin, 3 * u, db)
            _join(twin, 3 * u + 1, bc)
            state[t] = state[u] = NEW
            flipped += 1
        if flipped == 0:
            break


@kernel
def _twins(of_triangle, n_edges):  # type: ignore[no-untyped-def]
    """(3 m,) for each side of a triangle the same side seen from the neighbour; -1 for none."""
    flat = of_triangle.ravel()
    first = np.full(n_edges, -1)
    twin = np.full(len(flat), -1)
    for h in range(len(flat)):
        e = flat[h]
        if first[e] < 0:
            first[e] = h
        else:
            twin[h], twin[first[e]] = first[e], h
    return twin


@kernel
def _join(twin, h, g):  # type: ignore[no-untyped-def]
    twin[h] = g
    if g >= 0:
        twin[g] = h


@kernel
def _better_across(plan, a, b, c, d):  # type: ignore[no-untyped-def]
    """True when d lies clearly within the circle of a, b, c and the two triangles over c-d would both be sound."""
    ax, ay = plan[a, 0] - plan[d, 0], plan[a, 1] - plan[d, 1]
    bx, by = plan[b, 0] - plan[d, 0], plan[b, 1] - plan[d, 1]
    cx, cy = plan[c, 0] - plan[d, 0], plan[c, 1] - plan[d, 1]
    aa, bb, cc = ax * ax + ay * ay, bx * bx + by * by, cx * cx + cy * cy
    ab, bc, ca = ax * by - ay * bx, bx * cy - by * cx, cx * ay - cy * ax
    size = max(aa, bb, cc)
    if aa * bc + bb * ca + cc * ab <= 1e-9 * size * size:
        return False
    # twice the areas of (a, d, c) and (d, b, c), seen from d
    return ca > 1e-9 * size and bc > 1e-9 * size
