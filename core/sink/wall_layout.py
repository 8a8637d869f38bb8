"""Where a sink's walls run in plan: side by side, or fanned out around the point a curved patch turns about.

Walls run across the lowest edge, along the slope of the patch. What is laid out are the bays between them.
"""

from dataclasses import dataclass, replace

import numpy as np
import shapely

from core.sink.bay_runs import Bay, cut_area_mm2
from core.sink.sink_choice import SinkChoice
from core.sink.wall_direction import ways_off_blade
from core.units import FloatArray

LEVEL = 0.05
"""A patch whose mean slope (as sine of the angle) is below this counts as level: it has no lowest edge."""
ONE_WAY = 0.97
"""Slopes agreeing better than this (length of their mean direction) get walls side by side."""
WIDEST = 1.5
"""At the wide end of a fan the walls may stand this much farther apart than asked."""
CHORDS = 101
EAR_SHARE, LEAST_EAR_MM = 0.25, 0.1
"""What lies beside an outline's body, shorter along the walls than this share of the longest line in it, is an ear."""
WORTH = 1.25
"""Ears are left out of a layout that then gives this much more plan area of bays."""
MOST_DRAINS = 400
"""Holes through walls by cross openings, at most."""
KEPT_SHARE = 0.85
"""Walls are turned only where their bays keep this share of their plan area; gables make that a quarter by volume."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Slopes:
    """How a patch leans, face by face: centres (n, 2), horizontal part of the outward normals (n, 2), areas (n,)."""

    centres_mm: FloatArray
    lean: FloatArray
    area_mm2: FloatArray


def bay_layout(
    choice: SinkChoice, polygon: shapely.Polygon, slopes: Slopes, blade_deg: float | None = None
) -> list[Bay]:
    """Bays for a plan outline; empty for a block or where no bay fits.

    blade_deg: plan direction of the recoater blade, which walls side by side keep off unless the choice says theirs.
    """
    if not choice.wall_pitch_mm:
        return []
    if choice.direction_deg is not None:
        return _side_by_side(choice, polygon, choice.direction_deg)
    weight = slopes.area_mm2[:, None]
    mean = (slopes.lean * weight).sum(axis=0) / weight.sum()
    steep = (np.linalg.norm(slopes.lean, axis=1) * slopes.area_mm2).sum() / weight.sum()
    if steep > LEVEL and np.hypot(*mean) < ONE_WAY * steep:
        centre = _turning_point(slopes)
        if centre is not None:
            return _fan(choice, polygon, centre)
    leans = np.hypot(*mean) > LEVEL
    own = float(np.degrees(np.arctan2(mean[1], mean[0]))) if leans else _short_side_deg(polygon)
    return _off_the_blade(choice, polygon, own, blade_deg)


def _off_the_blade(choice: SinkChoice, polygon: shapely.Polygon, own_deg: float, blade_deg: float | None) -> list[Bay]:
    """Bays in their own direction or, near the blade's, off it to the near or far side where that costs little."""
    own = _side_by_side(choice, polygon, own_deg)
    directions = () if blade_deg is None else ways_off_blade(own_deg, blade_deg)
    wall = choice.fin_thickness_mm
    least = KEPT_SHARE * cut_area_mm2(own, polygon, wall) if directions else 0.0
    for taken in directions:
        bays = _side_by_side(choice, polygon, taken)
        if cut_area_mm2(bays, polygon, wall) >= least:
            return [replace(bay, turned_deg=taken - own_deg) for bay in bays]
    return own


def _side_by_side(choice: SinkChoice, polygon: shapely.Polygon, direction_deg: float) -> list[Bay]:
    """Parallel bays that share the outline's width evenly, so that the outermost walls stand at the rim.

    Where the outline has ears, its width without them is shared, if that gives clearly more room for bays.
    """
    turn = np.radians(direction_deg)
    along, across = np.array([np.cos(turn), np.sin(turn)]), np.array([-np.sin(turn), np.cos(turn)])
    ring = np.asarray(polygon.exterior.coords)
    u, v = ring @ across, ring @ along
    reach = (float(v.min()), float(v.max()))
    wall = choice.fin_thickness_mm

    def shared(low: float, high: float) -> list[Bay]:
        n_bays = int((high - low - wall) // choice.wall_pitch_mm)
        pitch = (high - low - wall) / max(n_bays, 1)
        middles = low + wall / 2 + pitch * (np.arange(n_bays) + 0.5)
        half = (pitch - wall) / 2
        return [Bay(start_mm=m * across, along=along, half_mm=half, spread=0.0, v_range_mm=reach) for m in middles]

    whole = shared(float(u.min()), float(u.max()))
    lines_u = np.linspace(u.min(), u.max(), CHORDS)
    ends = lines_u[:, None, None] * across + np.array([v.min() - 1, v.max() + 1])[:, None] * along
    chord = shapely.length(shapely.intersection(polygon, shapely.linestrings(ends)))
    body = lines_u[chord >= EAR_SHARE * chord.max()]
    if np.ptp(u) - np.ptp(body) < LEAST_EAR_MM:
        return whole
    narrow = shared(float(body[0]), float(body[-1]))
    room = cut_area_mm2(whole, polygon, wall)
    return narrow if cut_area_mm2(narrow, polygon, wall) > room * WORTH else whole


def drain_layout(choice: SinkChoice, polygon: shapely.Polygon, bays: list[Bay]) -> list[Bay]:
    """Low openings across parallel walls; none asked for, or walls in a fan, which are open at both ends, give none.

    They stand farther apart than asked where they would make more than MOST_DRAINS holes.
    """
    if not choice.drain_pitch_mm or not bays or any(bay.spread for bay in bays):
        return []
    along = bays[0].along
    across = np.array([-along[1], along[0]])
    ring = np.asarray(polygon.exterior.coords)
    u, v = ring @ across, ring @ along
    n = min(int(np.ptp(v) // choice.drain_pitch_mm), max(1, MOST_DRAINS // (len(bays) + 1)))
    middles = v.min() + np.ptp(v) / max(n, 1) * (np.arange(n) + 0.5)
    half = choice.drain_mm / 2
    ceiling = choice.bay_floor_mm + choice.drain_mm + half * np.tan(np.radians(choice.roof_deg))
    reach = (float(u.min()), float(u.max()))
    return [
        Bay(start_mm=middle * along, along=across, half_mm=half, spread=0.0, v_range_mm=reach, ceiling_mm=ceiling)
        for middle in middles
    ]


def drain_words(choice: SinkChoice, drains: list[Bay]) -> tuple[str, ...]:
    """A warning when the openings across stand at least 1.5 times as far apart as asked."""
    pitch = float(np.linalg.norm(drains[1].start_mm - drains[0].start_mm)) if len(drains) > 1 else 0.0
    if pitch <= 1.5 * choice.drain_pitch_mm:
        return ()
    return (
        f"Cross openings stand {pitch:.0f} mm apart instead of {choice.drain_pitch_mm:g} mm, as more than "
        f"{MOST_DRAINS} of them would make the sink unwieldy.",
    )


def _fan(choice: SinkChoice, polygon: shapely.Polygon, centre: FloatArray) -> list[Bay]:
    """Bays that widen away from a centre, with walls of even thickness between them."""
    ring = np.asarray(polygon.exterior.coords) - centre
    far = float(np.linalg.norm(ring, axis=1).max())
    near = float(shapely.distance(polygon, shapely.Point(centre)))
    middle = 0.5 * (near + far)
    pitch = min(choice.wall_pitch_mm, WIDEST * choice.wall_pitch_mm * middle / far)
    n_bays = max(6, round(2 * np.pi * middle / pitch))
    half_angle = np.pi / n_bays
    wall = choice.fin_thickness_mm
    bays = []
    for angle in 2 * half_angle * np.arange(n_bays):
        along = np.array([np.cos(angle), np.sin(angle)])
        bays.append(
            Bay(
                start_mm=centre,
                along=along,
                half_mm=-wall / 2 / np.cos(half_angle),
                spread=float(np.tan(half_angle)),
                v_range_mm=(near, far),
            )
        )
    return bays


def _turning_point(slopes: Slopes) -> FloatArray | None:
    """(2,) the point nearest to all slope lines (least squares), or None when they don't meet in one."""
    length = np.linalg.norm(slopes.lean, axis=1)
    use = length > LEVEL
    d, p, w = slopes.lean[use] / length[use, None], slopes.centres_mm[use], slopes.area_mm2[use] * length[use]
    off = np.eye(2) - d[:, :, None] * d[:, None, :]
    square = (off * w[:, None, None]).sum(axis=0)
    if np.linalg.cond(square) > 100:
        return None
    centre = np.linalg.solve(square, (off @ p[:, :, None] * w[:, None, None]).sum(axis=0)[:, 0])
    away = p - centre
    miss = np.sqrt((w * ((off @ away[:, :, None])[:, :, 0] ** 2).sum(axis=1)).sum() / w.sum())
    reach = np.sqrt((w * (away**2).sum(axis=1)).sum() / w.sum())
    return np.asarray(centre) if miss < 0.2 * reach else None


def _short_side_deg(polygon: shapely.Polygon) -> float:
    """Direction of the short side of the outline's tightest rectangle."""
    corners = np.asarray(polygon.minimum_rotated_rectangle.exterior.coords)
    sides = np.diff(corners[:3], axis=0)
    short = sides[np.argmin(np.linalg.norm(sides, axis=1))]
    return float(np.degrees(np.arctan2(short[1], short[0])))
