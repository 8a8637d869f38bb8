"""Distance from a point to a triangle and between two triangles, in double precision.

Source of the point case: Ericson, Real-Time Collision Detection (2005), 5.1.5. Two triangles that don't cross
are nearest either at a corner of one against the other, or edge against edge.
"""

import numpy as np

from core.compiled import kernel


@kernel
def closest_on_triangle(corners, i, x, y, z):  # type: ignore[no-untyped-def]
    """Squared distance and nearest point of triangle corners[i] to (x, y, z)."""
    ax, ay, az = corners[i, 0, 0], corners[i, 0, 1], corners[i, 0, 2]
    abx, aby, abz = corners[i, 1, 0] - ax, corners[i, 1, 1] - ay, corners[i, 1, 2] - az
    acx, acy, acz = corners[i, 2, 0] - ax, corners[i, 2, 1] - ay, corners[i, 2, 2] - az
    apx, apy, apz = x - ax, y - ay, z - az
    d1, d2 = abx * apx + aby * apy + abz * apz, acx * apx + acy * apy + acz * apz
    aa = abx * abx + aby * aby + abz * abz
    cc = acx * acx + acy * acy + acz * acz
    ac = abx * acx + aby * acy + abz * acz
    d3, d4 = d1 - aa, d2 - ac
    d5, d6 = d1 - ac, d2 - cc
    vc, vb, va = d1 * d4 - d3 * d2, d5 * d2 - d1 * d6, d3 * d6 - d5 * d4
    if d1 <= 0 and d2 <= 0:
        s, t = 0.0, 0.0
    elif d3 >= 0 and d4 <= d3:
        s, t = 1.0, 0.0
    elif vc <= 0 and d1 >= 0 and d3 <= 0:
        s, t = d1 / (d1 - d3) if d1 != d3 else 0.0, 0.0
    elif d6 >= 0 and d5 <= d6:
        s, t = 0.0, 1.0
    elif vb <= 0 and d2 >= 0 and d6 <= 0:
        s, t = 0.0, d2 / (d2 - d6) if d2 != d6 else 0.0
    elif va <= 0 and d4 - d3 >= 0 and d5 - d6 >= 0:
        total = (d4 - d3) + (d5 - d6)
        t = (d4 - d3) / total if total != 0 else 0.0
        s = 1.0 - t
    else:
        total = va + vb + vc
        s, t = (vb / total, vc / total) if total != 0 else (0.0, 0.0)
    qx, qy, qz = ax + s * abx + t * acx, ay + s * aby + t * acy, az + s * abz + t * acz
    return (x - qx) ** 2 + (y - qy) ** 2 + (z - qz) ** 2, qx, qy, qz


@kernel
def _segment_distance_squared(p, i, a, b, q, j, c, d):  # type: ignore[no-untyped-def]
    """Squared distance between edge a-b of triangle p[i] and edge c-d of triangle q[j] (Ericson 5.1.9)."""
    ux, uy, uz = p[i, b, 0] - p[i, a, 0], p[i, b, 1] - p[i, a, 1], p[i, b, 2] - p[i, a, 2]
    vx, vy, vz = q[j, d, 0] - q[j, c, 0], q[j, d, 1] - q[j, c, 1], q[j, d, 2] - q[j, c, 2]
    rx, ry, rz = p[i, a, 0] - q[j, c, 0], p[i, a, 1] - q[j, c, 1], p[i, a, 2] - q[j, c, 2]
    uu, vv = ux * ux + uy * uy + uz * uz, vx * vx + vy * vy + vz * vz
    ur, vr, uv = ux * rx + uy * ry + uz * rz, vx * rx + vy * ry + vz * rz, ux * vx + uy * vy + uz * vz
    s, t = 0.0, 0.0
    if uu > 0 and vv > 0:
        denominator = uu * vv - uv * uv
        if denominator > 0:
            s = min(max((uv * vr - ur * vv) / denominator, 0.0), 1.0)
        t = (uv * s + vr) / vv
        if t < 0:
            t, s = 0.0, min(max(-ur / uu, 0.0), 1.0)
        elif t > 1:
            t, s = 1.0, min(max((uv - ur) / uu, 0.0), 1.0)
    elif uu > 0:
        s = min(max(-ur / uu, 0.0), 1.0)
    elif vv > 0:
        t = min(max(vr / vv, 0.0), 1.0)
    dx, dy, dz = rx + s * ux - t * vx, ry + s * uy - t * vy, rz + s * uz - t * vz
    return dx * dx + dy * dy + dz * dz


@kernel
def _edge_pierces(p, i, a, b, q, j):  # type: ignore[no-untyped-def]
    """True when edge a-b of triangle p[i] goes through triangle q[j].

    The point where the edge meets the plane is taken on the edge itself, so that edges lying almost in the plane
    of a triangle they don't touch give no false alarm.
    """
    ux, uy, uz = q[j, 1, 0] - q[j, 0, 0], q[j, 1, 1] - q[j, 0, 1], q[j, 1, 2] - q[j, 0, 2]
    vx, vy, vz = q[j, 2, 0] - q[j, 0, 0], q[j, 2, 1] - q[j, 0, 1], q[j, 2, 2] - q[j, 0, 2]
    nx, ny, nz = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
    square = nx * nx + ny * ny + nz * nz
    ax, ay, az = p[i, a, 0] - q[j, 0, 0], p[i, a, 1] - q[j, 0, 1], p[i, a, 2] - q[j, 0, 2]
    bx, by, bz = p[i, b, 0] - q[j, 0, 0], p[i, b, 1] - q[j, 0, 1], p[i, b, 2] - q[j, 0, 2]
    above, below = nx * ax + ny * ay + nz * az, nx * bx + ny * by + nz * bz
    if square == 0 or above == below or above * below > 0:
        return False
    t = above / (above - below)
    x, y, z = ax + t * (bx - ax), ay + t * (by - ay), az + t * (bz - az)
    # barycentric coordinates of the meeting point
    s1 = ((y * vz - z * vy) * nx + (z * vx - x * vz) * ny + (x * vy - y * vx) * nz) / square
    s2 = ((uy * z - uz * y) * nx + (uz * x - ux * z) * ny + (ux * y - uy * x) * nz) / square
    return s1 >= 0 and s2 >= 0 and s1 + s2 <= 1


@kernel
def _plane_gap_squared(p, i, q, j):  # type: ignore[no-untyped-def]
    """Squared distance of triangle q[j] from the plane of p[i]; 0 when it meets the plane. A lower bound."""
    ux, uy, uz = p[i, 1, 0] - p[i, 0, 0], p[i, 1, 1] - p[i, 0, 1], p[i, 1, 2] - p[i, 0, 2]
    vx, vy, vz = p[i, 2, 0] - p[i, 0, 0], p[i, 2, 1] - p[i, 0, 1], p[i, 2, 2] - p[i, 0, 2]
    nx, ny, nz = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
    square = nx * nx + ny * ny + nz * nz
    if square == 0:
        return 0.0
    low, high = np.inf, -np.inf
    for k in range(3):
        away = nx * (q[j, k, 0] - p[i, 0, 0]) + ny * (q[j, k, 1] - p[i, 0, 1]) + nz * (q[j, k, 2] - p[i, 0, 2])
        low, high = min(low, away), max(high, away)
    if low > 0:
        return low * low / square
    if high < 0:
        return high * high / square
    return 0.0


@kernel
def triangle_distance_squared(p, i, q, j, bound):  # type: ignore[no-untyped-def]
    """Squared distance between triangles p[i] and q[j]; 0 when they cross, the bound when it isn't less."""
    beside = _plane_gap_squared(p, i, q, j)
    if beside >= bound:
        return bound
    beside = max(beside, _plane_gap_squared(q, j, p, i))
    if beside >= bound:
        return bound
    best = bound
    for k in range(3):
        d, _, _, _ = closest_on_triangle(p, i, q[j, k, 0], q[j, k, 1], q[j, k, 2])
        best = min(best, d)
        d, _, _, _ = closest_on_triangle(q, j, p[i, k, 0], p[i, k, 1], p[i, k, 2])
        best = min(best, d)
    for a in range(3):
        for c in range(3):
            best = min(best, _segment_distance_squared(p, i, a, (a + 1) % 3, q, j, c, (c + 1) % 3))
    if beside == 0 and best > 0:  # neither lies wholly on one side of the other
        for a in range(3):
            if _edge_pierces(p, i, a, (a + 1) % 3, q, j) or _edge_pierces(q, j, a, (a + 1) % 3, p, i):
                return 0.0
    return best
