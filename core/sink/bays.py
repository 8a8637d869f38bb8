"""The roofed bays between walls: tunnels open at the ends, cut out of a block under its closed top.

A bay's cross-section is a house: straight walls and a gable whose slopes carry themselves. Along the bay the
gable follows the top, a skin below its lowest place. A bay is only cut where both walls beside it stand in
full, and only when powder can leave it at one end at least.
"""

from dataclasses import dataclass, replace
from itertools import pairwise

import manifold3d as m3d
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from core.part.triangle_tree import TriangleTree
from core.sink.bay_runs import LEAST_HALF_MM, Bay, Run, least_wall_mm, open_runs, stations
from core.sink.sink_choice import NECK_HEIGHT_MM, SinkChoice
from core.sink.slivers import OVERLAP_MM, rings_of, slivers
from core.sink.solid import to_manifold
from core.units import BoolArray, FloatArray, IntArray

LEAST_DOOR_MM = 0.8
"""Least height of a bay's straight wall; lower bays would hold powder (common practice, no source)."""
LIP_MM = 0.05
"""Roofs over slivers start this much below the wall beside, so that no two faces lie in one plane."""
LEAST_ROOF_DEG = 46.0
"""Roofs are cut at least this steep: at 45° exactly, rounding to float32 and welding turn slivers flatter."""
FOLLOW_MM = 0.2
"""The gable lies at most this much lower than its stations allow; straight stretches then need no stations between."""


def as_cut(choice: SinkChoice) -> SinkChoice:
    """The choice with a roof that is still self-supporting once the solid is rounded and welded."""
    return replace(choice, roof_deg=max(choice.roof_deg, LEAST_ROOF_DEG))


@dataclass(frozen=True, kw_only=True, eq=False)
class _Tunnel:
    """A stretch of a bay to be cut: stations v (k,) and the height of the gable's apex there."""

    bay: Bay
    v: FloatArray
    apex: FloatArray

    @property
    def half(self) -> FloatArray:
        """(k,) half-widths."""
        return np.asarray(np.maximum(self.bay.half_mm + self.bay.spread * self.v, 0.5 * LEAST_HALF_MM))

    @property
    def footprint(self) -> FloatArray:
        """(2 k, 2) ring of its plan outline."""
        sides = self.bay.plan(self.v, self.half[:, None] * np.array([-1.0, 1.0]))
        return np.concatenate([sides[:, 0], sides[::-1, 1]])


def bays_solid(bays: list[Bay], polygon: shapely.Polygon, top: TriangleTree, choice: SinkChoice) -> m3d.Manifold:
    """What to cut out of the block over a plan outline whose top triangles are given as a tree; may be empty.

    The tunnels are joined to one body first, as they cross each other, overlap, or meet end to end. Walls that they
    would leave too thin are cut away with them, first beside the bays, then beside the openings across.
    """
    shapely.prepare(polygon)
    solids: list[m3d.Manifold] = []
    region: BaseGeometry = polygon
    least = 0.98 * least_wall_mm(choice.fin_thickness_mm)
    neck_cut = (choice.fin_thickness_mm - choice.neck_mm) / 2 if choice.neck_mm else 0.0
    if neck_cut:
        least = min(least, 0.98 * choice.neck_mm)
    for across in (False, True):
        tunnels = [
            tunnel
            for bay in bays
            if np.isfinite(bay.ceiling_mm) == across
            for tunnel in _tunnels(bay, polygon, top, choice)
        ]
        if not tunnels:
            continue
        solids += [to_manifold(*_house(tunnel, choice)) for tunnel in tunnels]
        cut = shapely.union_all(shapely.polygons([shapely.linearrings(t.footprint) for t in tunnels]))
        if across:
            least = min(least, 0.98 * (choice.drain_pitch_mm - choice.drain_mm))
        thin = slivers(region, cut, least, neck_cut)
        if not thin.is_empty:
            solids.append(_under_roofs(thin, tunnels, least, choice))
        region = shapely.difference(region, shapely.union(cut, thin))
    return m3d.Manifold.batch_boolean(solids, m3d.OpType.Add) if solids else m3d.Manifold()


def _under_roofs(thin: BaseGeometry, tunnels: list[_Tunnel], least_mm: float, choice: SinkChoice) -> m3d.Manifold:
    """Slivers as solids, up to the roofs of the tunnels beside them, drawn on downwards."""
    near = [t for t in tunnels if shapely.distance(thin, shapely.Polygon(t.footprint)) < OVERLAP_MM]
    wider = [to_manifold(*_house(_drawn_out(t, least_mm, choice), choice, least_mm + 2 * OVERLAP_MM)) for t in near]
    upright = m3d.CrossSection(rings_of(thin), m3d.FillRule.EvenOdd).extrude(1e4).translate([0, 0, -2.0])
    return m3d.Manifold.batch_boolean(wider, m3d.OpType.Add) ^ upright


def _drawn_out(tunnel: _Tunnel, by_mm: float, choice: SinkChoice) -> _Tunnel:
    """The tunnel a little lower and that much longer at either end."""
    v = np.concatenate([[tunnel.v[0] - by_mm], tunnel.v, [tunnel.v[-1] + by_mm]])
    return replace(tunnel, v=v, apex=tunnel.apex[[0, *range(len(tunnel.apex)), -1]] - LIP_MM)


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


def _tunnels(bay: Bay, polygon: shapely.Polygon, top: TriangleTree, choice: SinkChoice) -> list[_Tunnel]:
    """The stretches of one bay that may be cut under a top, with no more stations than they need."""
    wall = choice.fin_thickness_mm
    at = stations(bay, polygon, wall)
    below = np.concatenate([at.plan, np.full((*at.plan.shape[:2], 1), -1e3)], axis=2)
    height, _ = top.first_above(below.reshape(-1, 3))
    ceiling = height.reshape(at.inside.shape)[:, 2:-2].min(axis=1)  # inf where no top is above
    apex = np.minimum(ceiling, np.minimum(np.roll(ceiling, 1), np.roll(ceiling, -1))) - choice.skin_mm
    apex = np.minimum(apex, bay.ceiling_mm)
    door = apex - at.half * np.tan(np.radians(choice.roof_deg)) - choice.bay_floor_mm
    tunnels = []
    for run in open_runs(at, at.wide & (door >= LEAST_DOOR_MM)):
        v, heights = _profile(at.v, apex, run)
        if len(v) > 1:
            v, heights = thinned(v, heights, bay.half_mm + bay.spread * v < LEAST_HALF_MM)
            tunnels.append(_Tunnel(bay=bay, v=v, apex=heights))
    return tunnels


def _profile(v: FloatArray, apex: FloatArray, run: Run) -> tuple[FloatArray, FloatArray]:
    """Stations and apex heights of a run; on the way out the gable keeps to the lowest height there."""
    places, tops = [v[run.first : run.last + 1]], [apex[run.first : run.last + 1]]
    for step, end, k in ((-1, run.first, run.opens[0]), (1, run.last, run.opens[1])):
        if k is None:
            continue
        low = min(float(apex[np.arange(end, k + step, step)].min()), 1e6)
        way_out = np.array([v[end + step], v[k]]) if k != end + step else np.array([v[k]])
        at = 0 if step < 0 else len(places)
        places.insert(at, way_out[::step])
        tops.insert(at, np.full(len(way_out), low))
    where, heights = np.concatenate(places), np.concatenate(tops)
    # a station's height must hold up to its neighbours, so each takes the lowest of the three around it
    around = np.minimum(np.append(heights[1:], np.inf), np.insert(heights[:-1], 0, np.inf))
    return where, np.minimum(heights, around)


def _house(tunnel: _Tunnel, choice: SinkChoice, wider_mm: float = 0.0) -> tuple[FloatArray, IntArray]:
    """A tunnel's vertices and triangles: a house up to the apex heights, wider each side where there is height for it.

    It starts below the plate, or on the foot; with a neck the walls beside it are cut back just above that.
    """
    v, apex = tunnel.v, tunnel.apex
    slope = np.tan(np.radians(choice.roof_deg))
    room = float((apex - choice.bay_floor_mm - tunnel.half * slope).min()) - 2 * LIP_MM
    half = tunnel.half + min(wider_mm, max(0.0, room / slope))
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
    vertices = np.concatenate([tunnel.bay.plan(v, u), z[..., None]], axis=2).reshape(-1, 3)
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
