"""Lines of the build plate: ground, grid, outline and the marked front edge."""

import numpy as np
import pyvista as pv

from core.part.place_on_plate import Plate
from core.units import FloatArray

GRID_MM = 10.0
BELOW_MM = 0.02
"""The ground is drawn this much below z = 0, so that faces on the plate stay clean."""


def _line_mesh(segments_mm: FloatArray) -> pv.PolyData:
    """segments_mm: (n, 2, 3) ends."""
    mesh = pv.PolyData(segments_mm.reshape(-1, 3).astype(np.float32))
    pairs = np.arange(2 * len(segments_mm)).reshape(-1, 2)
    mesh.lines = np.column_stack([np.full(len(segments_mm), 2), pairs]).ravel()
    return mesh


def plate_lines(low_mm: FloatArray, plate: Plate) -> tuple[pv.PolyData, pv.PolyData, pv.PolyData, FloatArray]:
    """Ground, grid with outline, front edge, and the place (3,) of the word that names the front.

    low_mm: (2,) front left corner of the plate in the part's coordinates.
    """
    width, depth = plate.size_mm
    x0, y0 = low_mm
    x1, y1 = x0 + width, y0 + depth
    z = -BELOW_MM
    ground = pv.PolyData.from_regular_faces(
        np.array([[x0, y0, z], [x1, y0, z], [x1, y1, z], [x0, y1, z]], dtype=np.float32),
        np.array([[0, 1, 2], [0, 2, 3]]),
    )
    step = GRID_MM
    while max(width, depth) / step > 60:
        step *= 5
    across = np.append(np.arange(x0, x1 - 1e-9, step), x1)
    along = np.append(np.arange(y0, y1 - 1e-9, step), y1)
    segments = [[[x, y0, z], [x, y1, z]] for x in across] + [[[x0, y, z], [x1, y, z]] for y in along]
    front = np.array([[[x0, y0, z], [x1, y0, z]]])
    return ground, _line_mesh(np.array(segments)), _line_mesh(front), np.array([(x0 + x1) / 2, y0, 0.0])
