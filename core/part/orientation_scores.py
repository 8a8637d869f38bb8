"""Score a part along many build directions: low-angle area, patches, columns under them, islands, height."""

from dataclasses import dataclass

import numba
import numpy as np

from core.compiled import kernel, parallel_kernel
from core.part.downskin import ANGLE_TOLERANCE_DEG
from core.part.face_neighbours import face_neighbours
from core.part.islands import LEVEL_MM
from core.part.orientation_columns import columns, crossings
from core.part.orientations import plan_axes
from core.part.part import Part
from core.part.patches import PLATE_MM, connected_faces
from core.progress import GoesOn, in_bites, never_stop
from core.units import BoolArray, FloatArray, IntArray

ROUGH_CELLS, FINE_CELLS = 80, 240
"""Cells along the longer plan side, for the first look at all directions and for the few that are left."""
LEAST_MM2 = 1.0
"""Smaller patches don't count for the rise; common practice, no source."""
BITE = 24
"""Directions between two reports."""


@dataclass(frozen=True, kw_only=True, eq=False)
class DirectionScores:
    """A row per build direction; all arrays (n,). Heights are above the plate, the part standing on it.

    low_angle_mm2: faces flatter than the limit that don't rest on the plate. column_mm3, column_mm: volume and
    greatest height of the columns under them, down to the plate or the part. over_mm2: plan area of columns that
    stand on the part. stuck_mm2: of those that leave neither down nor sideways. patch_mm: mean height of the
    highest patch of at least 1 mm², 0 for none. rest_mm2: what lies on the plate.
    """

    low_angle_mm2: FloatArray
    patches: FloatArray
    column_mm3: FloatArray
    column_mm: FloatArray
    plan_mm2: FloatArray
    over_mm2: FloatArray
    stuck_mm2: FloatArray
    islands: FloatArray
    height_mm: FloatArray
    patch_mm: FloatArray
    rest_mm2: FloatArray

    @property
    def removable(self) -> BoolArray:
        """(n,) True where all but a hundredth of the columns' plan area, or 1 mm², leaves down or sideways."""
        return np.asarray(self.stuck_mm2 <= np.maximum(0.01 * self.plan_mm2, LEAST_MM2))


def score_directions(
    part: Part,
    directions: FloatArray,
    max_angle_deg: float,
    gap_mm: float,
    *,
    cells: int = ROUGH_CELLS,
    goes_on: GoesOn = never_stop,
) -> DirectionScores:
    """Scores of build directions (n, 3), unit vectors in the part's own coordinates. Raises Stopped."""
    across = face_neighbours(part).across
    least = float(np.cos(np.radians(max_angle_deg - ANGLE_TOLERANCE_DEG)))
    points = np.ascontiguousarray(part.vertices_mm - part.low_mm)
    frames = np.array([[*plan_axes(u), u] for u in directions]).reshape(-1, 3, 3)
    rows = np.zeros((len(directions), 11))
    for bite in in_bites(len(directions), goes_on, BITE):
        _score_all(
            points, part.triangles, across, part.normals, part.areas_mm2, frames[bite], least, gap_mm, cells, rows[bite]
        )
    return DirectionScores(**dict(zip(DirectionScores.__dataclass_fields__, rows.T, strict=True)))


def joined(parts: list[DirectionScores]) -> DirectionScores:
    """Scores of several calls, one after the other."""
    names = DirectionScores.__dataclass_fields__
    return DirectionScores(**{name: np.concatenate([getattr(p, name) for p in parts]) for name in names})


@kernel
def _patch_facts(
    across: IntArray, low: BoolArray, triangles: IntArray, z: FloatArray, areas: FloatArray
) -> tuple[int, float]:
    """Number of patches, and mean height of the highest one of at least LEAST_MM2."""
    group, count = connected_faces(across, low)
    area, moment = np.zeros(count), np.zeros(count)
    for f in range(len(triangles)):
        if group[f] >= 0:
            middle = (z[triangles[f, 0]] + z[triangles[f, 1]] + z[triangles[f, 2]]) / 3.0
            area[group[f]] += areas[f]
            moment[group[f]] += areas[f] * middle
    highest = 0.0
    for g in range(count):
        if area[g] >= LEAST_MM2:
            highest = max(highest, moment[g] / area[g])
    return count, highest


@kernel
def _root(group: IntArray, v: int) -> int:
    while group[v] != v:
        group[v] = group[group[v]]
        v = group[v]
    return v


@kernel
def _join(group: IntArray, a: int, b: int) -> None:
    a, b = _root(group, a), _root(group, b)
    group[max(a, b)] = min(a, b)


@kernel
def _islands(z: FloatArray, triangles: IntArray, upward: FloatArray) -> int:
    """Lowest places that start in mid-air: none of their neighbours is lower, and metal lies above them.

    upward: (n_faces,) plan area, negative where a face looks down; the sum round a hollow that looks up is positive.
    """
    lower = np.zeros(len(z), np.bool_)
    for f in range(len(triangles)):
        a, b, c = triangles[f, 0], triangles[f, 1], triangles[f, 2]
        least = min(z[a], z[b], z[c]) + LEVEL_MM
        if z[a] > least:
            lower[a] = True
        if z[b] > least:
            lower[b] = True
        if z[c] > least:
            lower[c] = True
    lowest = np.empty(len(triangles), np.int32)  # faces round what may be a lowest place, few
    n = 0
    for f in range(len(triangles)):
        if not (lower[triangles[f, 0]] and lower[triangles[f, 1]] and lower[triangles[f, 2]]):
            lowest[n] = f
            n += 1
    group = np.arange(len(z)).astype(np.int32)
    for f in lowest[:n]:
        for i in range(3):
            a, b = triangles[f, i], triangles[f, (i + 1) % 3]
            if abs(z[a] - z[b]) <= LEVEL_MM:
                _join(group, a, b)
    around = np.zeros(len(z))
    for f in lowest[:n]:
        for i in range(3):
            a = triangles[f, i]
            root = _root(group, a)
            lower[root] = lower[root] or lower[a]
            around[root] += upward[f]
    n = 0
    for v in range(len(z)):
        if group[v] == v and not lower[v] and z[v] > PLATE_MM and around[v] < 0.0:
            n += 1
    return n


@kernel
def _score_one(
    points: FloatArray, triangles: IntArray, across: IntArray, normals: FloatArray, areas: FloatArray,
    frame: FloatArray, least: float, gap_mm: float, cells: int, row: FloatArray,
) -> None:  # fmt: skip
    turned = np.empty((len(points), 3))
    lowest, highest = np.full(3, np.inf), np.full(3, -np.inf)
    for v in range(len(points)):
        for i in range(3):
            at = points[v, 0] * frame[i, 0] + points[v, 1] * frame[i, 1] + points[v, 2] * frame[i, 2]
            turned[v, i] = at
            lowest[i] = min(lowest[i], at)
            highest[i] = max(highest[i], at)
    z = np.empty(len(points))
    for v in range(len(points)):
        for i in range(3):
            turned[v, i] -= lowest[i]
        z[v] = turned[v, 2]
    n = len(triangles)
    low, resting, upward = np.zeros(n, np.bool_), np.zeros(n, np.bool_), np.empty(n)
    area, rest = 0.0, 0.0
    for f in range(n):
        up = normals[f, 0] * frame[2, 0] + normals[f, 1] * frame[2, 1] + normals[f, 2] * frame[2, 2]
        upward[f] = up * areas[f]
        if z[triangles[f, 0]] <= PLATE_MM and z[triangles[f, 1]] <= PLATE_MM and z[triangles[f, 2]] <= PLATE_MM:
            resting[f] = True
            rest -= min(upward[f], 0.0)
        elif -up > least:
            low[f] = True
            area += areas[f]
    count, patch_mm = _patch_facts(across, low, triangles, z, areas)
    wide, deep = highest[0] - lowest[0], highest[1] - lowest[1]
    step = max(wide, deep, 1e-9) / cells
    nx, ny = max(int(np.ceil(wide / step)), 1), max(int(np.ceil(deep / step)), 1)
    row[0], row[1] = area, count
    if count:
        start, height, kind = crossings(turned, triangles, low, resting, step, nx, ny)
        row[2], row[4], row[5], row[6], row[3] = columns(start, height, kind, nx, ny, step, gap_mm)
    row[7] = _islands(z, triangles, upward)
    row[8], row[9], row[10] = highest[2] - lowest[2], patch_mm, rest


@parallel_kernel
def _score_all(
    points: FloatArray, triangles: IntArray, across: IntArray, normals: FloatArray, areas: FloatArray,
    frames: FloatArray, least: float, gap_mm: float, cells: int, rows: FloatArray,
) -> None:  # fmt: skip
    for k in numba.prange(len(frames)):
        _score_one(points, triangles, across, normals, areas, frames[k], least, gap_mm, cells, rows[k])
