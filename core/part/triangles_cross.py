"""Do two triangles cut through each other?"""

import numpy as np

from core.compiled import kernel
from core.units import FloatArray


@kernel
def _normal(t: FloatArray, out: FloatArray) -> tuple[float, float]:
    """Write the unit normal of triangle t (3, 3) to out (3,); returns twice its area and its longest edge."""
    ux, uy, uz = t[1, 0] - t[0, 0], t[1, 1] - t[0, 1], t[1, 2] - t[0, 2]
    vx, vy, vz = t[2, 0] - t[0, 0], t[2, 1] - t[0, 1], t[2, 2] - t[0, 2]
    wx, wy, wz = vx - ux, vy - uy, vz - uz
    x, y, z = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
    area = np.sqrt(x * x + y * y + z * z)
    longest = max(ux * ux + uy * uy + uz * uz, vx * vx + vy * vy + vz * vz, wx * wx + wy * wy + wz * wz)
    if area > 0.0:
        out[0], out[1], out[2] = x / area, y / area, z / area
    return area, np.sqrt(longest)


@kernel
def _distances(t: FloatArray, point: FloatArray, normal: FloatArray, out: FloatArray) -> tuple[float, float]:
    """Write the distances of t's corners from the plane to out (3,); returns the lowest and the highest."""
    for i in range(3):
        out[i] = normal[0] * (t[i, 0] - point[0]) + normal[1] * (t[i, 1] - point[1]) + normal[2] * (t[i, 2] - point[2])
    return min(out[0], out[1], out[2]), max(out[0], out[1], out[2])


@kernel
def _interval(p: FloatArray, d: FloatArray) -> tuple[float, float]:
    """Where a triangle cuts a plane: p (3,) places along the cutting line, d (3,) distances, on both sides."""
    if (d[0] >= 0) != (d[1] >= 0) and (d[0] >= 0) != (d[2] >= 0):
        a, b, c = 0, 1, 2
    elif (d[1] >= 0) != (d[0] >= 0) and (d[1] >= 0) != (d[2] >= 0):
        a, b, c = 1, 0, 2
    else:
        a, b, c = 2, 0, 1
    s = p[a] + (p[b] - p[a]) * d[a] / (d[a] - d[b])
    t = p[a] + (p[c] - p[a]) * d[a] / (d[a] - d[c])
    return min(s, t), max(s, t)


@kernel
def _overlap_clearly(p: FloatArray, q: FloatArray, normal: FloatArray, depth: float) -> bool:
    """True when two triangles (3, 3) of one plane overlap deeper than `depth`, by separating axes."""
    for which in range(2):
        t = p if which == 0 else q
        for i in range(3):
            j = (i + 1) % 3
            ex, ey, ez = t[j, 0] - t[i, 0], t[j, 1] - t[i, 1], t[j, 2] - t[i, 2]
            x = ey * normal[2] - ez * normal[1]
            y = ez * normal[0] - ex * normal[2]
            z = ex * normal[1] - ey * normal[0]
            length = np.sqrt(x * x + y * y + z * z)
            if length == 0.0:
                continue
            low_p, high_p, low_q, high_q = np.inf, -np.inf, np.inf, -np.inf
            for k in range(3):
                at_p = x * (p[k, 0] - t[i, 0]) + y * (p[k, 1] - t[i, 1]) + z * (p[k, 2] - t[i, 2])
                at_q = x * (q[k, 0] - t[i, 0]) + y * (q[k, 1] - t[i, 1]) + z * (q[k, 2] - t[i, 2])
                low_p, high_p = min(low_p, at_p), max(high_p, at_p)
                low_q, high_q = min(low_q, at_q), max(high_q, at_q)
            if min(high_p, high_q) - max(low_p, low_q) <= depth * length:
                return False
    return True


@kernel
def cross_each_other(p: FloatArray, q: FloatArray, tolerance: float, scratch: FloatArray) -> bool:
    """True when triangles p and q (3, 3) cut through each other, or lie on each other facing the same way.

    They cut when each has corners clearly on both sides of the other's plane, and the pieces of the common line
    inside each overlap clearly (after Möller, A fast triangle-triangle intersection test, 1997).
    scratch: (6, 3), overwritten.
    """
    n, m, dp, dq, at_p, at_q = scratch[0], scratch[1], scratch[2], scratch[3], scratch[4], scratch[5]
    area, longest = _normal(p, n)
    if area <= tolerance * longest:
        return False
    low_q, high_q = _distances(q, p[0], n, dq)
    if low_q > tolerance or high_q < -tolerance:
        return False
    area, longest = _normal(q, m)
    if area <= tolerance * longest:
        return False
    low_p, high_p = _distances(p, q[0], m, dp)
    if low_q >= -tolerance and high_q <= tolerance and low_p >= -tolerance and high_p <= tolerance:
        same_way = n[0] * m[0] + n[1] * m[1] + n[2] * m[2] > 0.0
        return bool(same_way and _overlap_clearly(p, q, n, 10.0 * tolerance))
    if not (low_q < -tolerance and high_q > tolerance and low_p < -tolerance and high_p > tolerance):
        return False
    x, y, z = n[1] * m[2] - n[2] * m[1], n[2] * m[0] - n[0] * m[2], n[0] * m[1] - n[1] * m[0]
    length = np.sqrt(x * x + y * y + z * z)
    if length < 1e-9:
        return False
    for i in range(3):
        at_p[i] = (x * (p[i, 0] - p[0, 0]) + y * (p[i, 1] - p[0, 1]) + z * (p[i, 2] - p[0, 2])) / length
        at_q[i] = (x * (q[i, 0] - p[0, 0]) + y * (q[i, 1] - p[0, 1]) + z * (q[i, 2] - p[0, 2])) / length
    low_p, high_p = _interval(at_p, dp)
    low_q, high_q = _interval(at_q, dq)
    return bool(min(high_p, high_q) - max(low_p, low_q) > tolerance)
