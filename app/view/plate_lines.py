"""Lines of the build plate: ground, grid, outline and the marked front edge."""

import numpy as np
from vtkmodules.vtkCommonDataModel import vtkPolyData

from app.view.meshes import line_mesh, triangle_mesh
from core.part.place_on_plate import Plate
from core.units import FloatArray

GRID_MM = 10.0
BELOW_MM = 0.02
"""The ground is drawn this much below z = 0, so that faces on the plate stay clean."""


def plate_lines(low_mm: FloatArray, plate: Plate) -> tuple[vtkPolyData, vtkPolyData, vtkPolyData, vtkPolyData]:
    """Ground, grid, rim and front edge.

    low_mm: (2,) front left corner of the plate in the part's coordinates.
    """
    width, depth = plate.size_mm
    x0, y0 = low_mm
    x1, y1 = x0 + width, y0 + depth
    z = -BELOW_MM
    corners = np.array([[x0, y0, z], [x1, y0, z], [x1, y1, z], [x0, y1, z]], dtype=np.float32)
    ground = triangle_mesh(corners, np.array([[0, 1, 2], [0, 2, 3]]))
    step = GRID_MM
    while max(width, depth) / step > 60:
        step *= 5
    across = np.arange(x0 + step, x1 - 1e-9, step)
    along = np.arange(y0 + step, y1 - 1e-9, step)
    grid = [[[x, y0, z], [x, y1, z]] for x in across] + [[[x0, y, z], [x1, y, z]] for y in along]
    rim = np.stack([corners, np.roll(corners, -1, axis=0)], axis=1)
    return ground, line_mesh(np.array(grid).reshape(-1, 2, 3)), line_mesh(rim), line_mesh(rim[:1])
