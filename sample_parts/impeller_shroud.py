"""Pump impeller shroud of Nordhaven Tidal: stands on its eye, flares out to a 20 degree underside."""

import manifold3d as m3
import numpy as np

from solids import Points, arc, prism_along_z, revolved

EYE_RADIUS, WALL, RIM_RADIUS = 26.0, 3.0, 58.0
FLARE_RADIUS, FLARE_Z = 22.0, 14.0
LOWEST_DEG = 20.0
SEGMENTS = 480
GROOVES_Z = (2.5, 5.5, 8.5)


def flare(offset: float) -> Points:
    """(n, 2) line (r, z) from the eye (upright) over a 1 degree polygon to 20 degrees, then straight to the rim.

    offset: 0 is the underside, WALL the flow side (2 degree steps). A tangent that rises with the angle A above the
    plate touches the arc at centre + R (-sin A, cos A).
    """
    radius = FLARE_RADIUS + offset
    bend = arc((EYE_RADIUS + FLARE_RADIUS, FLARE_Z), radius, 180.0, 90.0 + LOWEST_DEG, 70 if offset == 0 else 35)
    r, z = bend[-1]
    rim = [RIM_RADIUS, z + (RIM_RADIUS - r) * np.tan(np.radians(LOWEST_DEG))]
    return np.vstack([bend, rim])


def eye_outside() -> Points:
    """(n, 2) outside of the eye with three labyrinth grooves whose roofs rise at 60 degrees."""
    line = [(EYE_RADIUS, 0.0)]
    for z in GROOVES_Z:
        roof = np.tan(np.radians(60.0))
        line += [(EYE_RADIUS, z), (EYE_RADIUS - 1.0, z + 0.6), (EYE_RADIUS, z + 0.6 + roof)]
    return np.array(line)


def blades(count: int = 7) -> m3.Manifold:
    """Backward-curved blades on the flow side, 2.2 mm thick."""
    r = np.linspace(29.0, 56.5, 48)
    turn = 1.15 * np.log(r / r[0])
    middle = np.stack([r * np.cos(turn), r * np.sin(turn)], axis=1)
    along = np.gradient(middle, axis=0)
    side = np.stack([-along[:, 1], along[:, 0]], axis=1) / np.linalg.norm(along, axis=1)[:, None]
    thick = np.interp(r, [29.0, 33.0, 56.5], [0.4, 1.1, 1.1])[:, None]
    outline = np.vstack([middle - thick * side, (middle + thick * side)[::-1]])
    one = prism_along_z(outline, 5.0, 60.0)
    every = m3.Manifold.batch_boolean([one.rotate((0.0, 0.0, 360.0 * k / count)) for k in range(count)], m3.OpType.Add)
    seat = flare(WALL / 2)
    room = np.vstack([seat[seat[:, 0] > 26.0][:-1], [[57.0, 43.0], [57.0, 51.0], [29.0, 46.0], [26.5, 40.0]]])
    return every ^ revolved(room, SEGMENTS)


def impeller_shroud() -> m3.Manifold:
    """The whole part, finely and evenly meshed."""
    under, over = flare(0.0), flare(WALL)
    rim_z = over[-1, 1]
    rim = np.array([[RIM_RADIUS, rim_z - 0.4], [RIM_RADIUS - 0.6, rim_z - 0.02]])
    profile = np.vstack([eye_outside(), under, rim, over[:-1][::-1], [[EYE_RADIUS - WALL, 0.0]]])
    return (revolved(profile, SEGMENTS) + blades()).simplify(1e-5)


def underside_area_mm2(limit_deg: float = 45.0) -> float:
    """Area of the faces flatter than the limit, as meshed: a sum of 480-sided frusta.

    A side of a frustum between r1 and r2 of height h is a trapezium: mean width (r1 + r2) sin(pi/N), slant
    sqrt(((r2 - r1) cos(pi/N))^2 + h^2). The true surface of revolution, 2 pi (integral of r ds), is larger by
    about (pi/N)^2 / 3 = 1.4e-5 of it.
    """
    line = flare(0.0)
    half = np.pi / SEGMENTS
    r1, z1, r2, z2 = *line[:-1].T, *line[1:].T
    run = (r2 - r1) * np.cos(half)
    flat = np.degrees(np.arctan2(z2 - z1, run)) < limit_deg
    side = (r1 + r2) * np.sin(half) * np.hypot(run, z2 - z1)
    return float(SEGMENTS * side[flat].sum())


def smooth_underside_area_mm2() -> float:
    """The same on the true surface: 2 pi (cone + arc), arc of R from 45 to 20 degrees about the centre r0.

    Arc: r(A) = r0 - R sin A, ds = R dA, so its integral of r ds is R (r0 (b - a) - R (cos a - cos b)), a = 20, b = 45.
    """
    a, b = np.radians(LOWEST_DEG), np.radians(45.0)
    r0 = EYE_RADIUS + FLARE_RADIUS
    bend = FLARE_RADIUS * (r0 * (b - a) - FLARE_RADIUS * (np.cos(a) - np.cos(b)))
    r = r0 - FLARE_RADIUS * np.sin(a)
    cone = 0.5 * (RIM_RADIUS + r) * (RIM_RADIUS - r) / np.cos(a)
    return float(2 * np.pi * (bend + cone))
