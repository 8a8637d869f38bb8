"""Heat between the cells of a cubic grid: the operator and its sweeps, matrix-free, one pass over memory each.

Arrays are (nz+2, ny+2, nx+2) with one ghost layer, index order z, y, x. g_x[k, j, i] is the conductance in W/K between
cells i - 1 and i, g_y and g_z likewise; links to the ghost layer are 0. own is what a cell exchanges with a fixed
temperature (boundary, or C/dt of a time step), W/K. The operator is (A t) = sum g (t - t of the neighbour) + own t.
Sums are kept per plane and added in order, so the result doesn't depend on the number of threads.
"""

import numpy as np
from numba import prange

from core.compiled import GridLoop


@GridLoop
def apply_dot(g_x, g_y, g_z, own, t, out):  # type: ignore[no-untyped-def]
    """out = A t; returns the sum of t A t."""
    nz, ny, nx = t.shape
    planes = np.zeros(nz)
    for k in prange(1, nz - 1):
        for j in range(1, ny - 1):
            c, o, d = t[k, j], out[k, j], own[k, j]
            south, north, down, up = t[k, j - 1], t[k, j + 1], t[k - 1, j], t[k + 1, j]
            x, s, n, low, high = g_x[k, j], g_y[k, j], g_y[k, j + 1], g_z[k, j], g_z[k + 1, j]
            row = t.dtype.type(0)
            for i in range(1, nx - 1):
                v = (
                    x[i] * (c[i] - c[i - 1]) + x[i + 1] * (c[i] - c[i + 1]) + s[i] * (c[i] - south[i])
                    + n[i] * (c[i] - north[i]) + low[i] * (c[i] - down[i]) + high[i] * (c[i] - up[i]) + d[i] * c[i]
                )  # fmt: skip
                o[i] = v
                row += c[i] * v
            planes[k] += row
    return planes.sum()


@GridLoop
def flow_in(g_x, g_y, g_z, t, out):  # type: ignore[no-untyped-def]
    """out = heat that flows into every cell from its neighbours, W."""
    nz, ny, nx = t.shape
    for k in prange(1, nz - 1):
        for j in range(1, ny - 1):
            c, o = t[k, j], out[k, j]
            south, north, down, up = t[k, j - 1], t[k, j + 1], t[k - 1, j], t[k + 1, j]
            x, s, n, low, high = g_x[k, j], g_y[k, j], g_y[k, j + 1], g_z[k, j], g_z[k + 1, j]
            for i in range(1, nx - 1):
                o[i] = (
                    x[i] * (c[i - 1] - c[i]) + x[i + 1] * (c[i + 1] - c[i]) + s[i] * (south[i] - c[i])
                    + n[i] * (north[i] - c[i]) + low[i] * (down[i] - c[i]) + high[i] * (up[i] - c[i])
                )  # fmt: skip


@GridLoop
def add_scaled(a, one, b, two):  # type: ignore[no-untyped-def]
    """a = one a + two b."""
    nz, ny, nx = a.shape
    for k in prange(1, nz - 1):
        for j in range(1, ny - 1):
            aa, bb = a[k, j], b[k, j]
            for i in range(1, nx - 1):
                aa[i] = one * aa[i] + two * bb[i]


@GridLoop
def conjugate_step(t, p, r, q, alpha):  # type: ignore[no-untyped-def]
    """t += alpha p, r -= alpha q; returns the sum of r r."""
    nz, ny, nx = t.shape
    planes = np.zeros(nz)
    for k in prange(1, nz - 1):
        for j in range(1, ny - 1):
            tt, pp, rr, qq = t[k, j], p[k, j], r[k, j], q[k, j]
            row = t.dtype.type(0)
            for i in range(1, nx - 1):
                tt[i] += alpha * pp[i]
                v = rr[i] - alpha * qq[i]
                rr[i] = v
                row += v * v
            planes[k] += row
    return planes.sum()


@GridLoop
def new_direction(p, z, beta):  # type: ignore[no-untyped-def]
    """p = z + beta p."""
    nz, ny, nx = p.shape
    for k in prange(1, nz - 1):
        for j in range(1, ny - 1):
            pp, zz = p[k, j], z[k, j]
            for i in range(1, nx - 1):
                pp[i] = zz[i] + beta * pp[i]


@GridLoop
def square_sum(a):  # type: ignore[no-untyped-def]
    """Sum of squares over the real cells."""
    nz, ny, nx = a.shape
    planes = np.zeros(nz)
    for k in prange(1, nz - 1):
        for j in range(1, ny - 1):
            c = a[k, j]
            row = a.dtype.type(0)
            for i in range(1, nx - 1):
                row += c[i] * c[i]
            planes[k] += row
    return planes.sum()
