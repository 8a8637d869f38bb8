"""Build directions to try: evenly over the sphere, square to the part's flat sides, and along sealing faces."""

import numpy as np

from core.part.part import Part
from core.refusal import Refusal
from core.units import BoolArray, FloatArray, IntArray

GOLDEN = (1.0 + np.sqrt(5.0)) / 2.0
FLAT_SHARE = 0.005
"""A side counts as flat and large when faces of one normal make up this share of the surface."""
MOST_SIDES = 24
SAME_SIDE = 200.0
"""Normals are gathered in boxes of 1/200."""
NEVER_DEG = 0.02
"""A face that must not look down may lean by less than this: angles are rounded to 0.01° about two axes."""
MOST_NORMALS = 48
CIRCLE = 144
"""Directions tried round a side whose opposite must not look down either: one every 2.5°."""


def fibonacci_directions(n: int) -> FloatArray:
    """(n, 3) unit vectors spread evenly over the whole sphere; a direction and its opposite are different builds.

    Equal steps in height, each turned on by the golden angle; half a step from the poles. No place is further from
    the nearest one than about 2.8/√n rad (Hardin, Michaels, Saff, Dolomites Res. Notes Approx. 9, 2016; from memory).
    """
    if not 1 <= n <= 100_000:
        raise Refusal(f"{n} build directions are out of range; set 1 to 100000.")
    step = np.arange(n)
    z = 1.0 - (2.0 * step + 1.0) / n
    turn = 2.0 * np.pi * np.mod(step / GOLDEN, 1.0)
    flat = np.sqrt(1.0 - z * z)
    return np.column_stack([flat * np.cos(turn), flat * np.sin(turn), z])


def flat_side_directions(part: Part) -> FloatArray:
    """(n, 3) the six axes of the file, and both ways square to each large flat side of the part."""
    axes = np.concatenate([np.eye(3), -np.eye(3)])
    sides, areas = _sides(part.normals, part.areas_mm2)
    large = np.argsort(-areas, kind="stable")[:MOST_SIDES]
    large = large[areas[large] >= FLAT_SHARE * areas.sum()]
    return without_twins(np.concatenate([axes, sides[large], -sides[large]]))


def _sides(normals: FloatArray, areas: FloatArray) -> tuple[FloatArray, FloatArray]:
    """(n, 3) mean normals of the faces that look alike, and (n,) their areas."""
    real = areas > 0
    if not real.any():
        return np.zeros((0, 3)), np.zeros(0)
    _, side = np.unique(np.round(normals[real] * SAME_SIDE).astype(np.int64), axis=0, return_inverse=True)
    side = side.ravel()
    sums = np.stack([np.bincount(side, weights=areas[real] * normals[real, i]) for i in range(3)], axis=1)
    length = np.linalg.norm(sums, axis=1)
    return sums / np.where(length > 0, length, 1.0)[:, None], np.asarray(np.bincount(side, weights=areas[real]))


def without_twins(directions: FloatArray) -> FloatArray:
    """(m, 3) the directions without those that repeat an earlier one within 0.05°."""
    kept: list[FloatArray] = []
    for direction in directions:
        if not kept or float((np.array(kept) @ direction).max()) < np.cos(np.radians(0.05)):
            kept.append(direction)
    return np.array(kept).reshape(-1, 3)


def directions_along(normals: FloatArray, areas: FloatArray) -> FloatArray:
    """(n, 3) directions at the rim of what faces that must not look down allow, and means of those.

    normals: (m, 3) of these faces. A bore leaves only its axis, two opposite sides only a circle: evenly spread
    directions miss such. Those that turn one of the faces down are to be taken out with `looks_down`.
    """
    sides, _ = _sides(normals, areas)
    if len(sides) > MOST_NORMALS:
        sides = sides[np.linspace(0, len(sides) - 1, MOST_NORMALS).astype(int)]
    first, second = np.triu_indices(len(sides), 1)
    rims = np.cross(sides[first], sides[second])
    length = np.linalg.norm(rims, axis=1)
    rims = rims[length > 1e-3] / length[length > 1e-3, None]
    found = [sides, rims, -rims]
    opposite = (sides[first] * sides[second]).sum(axis=1) < -1.0 + 1e-6
    for side in sides[first[opposite]][:4]:
        found.append(_circle(side))
    allowed = np.concatenate(found)
    allowed = allowed[~looks_down(allowed, sides)]
    middle = allowed.sum(axis=0)
    if np.linalg.norm(middle) > 1e-6:
        middle = middle / np.linalg.norm(middle)
        between = allowed + middle
        long = np.linalg.norm(between, axis=1)
        between = between[long > 1e-6] / long[long > 1e-6, None]
        allowed = np.concatenate([middle[None], allowed, between])
    return without_twins(allowed)


def _circle(normal: FloatArray) -> FloatArray:
    """(CIRCLE, 3) directions square to a normal."""
    across, along = plan_axes(normal)
    turn = np.linspace(0.0, 2.0 * np.pi, CIRCLE, endpoint=False)
    return np.outer(np.cos(turn), across) + np.outer(np.sin(turn), along)


def looks_down(directions: FloatArray, normals: FloatArray) -> BoolArray:
    """(n,) True where building along a direction (n, 3) turns any of the normals (m, 3) down."""
    if not len(normals):
        return np.zeros(len(directions), dtype=bool)
    most = -np.sin(np.radians(NEVER_DEG))
    return np.array([bool((normals @ direction).min() < most) for direction in directions], dtype=bool)


def plan_axes(direction: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Two unit vectors square to a direction and to each other."""
    axis = np.eye(3)[int(np.argmin(np.abs(direction)))]
    across = np.cross(direction, axis)
    across /= np.linalg.norm(across)
    return across, np.cross(direction, across)


def turn_for(direction: FloatArray) -> tuple[float, float, float]:
    """Turns about X and Y, in whole hundredths of a degree, that bring a direction (3,) of the file upright."""
    x, y, z = (float(v) for v in direction)
    about_x = float(np.degrees(np.arctan2(y, z))) if np.hypot(y, z) > 1e-9 else 0.0
    about_y = float(np.degrees(np.arctan2(-x, np.hypot(y, z))))
    return round(about_x, 2) + 0.0, round(about_y, 2) + 0.0, 0.0


def neighbours_of(directions: FloatArray, reach_rad: float, start_rad: float = 0.0) -> FloatArray:
    """(6 n, 3) six directions round each of (n, 3), all so far off."""
    around = []
    for direction in directions:
        across, along = plan_axes(direction)
        turn = start_rad + np.arange(6) * np.pi / 3
        ring = np.outer(np.cos(turn), across) + np.outer(np.sin(turn), along)
        around.append(np.cos(reach_rad) * direction + np.sin(reach_rad) * ring)
    return np.concatenate(around) if around else np.zeros((0, 3))


def faces_of_runs(runs: tuple[tuple[int, int], ...]) -> IntArray:
    """(n,) int32 face numbers of runs (first, last)."""
    first, last = np.array(runs, dtype=np.int64).reshape(-1, 2).T
    lengths = last - first + 1
    before = np.cumsum(lengths) - lengths
    return (np.repeat(first - before, lengths) + np.arange(lengths.sum())).astype(np.int32)
