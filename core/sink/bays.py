"""The roofed bays between walls: tunnels open at the ends, cut out of a block under its closed top.

A bay's cross-section is a house: straight walls and a gable whose slopes carry themselves. Along the bay the
gable follows the top, a skin below its lowest place. A bay is only cut where both walls beside it stand in
full, and only when powder can leave it at one end at least.
"""

from dataclasses import replace
from itertools import pairwise

import manifold3d as m3d
import numpy as np
import shapely

from core.part.triangle_tree import TriangleTree
from core.sink.footprint import LEAST_WIDTH_MM
from core.sink.sink_choice import NECK_HEIGHT_MM, SinkChoice
from core.sink.solid import to_manifold
from core.sink.wall_layout import Bay
from core.units import BoolArray, FloatArray, IntArray

STATION_MM = 1.0
LEAST_DOOR_MM = 0.8
"""Least height of a bay's straight wall; lower bays would hold powder (common practice, no source)."""
LEAST_HALF_MM = 0.25
"""Bays narrower than twice this stay solid; they would hold powder (common practice, no source)."""
LEAST_SHARE = 0.65
"""Share of a wall's thickness that must stand inside the outline."""
WAY_OUT_MM = 8.0
"""How far a bay may be lengthened past its last full station to reach the open."""
LEAST_ROOF_DEG = 46.0
"""Roofs are cut at least this steep: at 45° exactly, rounding to float32 and welding turn slivers flatter."""
FOLLOW_MM = 0.2
"""The gable lies at most this much lower than its stations allow; straight stretches then need no stations between."""


def as_cut(choice: SinkChoice) -> SinkChoice:
    """The choice with a roof that is still self-supporting once the solid is rounded and welded."""
    return replace(choice, roof_deg=max(choice.roof_deg, LEAST_ROOF_DEG))


def bays_solid(
    bays: list[Bay], polygon: shapely.Polygon, top: TriangleTree, choice: SinkChoice
) -> m3d.Manifold:
    """What to cut out of the block over a plan outline whose top triangles are given as a tree; may be empty.

    The tunnels are joined to one body first, as they cross each other, overlap, or meet end to end.
    """
    tunnels: list[m3d.Manifold] = []
    shapely.prepare(polygon)
    for bay in bays:
        v = np.arange(bay.v_range_mm[0] - STATION_MM, bay.v_range_mm[1] + 2 * STATION_MM, STATION_MM)
        for run_v, apex in _runs(bay, v, polygon, top, choice):
            kept, heights = thinned(run_v, apex, bay.half_mm + bay.spread * run_v < LEAST_HALF_MM)
            tunnels.append(to_manifold(*_tunnel(bay, kept, heights, choice)))
    return m3d.Manifold.batch_boolean(tunnels, m3d.OpType.Add) if tunnels else m3d.Manifold()


def thinned(v: FloatArray, height: FloatArray, keep: BoolArray) -> tuple[FloatArray, FloatArray]:
    """Fewer stations (k,) and heights (k,), nowhere above the given polyline and at most FOLLOW_MM below it.

    v: (n,) ascending; keep: (n,) stations that stay. Halves at the worst place, as Douglas and Peucker (1973) did.
    """
    stays = keep.copy()
    stays[[0, -1]] = True
    fixed = np.flatnonzero(stays).tolist()
    spans = list(pairwise(fixed))
    while spans:
        a, b = spans.pop()
        off = np.abs(height[a : b + 1] - np.interp(v[a : b + 1], v[[a, b]], height[[a, b]]))
        worst = a + int(off.argmax())
        if off.max() > FOLLOW_MM / 2:
            stays[worst] = True
            spans += [(a, worst), (worst, b)]
    kept = height[stays]
    return v[stays], kept - max(0.0, float((np.interp(v, v[stays], kept) - height).max()))


def _runs(
    bay: Bay, v: FloatArray, polygon: shapely.Polygon, top: TriangleTree, choice: SinkChoice
) -> list[tuple[FloatArray, FloatArray]]:
    """Stretches of one bay that may be cut: stations (k,) and the height of the gable's apex there."""
    half = bay.half_mm + bay.spread * v
    wide = half >= LEAST_HALF_MM
    half = np.maximum(half, LEAST_HALF_MM)
    wall = choice.fin_thickness_mm
    # across the bay and into both walls beside it; a wall cut by the outline still counts while this much is left
    enough = max(min(wall, LEAST_WIDTH_MM), LEAST_SHARE * wall)
    across = np.linspace(-1, 1, 7)[None, :] * half[:, None]
    beside = half[:, None] + enough * np.array([0.5, 1.0])
    u = np.concatenate([-beside, across, beside], axis=1)
    plan = _plan(bay, v, u)
    inside = shapely.contains_xy(polygon, plan[..., 0], plan[..., 1])
    below = np.concatenate([plan, np.full((*plan.shape[:2], 1), -1e3)], axis=2)
    height, _ = top.first_above(below.reshape(-1, 3))
    ceiling = height.reshape(inside.shape)[:, 2:-2].min(axis=1)  # inf where no top is above
    apex = np.minimum(ceiling, np.minimum(np.roll(ceiling, 1), np.roll(ceiling, -1))) - choice.skin_mm
    apex = np.minimum(apex, bay.ceiling_mm)
    room = wide & (apex - half * np.tan(np.radians(choice.roof_deg)) >= choice.bay_floor_mm + LEAST_DOOR_MM)
    outside = ~inside.any(axis=1)
    full = inside.all(axis=1) & room
    runs = [_open_run(v, apex, room, outside, first, last) for first, last in _stretches(full)]
    return [run for run in runs if run is not None]


def _open_run(
    v: FloatArray, apex: FloatArray, room: BoolArray, outside: BoolArray, first: int, last: int
) -> tuple[FloatArray, FloatArray] | None:
    """The stretch lengthened into the open at either end where the way out is clear; None when blind."""
    stations, tops = [v[first : last + 1]], [apex[first : last + 1]]
    doors = 0
    for step, end in ((-1, first), (1, last)):
        k = end
        while 0 <= k + step < len(v) and not outside[k] and room[k + step]:
            k += step
        if not outside[k] or abs(k - end) * STATION_MM > WAY_OUT_MM:
            continue
        doors += 1
        low = min(float(apex[np.arange(end, k + step, step)].min()), 1e6)
        way_out = np.array([v[end + step], v[k]]) if k != end + step else np.array([v[k]])
        at = 0 if step < 0 else len(stations)
        stations.insert(at, way_out[::step])
        tops.insert(at, np.full(len(way_out), low))
    if doors == 0:
        return None
    where, heights = np.concatenate(stations), np.concatenate(tops)
    if len(where) < 2:
        return None
    # a station's height must hold up to its neighbours, so each takes the lowest of the three around it
    around = np.minimum(np.append(heights[1:], np.inf), np.insert(heights[:-1], 0, np.inf))
    return where, np.minimum(heights, around)


def _tunnel(bay: Bay, v: FloatArray, apex: FloatArray, choice: SinkChoice) -> tuple[FloatArray, IntArray]:
    """A house-shaped tunnel along stations v (k,): vertices and triangles, up to the apex heights (k,).

    It starts below the plate, or on the foot; with a neck the walls beside it are cut back just above that.
    """
    slope = np.tan(np.radians(choice.roof_deg))
    half = np.maximum(bay.half_mm + bay.spread * v, 0.5 * LEAST_HALF_MM)
    shoulder = apex - half * slope
    floor = np.full(len(v), choice.foot_mm if choice.foot_mm else -1.0)
    widths, heights = [half, half], [floor, shoulder]
    if choice.neck_mm:
        cut = (choice.fin_thickness_mm - choice.neck_mm) / 2
        top = choice.foot_mm + NECK_HEIGHT_MM
        widths = [half + cut, half + cut, half, half]
        heights = [floor, np.full(len(v), top), np.full(len(v), top + cut * slope), shoulder]
    m = len(widths)
    u = np.stack([*widths, np.zeros(len(v)), *(-w for w in widths[::-1])], axis=1)
    z = np.stack([*heights, apex, *heights[::-1]], axis=1)
    vertices = np.concatenate([_plan(bay, v, u), z[..., None]], axis=2).reshape(-1, 3)
    n = 2 * m + 1
    ring = np.arange(n)
    after = (ring + 1) % n
    faces = []
    for s in range(len(v) - 1):
        a, b = n * s + ring, n * s + after
        faces += [np.stack([a, b + n, b], axis=1), np.stack([a, a + n, b + n], axis=1)]
    right, left = np.arange(m - 1), 2 * m - np.arange(m - 1)
    cap = np.concatenate(
        [np.stack([right, right + 1, left], axis=1), np.stack([right + 1, left - 1, left], axis=1), [[m - 1, m, m + 1]]]
    )
    triangles = np.concatenate([*faces, cap, (cap + n * (len(v) - 1))[:, ::-1]])
    return vertices, triangles[:, ::-1]


def _plan(bay: Bay, v: FloatArray, u: FloatArray) -> FloatArray:
    """(k, m, 2) places at stations v (k,) and offsets u (k, m) across the bay."""
    across = np.array([-bay.along[1], bay.along[0]])
    return np.asarray(bay.start_mm + v[:, None, None] * bay.along + u[..., None] * across)


def _stretches(good: BoolArray) -> list[tuple[int, int]]:
    change = np.flatnonzero(np.diff(np.concatenate([[False], good, [False]]).astype(np.int8)))
    return [(int(a), int(b) - 1) for a, b in change.reshape(-1, 2)]
