"""Hydraulic manifold block of Nordhaven Tidal with a horizontal bore whose ceiling is above the part itself."""

import manifold3d as m3
import numpy as np
from scipy.integrate import quad

from solids import arc, box, hole_along_z, prism_along_x, prism_along_z

LENGTH, WIDTH, HEIGHT = 90.0, 46.0, 44.0
BORE_RADIUS, BORE_Z = 9.0, 20.0
PORT_RADIUS = 4.5
PORTS_X = (18.0, 45.0, 72.0)
SEGMENTS = 192


def manifold_block() -> m3.Manifold:
    """Block with rounded upright edges, top chamfer, bore, three ports with spot faces, four mounting holes."""
    corner = 6.0
    middles = [(LENGTH - corner, WIDTH - corner), (corner, WIDTH - corner), (corner, corner), (LENGTH - corner, corner)]
    outline = np.vstack([arc(c, corner, 90.0 * k, 90.0 * k + 90.0, 24) for k, c in enumerate(middles)])
    body = prism_along_z(outline, 0.0, HEIGHT)
    slope = np.array([(0.0, 0.0), (WIDTH, 0.0), (WIDTH, HEIGHT - 2), (WIDTH - 2, HEIGHT), (2, HEIGHT), (0, HEIGHT - 2)])
    body ^= prism_along_x(slope, 0.0, LENGTH)
    bosses = [hole_along_z(x, WIDTH / 2, 10.5, HEIGHT - 1.0, HEIGHT + 3.0, SEGMENTS) for x in PORTS_X]
    bore = prism_along_x(arc((WIDTH / 2, BORE_Z), BORE_RADIUS, 0.0, 360.0, SEGMENTS)[:-1], -1.0, LENGTH + 1.0)
    cuts = [bore]
    for x in PORTS_X:
        cuts.append(hole_along_z(x, WIDTH / 2, PORT_RADIUS, BORE_Z, HEIGHT + 4.0, 250))
        cuts.append(hole_along_z(x, WIDTH / 2, 6.6, HEIGHT - 9.0, HEIGHT + 4.0, SEGMENTS))
    for x in (9.0, LENGTH - 9.0):
        for y in (7.5, WIDTH - 7.5):
            cuts.append(hole_along_z(x, y, 3.3, -1.0, HEIGHT + 1.0))
            cuts.append(hole_along_z(x, y, 5.5, HEIGHT - 7.0, HEIGHT + 1.0))
    for x in (31.5, 58.5):
        cuts.append(box((x - 1.5, -1.0, HEIGHT - 1.5), (x + 1.5, WIDTH + 1.0, HEIGHT + 1.0)))
    body = m3.Manifold.batch_boolean([body, *bosses], m3.OpType.Add)
    return m3.Manifold.batch_boolean([body, *cuts], m3.OpType.Subtract).simplify(1e-5)


def ceiling_area_mm2() -> float:
    """Bore faces flatter than 45 degrees: an eighth of the bore each side of the top, less the three ports.

    On a bore of radius R the angle from the plate is the angle from the top, so the strip is R (pi/2) wide. An
    upright port of radius p takes the integral over its disc of R / sqrt(R^2 - y^2), that is
    integral from -p to p of 2 sqrt(p^2 - y^2) R / sqrt(R^2 - y^2) dy. As meshed the strip is 48 chords wide:
    its 2 R sin(pi/N) each replace R (2 pi/N).
    """
    r, p = BORE_RADIUS, PORT_RADIUS
    strip = 48 * 2 * r * np.sin(np.pi / SEGMENTS) * LENGTH
    one_port = quad(lambda y: 2 * np.sqrt(p * p - y * y) * r / np.sqrt(r * r - y * y), -p, p)[0]
    return float(strip - len(PORTS_X) * one_port)
