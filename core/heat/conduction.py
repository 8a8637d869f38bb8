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
def inverse_diagonal(g_x, g_y, g_z, own, out):  # type: ignore[no-untyped-def]
    """out = 1/diagonal of A; 0 where a cell has no link at all."""
    nz, ny, nx = own.shape
    for k in prange(1, nz - 1):
        for j in range(1, ny - 1):
            o, d = out[k, j], own[k, j]
            x, s, n, low, high = g_x[k, j], g_y[k, j], g_y[k, j + 1], g_z[k, j], g_z[k + 1, j]
            for i in range(1, nx - 1):
                total = x[i] + x[i + 1] + s[i] + n[i] + low[i] + high[i] + d[i]
                o[i] = 1 / total if total > 0 else 0


@GridLoop
def two_sweeps(g_x, g_y, g_z, inverse, b, out, first, second):  # type: ignore[no-untyped-def]
    """out = two Jacobi sweeps with these weights from zero: the first gives first*b/D, on the fly at all neighbours."""
    nz, ny, nx = b.shape
    for k in prange(1, nz - 1):
        for j in range(1, ny - 1):
            c, o, m = b[k, j], out[k, j], inverse[k, j]
            south, north, down, up = b[k, j - 1], b[k, j + 1], b[k - 1, j], b[k + 1, j]
            ms, mn, md, mu = inverse[k, j - 1], inverse[k, j + 1], inverse[k - 1, j], inverse[k + 1, j]
            x, s, n, low, high = g_x[k, j], g_y[k, j], g_y[k, j + 1], g_z[k, j], g_z[k + 1, j]
            for i in range(1, nx - 1):
                near = (
                    x[i] * c[i - 1] * m[i - 1] + x[i + 1] * c[i + 1] * m[i + 1] + s[i] * south[i] * ms[i]
                    + n[i] * north[i] * mn[i] + low[i] * down[i] * md[i] + high[i] * up[i] * mu[i]
                )  # fmt: skip
                o[i] = m[i] * (first * c[i] + second * ((1 - first) * c[i] + first * near))


@GridLoop
def sweep_dot(g_x, g_y, g_z, inverse, b, t, out, weight):  # type: ignore[no-untyped-def]
    """out = t + weight (b - A t)/D; returns the sum of b out."""
    nz, ny, nx = t.shape
    planes = np.zeros(nz)
    for k in prange(1, nz - 1):
        for j in range(1, ny - 1):
            c, o, r, m = t[k, j], out[k, j], b[k, j], inverse[k, j]
            south, north, down, up = t[k, j - 1], t[k, j + 1], t[k - 1, j], t[k + 1, j]
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
            planes[k] += row
    return planes.sum()


@GridLoop
def residual_restricted(g_x, g_y, g_z, own, b, t, coarse):  # type: ignore[no-untyped-def]
    """coarse = sums of b - A t over 2 x 2 x 2 cells."""
    nz, ny, nx = t.shape
    mz, my, mx = coarse.shape
    for kk in prange(1, mz - 1):
        line = np.zeros(nx + 1, t.dtype)
        for jj in range(1, my - 1):
            q = coarse[kk, jj]
            q[:] = 0
            for k in range(2 * kk - 1, min(2 * kk + 1, nz - 1)):
                for j in range(2 * jj - 1, min(2 * jj + 1, ny - 1)):
                    c, r, d = t[k, j], b[k, j], own[k, j]
                    south, north, down, up = t[k, j - 1], t[k, j + 1], t[k - 1, j], t[k + 1, j]
                    x, s, n, low, high = g_x[k, j], g_y[k, j], g_y[k, j + 1], g_z[k, j], g_z[k + 1, j]
                    for i in range(1, nx - 1):
                        line[i] = r[i] - (
                            x[i] * (c[i] - c[i - 1]) + x[i + 1] * (c[i] - c[i + 1]) + s[i] * (c[i] - south[i])
                            + n[i] * (c[i] - north[i]) + low[i] * (c[i] - down[i]) + high[i] * (c[i] - up[i])
                            + d[i] * c[i]
                        )  # fmt: skip
                    for ii in range(1, mx - 1):
                        q[ii] += line[2 * ii - 1] + line[2 * ii]


@GridLoop
def prolong_add(coarse, t):  # type: ignore[no-untyped-def]
    """Every cell gets its coarse cell's value added."""
    nz, ny, nx = t.shape
    for k in prange(1, nz - 1):
        for j in range(1, ny - 1):
            row, q = t[k, j], coarse[(k + 1) // 2, (j + 1) // 2]
            for ii in range(1, (nx - 2) // 2 + 1):
                row[2 * ii - 1] += q[ii]
                row[2 * ii] += q[ii]
            if nx % 2:
                row[nx - 2] += q[(nx - 1) // 2]


@GridLoop
def coarse_links(g_x, g_y, g_z, own, coarse_x, coarse_y, coarse_z, coarse_own):  # type: ignore[no-untyped-def]
    """Links of 2 x 2 x 2 cells: half the sum across the common face; own is the plain sum.

    The half makes up for constant interpolation, which sees jumps where the truth is a slope.
    """
    nz, ny, nx = own.shape
    mz, my, mx = coarse_own.shape
    for kk in prange(1, mz - 1):
        for jj in range(1, my - 1):
            for ii in range(1, mx - 1):
                x = y = z = d = 0.0
                for k in range(2 * kk - 1, min(2 * kk + 1, nz - 1)):
                    for j in range(2 * jj - 1, min(2 * jj + 1, ny - 1)):
                        x += g_x[k, j, 2 * ii - 1]
                        for i in range(2 * ii - 1, min(2 * ii + 1, nx - 1)):
                            d += own[k, j, i]
                            if j == 2 * jj - 1:
                                y += g_y[k, j, i]
                            if k == 2 * kk - 1:
                                z += g_z[k, j, i]
                coarse_x[kk, jj, ii], coarse_y[kk, jj, ii], coarse_z[kk, jj, ii] = 0.5 * x, 0.5 * y, 0.5 * z
                coarse_own[kk, jj, ii] = d


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
