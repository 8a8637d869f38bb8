"""Sensor fairing of Nordhaven Tidal: a thin cowl with a long, curved, low lower lip round its nose."""

import manifold3d as m3
import numpy as np
from scipy.integrate import dblquad, quad

from solids import Points, arc, closed_ring, hole_along_z, open_sweep, prism_along_x, prism_along_z

LONG, WIDE, WALL = 60.0, 37.0, 2.0
"""Half axes of the plan ellipse and wall thickness, mm."""
SEGMENTS = 630
LIP_Z, LIP_END_DEG = 15.0, 80.0
"""Height where the lip leaves the wall; the lip runs from -80 to +80 degrees of the ellipse parameter."""


def lip_slope_deg(t: np.ndarray | float) -> np.ndarray | float:
    """Angle of the lip's straight sections from the plate: 18.6 at the nose, 27.6 at both ends."""
    return 18.6 + 9.0 * (np.asarray(t) / np.radians(LIP_END_DEG)) ** 2


def lip_width_mm(t: np.ndarray | float) -> np.ndarray | float:
    """How far the lip stands out, in plan: 13 at the nose, 8 at both ends."""
    return 13.0 - 5.0 * (np.asarray(t) / np.radians(LIP_END_DEG)) ** 2


def plan_curve(t: np.ndarray, inset: np.ndarray | float = 0.0) -> Points:
    """(..., 2) point of the ellipse with both half axes shortened by the inset."""
    return np.stack([(LONG - inset) * np.cos(t), (WIDE - inset) * np.sin(t)], axis=-1)


def plan_normal(t: np.ndarray) -> Points:
    """(..., 2) outward unit normal of the outer ellipse."""
    normal = np.stack([WIDE * np.cos(t), LONG * np.sin(t)], axis=-1)
    return normal / np.linalg.norm(normal, axis=-1, keepdims=True)


def cowl() -> m3.Manifold:
    """Thin shell: upright to z = 28, then leaning in to 60 degrees from the plate, then an upright collar."""
    bend = arc((30.0, 28.0), 30.0, 180.0, 150.0, 12)
    top = bend[-1] + np.array([12.0, 12.0 * np.tan(np.radians(60.0))])
    outside = np.vstack([[[0.0, 0.0]], bend, [top, top + [0.0, 5.0]]])
    inside = outside + [WALL, 0.0]
    profile = np.vstack([outside, inside[::-1]])
    t = 2 * np.pi * np.arange(SEGMENTS) / SEGMENTS
    plan = plan_curve(t[:, None], profile[None, :, 0])
    z = np.broadcast_to(profile[None, :, 1:], (*plan.shape[:2], 1))
    return closed_ring(np.concatenate([plan, z], axis=2))


def lip() -> m3.Manifold:
    """The lip with a straight underside in every section, rooted 1.2 mm deep in the wall."""
    steps = round(2 * LIP_END_DEG * SEGMENTS / 360)
    t = np.radians(np.linspace(-LIP_END_DEG, LIP_END_DEG, steps + 1))
    width, rise = lip_width_mm(t), np.tan(np.radians(lip_slope_deg(t)))
    share = np.linspace(0.0, 1.0, 17)
    out = -1.2 + share * (width[:, None] + 1.2)
    under = np.stack([out, LIP_Z + out * rise[:, None]], axis=2)
    edge_z = LIP_Z + width * rise
    over = np.stack(
        [
            np.stack([width, edge_z + 1.2], axis=1),
            np.stack([width - 0.5, edge_z + 1.7], axis=1),
            np.stack([0.5 * width, np.maximum(LIP_Z + 6.0, edge_z + 1.8)], axis=1),
            np.stack([np.full_like(t, -1.2), np.full_like(t, LIP_Z + 9.0)], axis=1),
        ],
        axis=1,
    )
    section = np.concatenate([under, over], axis=1)
    plan = plan_curve(t)[:, None] + section[..., :1] * plan_normal(t)[:, None]
    return open_sweep(np.concatenate([plan, section[..., 1:]], axis=2))


def sensor_fairing() -> m3.Manifold:
    """Cowl, lip, three bolt lugs at the tail, two screw bosses inside, and a cable slot with a 55 degree roof."""
    added, cut = [cowl(), lip()], []
    for turn in (125.0, 180.0, 235.0):
        t = np.array(np.radians(turn))
        root, far = plan_curve(t) - 1.0 * plan_normal(t), plan_curve(t) + 6.5 * plan_normal(t)
        foot = [m3.CrossSection.circle(5.5, 96).translate(tuple(at)) for at in (root, far)]
        lug = m3.Manifold.extrude(m3.CrossSection.batch_hull(foot), 4.0)
        cut.append(hole_along_z(*far, 2.2, -1.0, 5.0))
        added.append(lug)
    for turn in (48.0, -48.0):
        t = np.array(np.radians(turn))
        at = plan_curve(t) - 5.0 * plan_normal(t)
        added.append(hole_along_z(*at, 4.5, 0.0, 12.0, 96))
        cut.append(hole_along_z(*at, 1.6, -1.0, 13.0, 96))
    inner = prism_along_z(plan_curve(2 * np.pi * np.arange(SEGMENTS) / SEGMENTS, WALL), -1.0, 28.0)
    lugs = [lug - inner for lug in added[2:5]]
    roof = 16.0 + 5.0 * np.tan(np.radians(55.0))
    cut.append(prism_along_x([(-5.0, 7.0), (5.0, 7.0), (5.0, 16.0), (0.0, roof), (-5.0, 16.0)], -70.0, -50.0))
    body = m3.Manifold.batch_boolean([*added[:2], *lugs, *added[5:]], m3.OpType.Add)
    return m3.Manifold.batch_boolean([body, *cut], m3.OpType.Subtract).simplify(1e-5)


def _speed(t: float) -> float:
    """Length along the ellipse per unit of t."""
    return float(np.hypot(LONG * np.sin(t), WIDE * np.cos(t)))


def lip_angle_deg(t: float, out: float) -> float:
    """True downskin angle of the lip: its height is z0 + u tan a(t), so with T the way along the offset curve

    slope^2 = tan^2 a + (u a' sec^2 a / (dT/dt))^2, dT/dt = speed + u * (turning of the normal).
    """
    half = np.radians(LIP_END_DEG)
    a = np.radians(float(lip_slope_deg(t)))
    bend = np.radians(2 * 9.0 * t / half**2)
    along = _speed(t) + out * LONG * WIDE / _speed(t) ** 2
    return float(np.degrees(np.arctan(np.hypot(np.tan(a), out * bend / np.cos(a) ** 2 / along))))


def lip_area_mm2() -> float:
    """Integral over the lip of (speed + u * turning) / cos(angle) du dt; the turning is L W / speed^2."""
    half = np.radians(LIP_END_DEG)

    def element(out: float, t: float) -> float:
        along = _speed(t) + out * LONG * WIDE / _speed(t) ** 2
        return float(along / np.cos(np.radians(lip_angle_deg(t, out))))

    return float(dblquad(element, -half, half, 0.0, lambda t: float(lip_width_mm(t)))[0])


def lip_length_mm() -> float:
    """Length of the line where the lip leaves the wall."""
    return float(quad(_speed, -np.radians(LIP_END_DEG), np.radians(LIP_END_DEG))[0])
