"""Gather low-angle faces into patches and measure what an engineer asks about each."""

import numpy as np

from core.compiled import kernel
from core.part.islands import lowest_points_in_mid_air
from core.part.patch import Patch
from core.units import BoolArray, FloatArray, IntArray

FLAT_DEG = 0.01
"""Angles below this count as a flat ceiling: float32 files can't say more."""
PLATE_MM = 0.02
"""Faces whose corners all lie this near to z = 0 lie on the build plate."""
TINY_MM2 = 0.05
_LEVEL = 1e-3
"""Least rise of a face per mm across an edge that counts as going up or down."""


@kernel
def connected_faces(across: IntArray, chosen: BoolArray) -> tuple[IntArray, int]:
    """(n,) int32 group of each chosen face, numbered by lowest face, -1 for others; and the number of groups."""
    n = len(across)
    group = np.full(n, -1, np.int32)
    stack = np.empty(n, np.int32)
    count = 0
    for seed in range(n):
        if not chosen[seed] or group[seed] >= 0:
            continue
        group[seed] = count
        stack[0] = seed
        top = 1
        while top > 0:
            top -= 1
            f = stack[top]
            for i in range(3):
                g = across[f, i]
                if g >= 0 and chosen[g] and group[g] < 0:
                    group[g] = count
                    stack[top] = g
                    top += 1
        count += 1
    return group, count


@kernel
def _rise(points: FloatArray, a: int, b: int, c: int) -> float:
    """Rise in mm per mm of the face (a, b, c), going from edge a b square to it towards c."""
    e = points[b] - points[a]
    w = points[c] - points[a]
    length2 = e[0] * e[0] + e[1] * e[1] + e[2] * e[2]
    if length2 == 0.0:
        return 0.0
    t = (w[0] * e[0] + w[1] * e[1] + w[2] * e[2]) / length2
    x, y, z = w[0] - t * e[0], w[1] - t * e[1], w[2] - t * e[2]
    far = np.sqrt(x * x + y * y + z * z)
    return z / far if far > 0.0 else 0.0


@kernel
def _start_edges(
    points: FloatArray,
    triangles: IntArray,
    across: IntArray,
    group: IntArray,
    slope: FloatArray,
    count: int,
    plate_mm: float,
    level: float,
) -> FloatArray:
    """(count,) mm of each group's outline where printing starts on powder; slope: (n,) sine of each face's angle."""
    length = np.zeros(count)
    for f in range(len(triangles)):
        own = group[f]
        if own < 0:
            continue
        for i in range(3):
            g = across[f, i]
            if g >= 0 and group[g] == own:
                continue
            a, b, c = triangles[f, i], triangles[f, (i + 1) % 3], triangles[f, (i + 2) % 3]
            if points[a, 2] <= plate_mm and points[b, 2] <= plate_mm:
                continue
            # a sloped face starts along its lower edges only; a flat ceiling starts everywhere at once
            if slope[f] > level and _rise(points, a, b, c) < 0.17 * slope[f]:
                continue
            if g >= 0:
                d = triangles[g, 0] + triangles[g, 1] + triangles[g, 2] - a - b
                if _rise(points, a, b, d) < -level:
                    continue
            e = points[b] - points[a]
            length[own] += np.sqrt(e[0] * e[0] + e[1] * e[1] + e[2] * e[2])
    return length


def patch_risk(
    lowest_deg: FloatArray,
    mean_deg: FloatArray,
    step_mm: FloatArray,
    area_mm2: FloatArray,
    is_island: BoolArray,
    max_angle_deg: float,
) -> FloatArray:
    """0 to 1, larger is worse; an ordering of our own (no source), to put the patch to look at first on top.

    0.35 (1 - mean angle / limit) + 0.25 s / (s + 0.2 mm) + 0.2 A / (A + 50 mm²) + 0.2 if it starts in mid-air,
    with the overhang step s and the area A; a twentieth of it below 0.05 mm².
    """
    flat = np.clip(1.0 - 0.5 * (mean_deg + lowest_deg) / max_angle_deg, 0.0, 1.0)
    step = np.where(np.isinf(step_mm), 1.0, step_mm / (np.where(np.isinf(step_mm), 0.0, step_mm) + 0.2))
    risk = 0.35 * flat + 0.25 * step + 0.2 * area_mm2 / (area_mm2 + 50.0) + 0.2 * is_island
    return np.where(area_mm2 < TINY_MM2, 0.05 * risk, risk)


def overhang_step_mm(angle_deg: FloatArray, layer_mm: float) -> FloatArray:
    """Width each layer hangs over powder, t / tan(angle); infinite for a flat ceiling."""
    steep = angle_deg >= FLAT_DEG
    tangent = np.tan(np.radians(np.where(steep, angle_deg, 45.0)))
    return np.where(steep, layer_mm / tangent, np.inf)


def measure_patches(
    points: FloatArray,
    triangles: IntArray,
    across: IntArray,
    low: BoolArray,
    angle_deg: FloatArray,
    area_mm2: FloatArray,
    max_angle_deg: float,
    layer_mm: float,
) -> tuple[Patch, ...]:
    """The patches of the faces in `low`, worst first; ids are 1.. in order of the lowest triangle number.

    points: (n_vertices, 3) mm, placed. across: (n, 3) from face_neighbours. angle_deg, area_mm2: (n,).
    """
    group, count = connected_faces(across, low)
    if count == 0:
        return ()
    chosen = np.flatnonzero(group >= 0)
    order = chosen[np.argsort(group[chosen], kind="stable")].astype(np.int32)
    of = group[order]
    start = np.searchsorted(of, np.arange(count))
    corners = points[triangles[order]]
    z = corners[:, :, 2]
    area, angle = area_mm2[order], angle_deg[order]
    total = np.asarray(np.bincount(of, weights=area, minlength=count), dtype=np.float64)
    safe = np.where(total > 0, total, 1.0)
    plan = np.bincount(of, weights=area * np.cos(np.radians(angle)), minlength=count)
    mean = np.bincount(of, weights=area * angle, minlength=count) / safe
    centres = corners.mean(axis=1)
    centre = np.stack([np.bincount(of, weights=area * centres[:, i], minlength=count) / safe for i in range(3)], axis=1)
    lowest = np.minimum.reduceat(np.where(area > 1e-9, angle, 180.0), start)
    lowest = np.where(lowest > 179.0, np.minimum.reduceat(angle, start), lowest)
    mean = np.where(total > 0, np.maximum(mean, lowest), lowest)
    z_min, z_max = np.minimum.reduceat(z.min(axis=1), start), np.maximum.reduceat(z.max(axis=1), start)
    step = overhang_step_mm(lowest, layer_mm)
    slope = np.sin(np.radians(angle_deg))
    edge = _start_edges(points, triangles, across, group, slope, count, PLATE_MM, _LEVEL)
    island = lowest_points_in_mid_air(points, triangles, order, of, z_min, PLATE_MM)
    risk = patch_risk(lowest, mean, step, total, island, max_angle_deg)
    ends = np.append(start[1:], len(order))
    patches = [
        Patch(
            id=k + 1,
            faces=order[start[k] : ends[k]],
            area_mm2=float(total[k]),
            plan_area_mm2=float(plan[k]),
            lowest_angle_deg=float(lowest[k]),
            mean_angle_deg=float(mean[k]),
            z_min_mm=float(z_min[k]),
            z_max_mm=float(z_max[k]),
            overhang_step_mm=float(step[k]),
            lowest_edge_mm=float(edge[k]),
            is_island=bool(island[k]),
            risk=float(risk[k]),
            centre_mm=(float(centre[k, 0]), float(centre[k, 1]), float(centre[k, 2])),
        )
        for k in range(count)
    ]
    return tuple(sorted(patches, key=lambda patch: (-patch.risk, patch.id)))
