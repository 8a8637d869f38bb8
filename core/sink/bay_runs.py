"""Where along a bay it may be cut: stretches with full walls beside them, led into the open at one end at least."""

from dataclasses import dataclass

import numpy as np
import shapely

from core.sink.footprint import LEAST_WIDTH_MM
from core.units import BoolArray, FloatArray

STATION_MM = 1.0
LEAST_HALF_MM = 0.25
"""Bays narrower than twice this stay solid; they would hold powder (common practice, no source)."""
LEAST_SHARE = 0.65
"""Share of a wall's thickness that must stand inside the outline."""
LEAST_SWEEP = 0.25
"""Where a bay leaves the outline, the rim must cross it at this slope (14°) at least: along a rim that runs beside
it the roof would begin in mid-air (our own choice, no source)."""
SLACK_MM = STATION_MM
"""By how much of the way the rim may be late."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Bay:
    """The clear room between two walls, seen in plan: an axis and a half-width that may grow along it.

    start_mm: (2,) where v = 0; along: (2,) unit direction of the axis; half_mm + spread * v is the half-width.
    """

    start_mm: FloatArray
    along: FloatArray
    half_mm: float
    spread: float
    v_range_mm: tuple[float, float]
    ceiling_mm: float = np.inf
    """The gable's apex stays below this height."""
    turned_deg: float = 0.0
    """How far the axis was turned to keep the walls off the recoater blade."""

    def plan(self, v: FloatArray, u: FloatArray) -> FloatArray:
        """(k, m, 2) places at stations v (k,) and offsets u (k, m) across the bay."""
        across = np.array([-self.along[1], self.along[0]])
        return np.asarray(self.start_mm + v[:, None, None] * self.along + u[..., None] * across)


@dataclass(frozen=True, kw_only=True, eq=False)
class Stations:
    """Places along a bay, from before the outline to past it.

    v: (k,) along the bay; half: (k,) half-widths there, wide: (k,) where that is enough; plan: (k, m, 2) places
    across the bay and, the first and last two, in the walls beside it; inside: (k, m) whether the outline holds them.
    """

    polygon: shapely.Polygon
    v: FloatArray
    half: FloatArray
    wide: BoolArray
    plan: FloatArray
    inside: BoolArray


@dataclass(frozen=True, kw_only=True)
class Run:
    """Numbers of the first and last station with full walls, and of those in the open where the bay ends; None where
    it is blind."""

    first: int
    last: int
    opens: tuple[int | None, int | None]


def least_wall_mm(wall_mm: float) -> float:
    """What must be left of a wall that the outline cuts."""
    return max(min(wall_mm, LEAST_WIDTH_MM), LEAST_SHARE * wall_mm)


def stations(bay: Bay, polygon: shapely.Polygon, wall_mm: float) -> Stations:
    """The places along a bay at which an outline is looked at."""
    v = np.arange(bay.v_range_mm[0] - STATION_MM, bay.v_range_mm[1] + 2 * STATION_MM, STATION_MM)
    half = bay.half_mm + bay.spread * v
    wide = half >= LEAST_HALF_MM
    half = np.maximum(half, LEAST_HALF_MM)
    across = np.linspace(-1, 1, 7)[None, :] * half[:, None]
    beside = half[:, None] + least_wall_mm(wall_mm) * np.array([0.5, 1.0])
    plan = bay.plan(v, np.concatenate([-beside, across, beside], axis=1))
    inside = shapely.contains_xy(polygon, plan[..., 0], plan[..., 1])
    return Stations(polygon=polygon, v=v, half=half, wide=wide, plan=plan, inside=inside)


def open_runs(at: Stations, room: BoolArray) -> list[Run]:
    """The stretches that may be cut, given where there is room (k,); those that open nowhere are left out."""
    full = at.inside.all(axis=1) & room
    change = np.flatnonzero(np.diff(np.concatenate([[False], full, [False]]).astype(np.int8)))
    runs = []
    for first, after in change.reshape(-1, 2).tolist():
        opens = _way_out(at, room, first, -1), _way_out(at, room, after - 1, 1)
        if opens != (None, None):
            runs.append(Run(first=first, last=after - 1, opens=opens))
    return runs


def _way_out(at: Stations, room: BoolArray, end: int, step: int) -> int | None:
    """The first station outside, past the end of a stretch, where the rim crosses the bay without lingering."""
    k = end
    while 0 <= k + step < len(room) and at.inside[k].any() and room[k + step]:
        k += step
    if at.inside[k].any():
        return None
    between = np.arange(end + step, k, step)
    lines = shapely.linestrings(at.plan[between][:, [0, -1]])
    left = shapely.length(lines) - shapely.length(shapely.intersection(at.polygon, lines))
    late = STATION_MM * np.arange(1, len(between) + 1) - SLACK_MM
    return k if (left >= LEAST_SWEEP * late).all() else None


def cut_area_mm2(bays: list[Bay], polygon: shapely.Polygon, wall_mm: float) -> float:
    """Plan area that the bays would take from an outline under a top that is high enough everywhere."""
    shapely.prepare(polygon)
    total = 0.0
    for bay in bays:
        at = stations(bay, polygon, wall_mm)
        area = 2 * at.half * STATION_MM * at.inside[:, 2:-2].mean(axis=1)
        for run in open_runs(at, at.wide):
            low, high = (end if k is None else k for k, end in zip(run.opens, (run.first, run.last), strict=True))
            total += float(area[low : high + 1].sum())
    return total
