"""One cell of a coupon: a stem on the plate with a ledge whose underside has one angle, and a raised label on top."""

import math

import manifold3d as m3d
import numpy as np

from core.part.part import Part
from core.sink.solid import gated
from core.trial.stroke_font import raised_words, words_width_mm
from core.units import FloatArray, IntArray

STEM_MM, LEDGE_MM, WIDTH_MM = 4.0, 12.0, 10.0
"""Stem along x, ledge along x, both along y. The ledge is longer than l = sqrt(k t / h) of a thin one in steel."""
LENGTH_MM = STEM_MM + LEDGE_MM
TIP_MM = 1.5
"""Thickness of the ledge at its highest edge."""
ROOM_MM = 2.0
"""Room on the plate below the lowest edge's gap."""
LETTER_MM, LINE_MM, RAISED_MM, SUNK_MM = 2.4, 3.0, 0.4, 0.2
MARK_MM, MARK_BAR_MM, MARK_HIGH_MM = 9.0, 1.0, 2.0
REFERENCE = "REF"


def label_of(number: int, gap_mm: float | None, angle_deg: float) -> tuple[str, str, str]:
    """What stands on a cell: its number, its gap in mm or REF without a sink, its angle in degrees."""
    return f"C{number:02d}", REFERENCE if gap_mm is None else f"{gap_mm:.3f}".rstrip("0"), f"{angle_deg:g}"


def cell_part(label: tuple[str, ...], angle_deg: float, widest_gap_mm: float, at_mm: tuple[float, float]) -> Part:
    """The part of a cell with its low corner at a place on the plate, as it will be written (float32).

    widest_gap_mm: of the coupon, vertical: the ledge begins that and ROOM_MM above the plate.
    """
    low = ROOM_MM + widest_gap_mm
    high = low + LEDGE_MM * math.tan(math.radians(angle_deg))
    top = high + TIP_MM
    side = [(0, 0), (STEM_MM, 0), (STEM_MM, low), (LENGTH_MM, high), (LENGTH_MM, top), (0, top)]
    body = m3d.CrossSection([side]).extrude(WIDTH_MM).rotate((90, 0, 0)).translate((0, WIDTH_MM, 0))
    words = raised_words(label, LETTER_MM, LINE_MM, RAISED_MM + SUNK_MM)
    wide = max(words_width_mm(line, LETTER_MM) for line in label)
    tall = LINE_MM * (len(label) - 1) + LETTER_MM
    words = words.translate(((LENGTH_MM - wide) / 2, (WIDTH_MM - tall) / 2, top - SUNK_MM))
    vertices, triangles, _ = gated((body + words).translate((*at_mm, 0.0)))
    return Part(name=label[0], file_format="coupon", units="mm", vertices_mm=vertices, triangles=triangles)


def low_angle_faces(part: Part, angle_deg: float) -> IntArray:
    """(n,) the triangles of the ledge's underside: they look down at the angle, within 0.1°."""
    wanted = np.array([math.sin(math.radians(angle_deg)), 0.0, -math.cos(math.radians(angle_deg))])
    off_plate = part.corners_mm[:, :, 2].max(axis=1) > ROOM_MM / 2
    return np.flatnonzero(off_plate & (part.normals @ wanted > math.cos(math.radians(0.1)))).astype(np.int32)


def mark_solid(with_bar: bool, at_mm: tuple[float, float]) -> tuple[FloatArray, IntArray]:
    """A cross on the plate by which pictures are registered, its middle at a place; vertices and triangles.

    with_bar: a second bar across its right arm, so that a mirrored or turned picture shows.
    """
    bars = [(MARK_MM, MARK_BAR_MM, 0.0), (MARK_BAR_MM, MARK_MM, 0.0)]
    if with_bar:
        bars.append((MARK_BAR_MM, MARK_MM / 3, MARK_MM / 4))
    cross = m3d.Manifold.batch_boolean(
        [
            m3d.Manifold.cube((x, y, MARK_HIGH_MM)).translate((dx - x / 2, -y / 2, 0.0))
            for x, y, dx in bars
        ],
        m3d.OpType.Add,
    )
    vertices, triangles, _ = gated(cross.translate((*at_mm, 0.0)))
    return vertices, triangles
