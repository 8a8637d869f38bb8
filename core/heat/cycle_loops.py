"""The loops of one multigrid cycle, each one pass over memory: planes follow each other through sweeps and residual.

Arrays as in core.heat.conduction. The inverse of the diagonal is worked out on the way: it costs less than reading it.
"""

import numba
import numpy as np
from numba import prange

from core.compiled import GridLoop

_FREEDOM = {"reassoc", "contract", "nsz", "arcp"}
_plane = numba.njit(nogil=True, error_model="numpy", fastmath=_FREEDOM)
"""Part of a loop below: one plane of cells, compiled into it."""
FEWEST = 8
"""Coarse planes a thread works on at least; at the borders of its slab some work is done twice."""


@_plane
def _inverse(g_x, g_y, g_z, own, k, out):  # type: ignore[no-untyped-def]
    """out = 1/diagonal of A on plane k; 0 where a cell has no link at all."""
    ny, nx = out.shape
    for j in range(1, ny - 1):
        o, d = out[j], own[k, j]
        x, s, n, low, high = g_x[k, j], g_y[k, j], g_y[k, j + 1], g_z[k, j], g_z[k + 1, j]
        for i in range(1, nx - 1):
            total = x[i] + x[i + 1] + s[i] + n[i] + low[i] + high[i] + d[i]
            o[i] = 1 / total if total > 0 else 0


@_plane
def _scaled(inverse, b, weight, out):  # type: ignore[no-untyped-def]
    """out = weight b/D on a plane: a sweep from zero."""
    ny, nx = out.shape
    for j in range(1, ny - 1):
        o, m, r = out[j], inverse[j], b[j]
        for i in range(1, nx - 1):
            o[i] = weight * m[i] * r[i]


@_plane
def _swept(g_x, g_y, g_z, k, inverse, b, under, t, over, weight, out):  # type: ignore[no-untyped-def]
    """out = t + weight (b - A t)/D on plane k, from the planes under, at and over it; returns the sum of b out."""
    ny, nx = out.shape
    total = 0.0
    for j in range(1, ny - 1):
        c, south, north, down, up, o, r, m = t[j], t[j - 1], t[j + 1], under[j], over[j], out[j], b[j], inverse[j]
        x, s, n, low, high = g_x[k, j], g_y[k, j], g_y[k, j + 1], g_z[k, j], g_z[k + 1, j]
        row = t.dtype.type(0)
        for i in range(1, nx - 1):
            near = (
                x[i] * c[i - 1] + x[i + 1] * c[i + 1] + s[i] * south[i] + n[i] * north[i]
                + low[i] * down[i] + high[i] * up[i]
            )  # fmt: skip
            v = (1 - weight) * c[i] + weight * m[i] * (r[i] + near)
            o[i] = v
            row += r[i] * v
        total += row
    return total


@_plane
def _left(g_x, g_y, g_z, own, b, t, k, line, coarse):  # type: ignore[no-untyped-def]
    """coarse += b - A t of plane k, two by two; line: scratch for one row."""
    nx = t.shape[2]
    my, mx = coarse.shape
    for jj in range(1, my - 1):
        q = coarse[jj]
        for j in range(2 * jj - 1, min(2 * jj + 1, t.shape[1] - 1)):
            c, r, d = t[k, j], b[k, j], own[k, j]
            south, north, down, up = t[k, j - 1], t[k, j + 1], t[k - 1, j], t[k + 1, j]
            x, s, n, low, high = g_x[k, j], g_y[k, j], g_y[k, j + 1], g_z[k, j], g_z[k + 1, j]
            for i in range(1, nx - 1):
                line[i] = r[i] - (
                    x[i] * (c[i] - c[i - 1]) + x[i + 1] * (c[i] - c[i + 1]) + s[i] * (c[i] - south[i])
                    + n[i] * (c[i] - north[i]) + low[i] * (c[i] - down[i]) + high[i] * (c[i] - up[i]) + d[i] * c[i]
                )  # fmt: skip
            for ii in range(1, mx - 1):
                q[ii] += line[2 * ii - 1] + line[2 * ii]


@_plane
def _prolonged(t, coarse, out):  # type: ignore[no-untyped-def]
    """out = t with every cell's coarse cell added, on a plane."""
    ny, nx = t.shape
    for j in range(1, ny - 1):
        row, q, o = t[j], coarse[(j + 1) // 2], out[j]
        for ii in range(1, (nx - 2) // 2 + 1):
            o[2 * ii - 1] = row[2 * ii - 1] + q[ii]
            o[2 * ii] = row[2 * ii] + q[ii]
        if nx % 2:
            o[nx - 2] = row[nx - 2] + q[(nx - 1) // 2]


@GridLoop
def go_down(g_x, g_y, g_z, own, b, t, coarse, first, second, threads):  # type: ignore[no-untyped-def]
    """t = two Jacobi sweeps with these weights from zero; coarse = sums of b - A t over 2 x 2 x 2 cells.

    One pass over memory: the planes of the steps follow each other. At the border of two slabs both threads work out
    the same planes and write the same bits.
    """
    nz, ny, nx = b.shape
    mz = coarse.shape[0] - 2
    slabs = max(1, min(threads, mz // FEWEST))
    for slab in prange(slabs):
        start, end = 2 * (mz * slab // slabs) + 1, min(2 * (mz * (slab + 1) // slabs) + 1, nz - 1)
        inverse, once = np.zeros((3, ny, nx), b.dtype), np.zeros((3, ny, nx), b.dtype)
        line = np.zeros(nx + 1, b.dtype)
        for k in range(start - 2, end + 2):
            if 1 <= k < nz - 1:
                _inverse(g_x, g_y, g_z, own, k, inverse[k % 3])
                _scaled(inverse[k % 3], b[k], first, once[k % 3])
            else:
                once[k % 3] = 0
            m = k - 1
            if max(start - 1, 1) <= m < min(end + 1, nz - 1):
                _swept(g_x, g_y, g_z, m, inverse[m % 3], b[m], once[(m - 1) % 3], once[m % 3], once[k % 3], second,
                       t[m])  # fmt: skip
            m = k - 2
            if start <= m < end:
                if m % 2:
                    coarse[(m + 1) // 2] = 0
                _left(g_x, g_y, g_z, own, b, t, m, line, coarse[(m + 1) // 2])


@GridLoop
def leave(g_x, g_y, g_z, own, b, t, coarse):  # type: ignore[no-untyped-def]
    """coarse = sums of b - A t over 2 x 2 x 2 cells, for a t that stands already."""
    nz, mz = t.shape[0], coarse.shape[0]
    for kk in prange(1, mz - 1):
        line = np.zeros(t.shape[2] + 1, t.dtype)
        coarse[kk] = 0
        for k in range(2 * kk - 1, min(2 * kk + 1, nz - 1)):
            _left(g_x, g_y, g_z, own, b, t, k, line, coarse[kk])


@GridLoop
def go_up(g_x, g_y, g_z, own, b, t, coarse, first, second, threads):  # type: ignore[no-untyped-def]
    """t = two Jacobi sweeps with these weights on t + coarse; returns the sum of b t. One pass over memory."""
    nz, ny, nx = b.shape
    slabs = max(1, min(threads, nz // (2 * FEWEST)))
    sums = np.zeros(nz)
    kept = np.zeros((slabs + 1, 4, ny, nx), b.dtype)  # planes about the borders of slabs, as they were
    for slab in range(1, slabs):
        border = 1 + (nz - 2) * slab // slabs
        kept[slab] = t[border - 2 : border + 2]
    for slab in prange(slabs):
        start, end = 1 + (nz - 2) * slab // slabs, 1 + (nz - 2) * (slab + 1) // slabs
        inverse, raised, once = (
            np.zeros((3, ny, nx), b.dtype), np.zeros((3, ny, nx), b.dtype), np.zeros((3, ny, nx), b.dtype)
        )  # fmt: skip
        for k in range(start - 2, end + 2):
            if 1 <= k < nz - 1:
                _inverse(g_x, g_y, g_z, own, k, inverse[k % 3])
                if k < start:
                    _prolonged(kept[slab, k - start + 2], coarse[(k + 1) // 2], raised[k % 3])
                elif k >= end:
                    _prolonged(kept[slab + 1, k - end + 2], coarse[(k + 1) // 2], raised[k % 3])
                else:
                    _prolonged(t[k], coarse[(k + 1) // 2], raised[k % 3])
            else:
                raised[k % 3] = 0
            m = k - 1
            if max(start - 1, 1) <= m < min(end + 1, nz - 1):
                _swept(g_x, g_y, g_z, m, inverse[m % 3], b[m], raised[(m - 1) % 3], raised[m % 3], raised[k % 3], first,
                       once[m % 3])  # fmt: skip
            else:
                once[m % 3] = 0
            m = k - 2
            if start <= m < end:
                sums[m] = _swept(g_x, g_y, g_z, m, inverse[m % 3], b[m], once[(m - 1) % 3], once[m % 3],
                                 once[(m + 1) % 3], second, t[m])  # fmt: skip
    return sums.sum()


@GridLoop
def coarse_links(g_x, g_y, g_z, coarse_x, coarse_y, coarse_z):  # type: ignore[no-untyped-def]
    """Links of 2 x 2 x 2 cells: half the sum across the common face.

    The half makes up for constant interpolation, which sees jumps where the truth is a slope.
    """
    nz, ny, nx = g_x.shape
    mz, my, mx = coarse_x.shape
    for kk in prange(1, mz - 1):
        for jj in range(1, my - 1):
            for ii in range(1, mx - 1):
                x = y = z = 0.0
                for k in range(2 * kk - 1, min(2 * kk + 1, nz - 1)):
                    for j in range(2 * jj - 1, min(2 * jj + 1, ny - 1)):
                        x += g_x[k, j, 2 * ii - 1]
                        for i in range(2 * ii - 1, min(2 * ii + 1, nx - 1)):
                            if j == 2 * jj - 1:
                                y += g_y[k, j, i]
                            if k == 2 * kk - 1:
                                z += g_z[k, j, i]
                coarse_x[kk, jj, ii], coarse_y[kk, jj, ii], coarse_z[kk, jj, ii] = 0.5 * x, 0.5 * y, 0.5 * z


@GridLoop
def coarse_sums(fine, coarse):  # type: ignore[no-untyped-def]
    """Sums over 2 x 2 x 2 cells."""
    nz, ny, nx = fine.shape
    mz, my, mx = coarse.shape
    for kk in prange(1, mz - 1):
        for jj in range(1, my - 1):
            q = coarse[kk, jj]
            q[:] = 0
            for k in range(2 * kk - 1, min(2 * kk + 1, nz - 1)):
                for j in range(2 * jj - 1, min(2 * jj + 1, ny - 1)):
                    row = fine[k, j]
                    for ii in range(1, (nx - 2) // 2 + 1):
                        q[ii] += row[2 * ii - 1] + row[2 * ii]
                    if nx % 2:
                        q[mx - 2] += row[nx - 2]
