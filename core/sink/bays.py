"""The roofed bays between fins: tunnels open at the ends, cut out of a block under its closed top.

A bay's cross-section is a house: straight walls and a gable whose slopes carry themselves. Along the bay the
gable follows the top, a skin below its lowest place. A bay is only cut where both fins beside it stand in full,
and only when powder can leave it at one end at least.
"""

import manifold3d as m3d
import numpy as np
import shapely

from core.part.triangle_tree import TriangleTree
from core.sink.sink_choice import SinkChoice
from core.sink.solid import to_manifold
from core.units import BoolArray, FloatArray, IntArray

STATION_MM = 1.0
LEAST_DOOR_MM = 0.8
"""Least height of a bay's straight wall; lower bays would hold powder (common practice, no source)."""


def bays(polygon: shapely.Polygon, top: TriangleTree, choice: SinkChoice, slope_xy: FloatArray) -> m3d.Manifold:
    """What to cut out of the block over a plan polygon whose top triangles are given as a tree; may be empty.

    slope_xy: (2,) mean horizontal direction the patch faces; walls run along it, across the lowest edge, unless
    the choice says otherwise.
    """
    if choice.kind == "block":
        return m3d.Manifold()
    along_deg = choice.direction_deg if choice.direction_deg is not None else _direction_deg(polygon, slope_xy)
    turn = np.radians(along_deg)
    along, across = np.array([np.cos(turn), np.sin(turn)]), np.array([-np.sin(turn), np.cos(turn)])
    ring = np.asarray(polygon.exterior.coords)
    (v0, v1), (u0, u1) = _range(ring @ along), _range(ring @ across)
    fin = choice.fin_thickness_mm
    n_bays = int((u1 - u0 - fin) // choice.wall_pitch_mm)
    if n_bays < 1:
        return m3d.Manifold()
    # the fins share the width evenly, so that the outermost ones stand at the rim
    pitch = (u1 - u0 - fin) / n_bays
    width = pitch - fin
    v = np.arange(v0 - STATION_MM, v1 + 2 * STATION_MM, STATION_MM)
    vertices: list[FloatArray] = []
    triangles: list[IntArray] = []
    count = 0
    for left in u0 + fin + pitch * np.arange(n_bays):
        for run_v, apex in _runs(polygon, top, v, left, width, fin, choice, along, across):
            corners, faces = _tunnel(run_v, apex, left, width, choice.roof_deg, along, across)
            vertices.append(corners)
            triangles.append(faces + count)
            count += len(corners)
    return to_manifold(np.concatenate(vertices), np.concatenate(triangles)) if count else m3d.Manifold()


def _runs(
    polygon: shapely.Polygon, top: TriangleTree, v: FloatArray, left: float, width: float, fin: float,
    choice: SinkChoice, along: FloatArray, across: FloatArray,
) -> list[tuple[FloatArray, FloatArray]]:  # fmt: skip
    """Stretches of one bay that may be cut: stations (k,) and the height of the gable's apex there."""
    # across the bay and both walls beside it; the outer corners are taken a little inside, as outlines aren't exact
    u = np.concatenate([left - fin * np.array([0.95, 0.5]), np.linspace(left, left + width, 7)])
    u = np.append(u, left + width + fin * np.array([0.5, 0.95]))
    plan = u[None, :, None] * across + v[:, None, None] * along
    inside = shapely.contains_xy(polygon, plan[..., 0], plan[..., 1])
    below = np.concatenate([plan, np.full((*plan.shape[:2], 1), -1e3)], axis=2)
    height, _ = top.first_above(below.reshape(-1, 3))
    ceiling = height.reshape(inside.shape)[:, 2:-2].min(axis=1)  # inf where no top is above
    spread = np.minimum(ceiling, np.minimum(np.roll(ceiling, 1), np.roll(ceiling, -1)))
    apex = spread - choice.skin_mm
    rise = width / 2 * np.tan(np.radians(choice.roof_deg))
    room = apex - rise >= LEAST_DOOR_MM
    outside = ~inside.any(axis=1)
    full = inside.all(axis=1) & room
    runs = [_open_run(v, apex, room, outside, first, last) for first, last in _stretches(full)]
    return [run for run in runs if run is not None]


def _open_run(
    v: FloatArray, apex: FloatArray, room: BoolArray, outside: BoolArray, first: int, last: int
) -> tuple[FloatArray, FloatArray] | None:
    """The stretch lengthened out of the polygon at either end where the way out is clear; None when blind."""
    stations, tops = [v[first : last + 1]], [apex[first : last + 1]]
    doors = 0
    for step, end in ((-1, first), (1, last)):
        k = end
        while 0 <= k + step < len(v) and not outside[k] and room[k + step]:
            k += step
        if outside[k] and abs(k - end) * STATION_MM <= 6:
            doors += 1
            way = np.arange(end + step, k + step, step)
            low = min(float(np.minimum(apex[way], 1e6).min()), float(apex[end]))
            far, near = v[k], v[end + step]
            way_out = np.array([near, far]) if k != end + step else np.array([far])
            if step < 0:
                stations.insert(0, way_out[::-1])
                tops.insert(0, np.full(len(way_out), low))
            else:
                stations.append(way_out)
                tops.append(np.full(len(way_out), low))
    if doors == 0 or last - first + doors < 1:
        return None
    where, heights = np.concatenate(stations), np.concatenate(tops)
    # a station's height must hold up to its neighbours, so each takes the lower of the two around it
    low_side = np.minimum(heights, np.minimum(np.append(heights[1:], np.inf), np.insert(heights[:-1], 0, np.inf)))
    return where, low_side


def _tunnel(
    v: FloatArray, apex: FloatArray, left: float, width: float, roof_deg: float, along: FloatArray, across: FloatArray
) -> tuple[FloatArray, IntArray]:
    """A house-shaped tunnel: vertices (5 k, 3) and triangles, from 1 mm below the plate up to the apex."""
    k = len(v)
    shoulder = apex - width / 2 * np.tan(np.radians(roof_deg))
    u = np.array([left, left + width, left + width, left + width / 2, left])
    z = np.stack([np.full(k, -1.0), np.full(k, -1.0), shoulder, apex, shoulder], axis=1)
    plan = u[None, :, None] * across + v[:, None, None] * along
    vertices = np.concatenate([plan, z[..., None]], axis=2).reshape(-1, 3)
    ring = np.arange(5)
    after = (ring + 1) % 5
    faces = []
    for s in range(k - 1):
        a, b = 5 * s + ring, 5 * s + after
        faces += [np.stack([a, b + 5, b], axis=1), np.stack([a, a + 5, b + 5], axis=1)]
    cap = np.array([[0, 1, 2], [0, 2, 4], [2, 3, 4]])
    triangles = np.concatenate([*faces, cap, (cap + 5 * (k - 1))[:, ::-1]])
    return vertices, triangles[:, ::-1]


def _direction_deg(polygon: shapely.Polygon, slope_xy: FloatArray) -> float:
    """Across the lowest edge when the patch slopes; else along the short side of the outline's tightest rectangle."""
    if np.hypot(*slope_xy) > 0.05:
        return float(np.degrees(np.arctan2(slope_xy[1], slope_xy[0])))
    corners = np.asarray(polygon.minimum_rotated_rectangle.exterior.coords)
    sides = np.diff(corners[:3], axis=0)
    short = sides[np.argmin(np.linalg.norm(sides, axis=1))]
    return float(np.degrees(np.arctan2(short[1], short[0])))


def _range(values: FloatArray) -> tuple[float, float]:
    return float(values.min()), float(values.max())


def _stretches(good: BoolArray) -> list[tuple[int, int]]:
    change = np.flatnonzero(np.diff(np.concatenate([[False], good, [False]]).astype(np.int8)))
    return [(int(a), int(b) - 1) for a, b in change.reshape(-1, 2)]
