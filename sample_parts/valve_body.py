"""Valve body of Nordhaven Tidal: a closed-floor room with a 25 degree ceiling, open only by smaller ports."""

import manifold3d as m3
import numpy as np

from solids import arc, hole_along_z, prism_along_x, prism_along_z, revolved

ROOM_RADIUS, STEM_RADIUS = 19.0, 6.0
FLOOR_Z, CEILING_Z, TOP_Z = 8.0, 34.0, 54.0
CEILING_DEG = 25.0
SEGMENTS = 384


def valve_body() -> m3.Manifold:
    """Foot flange, barrel, bonnet flange on a 50 degree cone, inlet pad with a drop-shaped port, stem bore."""
    rise = 6.0 * np.tan(np.radians(50.0))
    outside = [(0.01, 0.0), (27.0, 0.0), (27.0, 38.0), (33.0, 38.0 + rise), (33.0, TOP_Z - 1.0), (32.0, TOP_Z)]
    barrel = revolved(np.array([*outside, (0.01, TOP_Z)]), SEGMENTS) + hole_along_z(0, 0, 5.0, 0.0, TOP_Z, SEGMENTS)
    corner = [(28.0, 28.0), (-28.0, 28.0), (-28.0, -28.0), (28.0, -28.0)]
    foot = prism_along_z(np.vstack([arc(c, 8.0, 90.0 * k, 90.0 * k + 90, 32) for k, c in enumerate(corner)]), 0.0, 7.0)
    pad = prism_along_x(np.vstack([[(-14.0, 0.0), (14.0, 0.0)], arc((0.0, 20.0), 14.0, 0.0, 180.0, 128)]), 18.0, 44.0)
    body = m3.Manifold.batch_boolean([barrel, foot, pad], m3.OpType.Add)
    cone_z = CEILING_Z + (ROOM_RADIUS - STEM_RADIUS) * np.tan(np.radians(CEILING_DEG))
    room = [(0.0, FLOOR_Z), (ROOM_RADIUS, FLOOR_Z), (ROOM_RADIUS, CEILING_Z), (STEM_RADIUS, cone_z)]
    stem = [(STEM_RADIUS, TOP_Z - 7.0), (9.0, TOP_Z - 7.0), (9.0, TOP_Z + 1.0), (0.0, TOP_Z + 1.0)]
    inside = np.array([*room, *stem])
    inside[[0, -1], 0] = 0.01
    cuts = [revolved(inside, SEGMENTS), hole_along_z(0, 0, 5.0, FLOOR_Z, TOP_Z + 1.0, SEGMENTS)]
    drop = np.vstack([arc((0.0, 20.0), 6.5, 140.0, 400.0, 120), [(0.0, 20.0 + 6.5 / np.cos(np.radians(50.0)))]])
    cuts.append(prism_along_x(drop, 5.0, 50.0))
    for turn in np.radians([45.0, 135.0, 225.0, 315.0]):
        cuts.append(hole_along_z(28.0 * np.cos(turn), 28.0 * np.sin(turn), 1.7, TOP_Z - 9.0, TOP_Z + 1.0))
        cuts.append(hole_along_z(28.5 * np.sign(np.cos(turn)), 28.5 * np.sign(np.sin(turn)), 3.5, -1.0, 8.0))
    for y in (-10.5, 10.5):
        for z in (9.5,):
            bolt = arc((y, z), 1.25, 140.0, 400.0, 60)
            peak = [(y, z + 1.25 / np.cos(np.radians(50.0)))]
            cuts.append(prism_along_x(np.vstack([bolt, peak]), 34.0, 45.0))
    return m3.Manifold.batch_boolean([body, *cuts], m3.OpType.Subtract).simplify(1e-5)


def ceiling_area_mm2() -> float:
    """The ceiling is a frustum: pi (r1 + r2) (r2 - r1) / cos A; as meshed each of N sides is a trapezium.

    Mean width (r1 + r2) sin(pi/N), slant sqrt(((r2 - r1) cos(pi/N))^2 + h^2) with h = (r2 - r1) tan A.
    """
    half = np.pi / SEGMENTS
    wide = ROOM_RADIUS - STEM_RADIUS
    slant = np.hypot(wide * np.cos(half), wide * np.tan(np.radians(CEILING_DEG)))
    return float(SEGMENTS * (ROOM_RADIUS + STEM_RADIUS) * np.sin(half) * slant)
