"""Cut the polygons of a file into triangles: fans where they are convex, ear clipping where they aren't."""

import mapbox_earcut
import numpy as np

from core.compiled import kernel
from core.part.raw_mesh import check_triangle_count
from core.units import FloatArray, IntArray

NOT_PLANAR = 0.01
"""A polygon whose corners leave its mean plane by more than this share of its size gets a warning."""
_FAN, _EARS, _NOTHING = 0, 1, 2


@kernel
def _look_at(points: FloatArray, corners: IntArray, start: IntArray) -> tuple[IntArray, FloatArray, FloatArray]:
    """How to cut each polygon, its unit normal by Newell's method, and how far it leaves its plane (share)."""
    n = len(start) - 1
    way = np.zeros(n, np.int8)
    normal = np.zeros((n, 3))
    warp = np.zeros(n)
    for k in range(n):
        first, count = start[k], start[k + 1] - start[k]
        if count < 3:
            way[k] = _NOTHING
            continue
        x, y, z = 0.0, 0.0, 0.0
        o = points[corners[first]]
        for i in range(1, count - 1):
            a, b = points[corners[first + i]], points[corners[first + i + 1]]
            ux, uy, uz = a[0] - o[0], a[1] - o[1], a[2] - o[2]
            vx, vy, vz = b[0] - o[0], b[1] - o[1], b[2] - o[2]
            x += uy * vz - uz * vy
            y += uz * vx - ux * vz
            z += ux * vy - uy * vx
        length = np.sqrt(x * x + y * y + z * z)
        if length == 0.0:
            continue
        x, y, z = x / length, y / length, z / length
        normal[k, 0], normal[k, 1], normal[k, 2] = x, y, z
        if count == 3:
            continue
        low, high, far = 0.0, 0.0, 0.0
        for i in range(count):
            a = points[corners[first + i]]
            b = points[corners[first + (i + 1) % count]]
            c = points[corners[first + (i + 2) % count]]
            d = x * (a[0] - o[0]) + y * (a[1] - o[1]) + z * (a[2] - o[2])
            low, high = min(low, d), max(high, d)
            ux, uy, uz = b[0] - a[0], b[1] - a[1], b[2] - a[2]
            vx, vy, vz = c[0] - b[0], c[1] - b[1], c[2] - b[2]
            far = max(far, ux * ux + uy * uy + uz * uz)
            if x * (uy * vz - uz * vy) + y * (uz * vx - ux * vz) + z * (ux * vy - uy * vx) < 0.0:
                way[k] = _EARS
        for i in range(1, count - 1):
            a, b = points[corners[first + i]], points[corners[first + i + 1]]
            ux, uy, uz = a[0] - o[0], a[1] - o[1], a[2] - o[2]
            vx, vy, vz = b[0] - o[0], b[1] - o[1], b[2] - o[2]
            if x * (uy * vz - uz * vy) + y * (uz * vx - ux * vz) + z * (ux * vy - uy * vx) < 0.0:
                way[k] = _EARS  # winds round more than once, or is concave
        if far > 0.0:
            warp[k] = (high - low) / np.sqrt(far)
    return way, normal, warp


def _clip_ears(points: FloatArray, normal: FloatArray) -> IntArray:
    """(m, 3) corner numbers cutting one plane polygon, (n, 3) points in order round the normal; may be empty."""
    axis = int(np.argmax(np.abs(normal)))
    across, along = (axis + 1) % 3, (axis + 2) % 3
    flat = np.ascontiguousarray(points[:, [across, along]] if normal[axis] > 0 else points[:, [along, across]])
    flat = flat - flat.mean(axis=0)
    cut = (
        mapbox_earcut.triangulate_float64(flat, np.array([len(flat)], dtype=np.uint32)).reshape(-1, 3).astype(np.int64)
    )
    a, b, c = (flat[cut[:, i]] for i in range(3))
    area = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    return np.where((area < 0)[:, None], cut[:, ::-1], cut)


def cut_polygons(points: FloatArray, corners: IntArray, start: IntArray) -> tuple[IntArray, tuple[str, ...]]:
    """Triangles of polygons, in the polygons' order and turning the same way.

    points: (n, 3). corners: (m,) point numbers, checked; polygon k has corners[start[k]:start[k + 1]].
    Returns (t, 3) int32 and warnings about polygons that are bent, crossed or have fewer than three corners.
    """
    count = np.diff(start)
    check_triangle_count(int(np.maximum(count - 2, 0).sum()))
    warnings = []
    if (count == 3).all():
        return np.ascontiguousarray(corners.reshape(-1, 3), dtype=np.int32), ()
    way, normal, warp = _look_at(points, corners.astype(np.int64), start.astype(np.int64))
    pieces = np.where(way == _NOTHING, 0, count - 2)
    ears: dict[int, IntArray] = {}
    crossed = 0
    for k in np.flatnonzero(way == _EARS):
        own = corners[start[k] : start[k + 1]]
        cut = _clip_ears(points[own], normal[k])
        crossed += len(cut) != len(own) - 2
        ears[int(k)] = own[cut]
        pieces[k] = len(cut)
    first = np.concatenate([[0], np.cumsum(pieces)])
    triangles = np.empty((int(first[-1]), 3), dtype=np.int32)
    fan = np.flatnonzero(way == _FAN)
    of = np.repeat(fan, pieces[fan])
    step = np.arange(len(of)) - np.repeat(np.cumsum(pieces[fan]) - pieces[fan], pieces[fan])
    rows = first[of] + step
    triangles[rows, 0] = corners[start[of]]
    triangles[rows, 1] = corners[start[of] + step + 1]
    triangles[rows, 2] = corners[start[of] + step + 2]
    for face, cut in ears.items():
        triangles[first[face] : first[face + 1]] = cut
    if bent := int((warp > NOT_PLANAR).sum()):
        warnings.append(
            f"{bent:,} faces with four or more corners aren't flat; they were cut into triangles as they are."
        )
    if crossed:
        warnings.append(
            f"{crossed:,} faces have an outline that crosses or touches itself; look at them before building."
        )
    if few := int((count < 3).sum()):
        warnings.append(f"{few:,} faces with fewer than three corners were left out.")
    return triangles, tuple(warnings)
