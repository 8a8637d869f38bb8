"""How much of the way between neighbouring cell centres runs through metal, cut exactly at the surfaces."""

import numpy as np

from core.compiled import kernel
from core.units import FloatArray

RAYS = 4
"""Each link is looked at along 4 x 4 parallel lines, one bit of 16 for each."""


def links_along(
    corners_mm: FloatArray, axis: int, low_mm: FloatArray, cell_mm: float, shape: tuple[int, int, int]
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Share of metal on every link along one axis, how many surfaces it crosses, and how much of it is powder alone.

    corners_mm: (n, 3, 3) triangles of closed bodies, outward, that don't overlap. axis: 0 x, 1 y, 2 z. low_mm: low
    corner of the first cell. shape: cells in z, y, x order. Returns three float32 arrays in z, y, x order, one longer
    along the axis than shape: entry k belongs to the link between the centres of cells k - 1 and k; the first and last
    reach out of the grid by one cell. The third is the share of lines in powder from end to end that conduct beside
    the others, not in a row with them: as much of them as of the others run in metal from end to end. The share of
    metal is a sum over crossings (leaving minus entering), so nothing is sorted and nothing is marched.
    """
    n = (shape[2], shape[1], shape[0])
    u, v = (axis + 1) % 3, (axis + 2) % 3  # right-handed: the sign of a projected area tells in from out
    size = (n[axis] + 1, n[v], n[u])
    length, crossings, later = (np.zeros(size) for _ in range(3))
    crossed, turned = (np.zeros(size, dtype=np.uint16) for _ in range(2))
    corners = np.ascontiguousarray(corners_mm, dtype=np.float64)
    low = np.asarray(low_mm, dtype=np.float64)
    _add_crossings(corners, u, v, axis, low, cell_mm, length, crossings, later, crossed, turned)
    length += np.cumsum(later, axis=0, out=later)
    del later
    np.bitwise_xor.accumulate(turned, axis=0, out=turned)  # set where a line starts its link in metal
    powder, metal = (
        np.bitwise_count(lines) / np.float32(RAYS * RAYS) for lines in (~(crossed | turned), turned & ~crossed)
    )
    # beside whole metal lines they stand for a wall's surroundings, beside cut ones for a slanted gap
    powder *= metal / np.maximum(np.float32(1) - powder, np.float32(0.5 / (RAYS * RAYS)))
    order = ((1, 2, 0), (2, 0, 1), (0, 1, 2))[axis]
    share, walls, alone = (
        np.ascontiguousarray(a.transpose(order), dtype=np.float32) for a in (length, crossings, powder)
    )
    return np.clip(share, 0.0, 1.0), walls, alone


@kernel
def _left_of(px, py, qx, qy, x, y):  # type: ignore[no-untyped-def]
    """True when (x, y) lies left of p -> q; on the line, for one of its two directions, so no line counts twice."""
    if px < qx or (px == qx and py < qy):
        return (qx - px) * (y - py) - (qy - py) * (x - px) >= 0.0
    return (px - qx) * (y - qy) - (py - qy) * (x - qx) < 0.0


@kernel
def _add_crossings(corners, u, v, w, low, cell, length, crossings, later, crossed, turned):  # type: ignore[no-untyped-def]
    """Each crossing adds the metal from it to the end of its interval, and a change for all intervals after."""
    n_w, n_v, n_u = length.shape
    rays = RAYS
    fine = cell / rays
    share = 1.0 / (rays * rays)
    for t in range(len(corners)):
        ax, ay, az = corners[t, 0, u], corners[t, 0, v], corners[t, 0, w]
        bx, by, bz = corners[t, 1, u], corners[t, 1, v], corners[t, 1, w]
        cx, cy, cz = corners[t, 2, u], corners[t, 2, v], corners[t, 2, w]
        area = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
        if area == 0.0:
            continue
        sign = share if area < 0.0 else -share  # a surface that looks back along the line lets it into the metal
        if area < 0.0:
            bx, by, bz, cx, cy, cz = cx, cy, cz, bx, by, bz
            area = -area
        first_i = max(0, int(np.ceil((min(ax, bx, cx) - low[u]) / fine - 0.5)))
        last_i = min(n_u * rays - 1, int(np.floor((max(ax, bx, cx) - low[u]) / fine - 0.5)))
        first_j = max(0, int(np.ceil((min(ay, by, cy) - low[v]) / fine - 0.5)))
        last_j = min(n_v * rays - 1, int(np.floor((max(ay, by, cy) - low[v]) / fine - 0.5)))
        for j in range(first_j, last_j + 1):
            y = low[v] + (j + 0.5) * fine
            for i in range(first_i, last_i + 1):
                x = low[u] + (i + 0.5) * fine
                inside = _left_of(ax, ay, bx, by, x, y) and _left_of(bx, by, cx, cy, x, y)
                if not (inside and _left_of(cx, cy, ax, ay, x, y)):
                    continue
                p = ((x - ax) * (cy - ay) - (y - ay) * (cx - ax)) / area
                q = ((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / area
                at = (az + p * (bz - az) + q * (cz - az) - low[w]) / cell + 0.5  # interval k ends at the centre of k
                k = int(np.floor(at))
                jj, ii = j // rays, i // rays
                line = np.uint16(1 << ((j % rays) * rays + i % rays))
                if k < 0:
                    later[0, jj, ii] += sign
                    turned[0, jj, ii] ^= line
                elif k < n_w:
                    length[k, jj, ii] += sign * (k + 1 - at)
                    crossings[k, jj, ii] += share
                    crossed[k, jj, ii] |= line
                    if k + 1 < n_w:
                        later[k + 1, jj, ii] += sign
                        turned[k + 1, jj, ii] ^= line
