"""Lines of the build plate: ground, grid, outline, the marked front edge, the recoater blade and its travel."""

import numpy as np
from vtkmodules.vtkCommonDataModel import vtkPolyData

from app.view.meshes import line_mesh, triangle_mesh
from core.part.place_on_plate import Plate
from core.units import FloatArray

GRID_MM = 10.0
BESIDE_SHARE, ARROW_SHARE = 0.12, 0.3
"""Room between part and blade, and length of the arrow of travel, as shares of the part's diagonal in plan."""
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


def blade_lines(
    low_mm: FloatArray, plate: Plate, part_ends_mm: tuple[FloatArray, FloatArray]
) -> tuple[vtkPolyData, FloatArray]:
    """The recoater blade as a line right across the plate, a little beside the part, with its travel as an arrow.

    The arrow has two heads, since a job knows the blade's direction but not the side it comes from.
    low_mm: (2,) as above. part_ends_mm: low and high corner of the part, (3,) each.
    Returns the lines and the (2, 3) ends of the blade.
    """
    angle = np.radians(plate.blade_deg)
    along, travel = np.array([np.cos(angle), np.sin(angle)]), np.array([np.sin(angle), -np.cos(angle)])
    if travel @ [1.0, 0.1] < 0:
        travel = -travel
    ends = np.array([end[:2] for end in part_ends_mm])
    corners = np.array([[x, y] for x in ends[:, 0] for y in ends[:, 1]])
    reach = float(np.linalg.norm(ends[1] - ends[0]))
    beside = float((corners @ travel).min()) - BESIDE_SHARE * reach
    size = np.array(plate.size_mm)
    rim = low_mm + np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * size
    inner = np.array([(rim @ travel).min(), (rim @ travel).max()]) + np.array([0.02, -0.02]) * size.max()
    at = float(np.clip(beside, *inner)) * travel
    blade = at + _within(at, along, low_mm, low_mm + size)[:, None] * along
    middle = at + along * float(np.clip((ends.mean(axis=0) - at) @ along, *np.sort((blade - at) @ along)))
    length = ARROW_SHARE * reach
    tail, head = middle - 0.5 * length * travel, middle + 0.5 * length * travel
    barb = 0.2 * length
    arrow = [[tail, head]]
    for tip, back in ((head, -travel), (tail, travel)):
        arrow += [[tip, tip + barb * (back + 0.5 * side)] for side in (along, -along)]
    segments = np.array([blade, *arrow])
    flat = np.concatenate([segments, np.full((len(segments), 2, 1), -BELOW_MM)], axis=2)
    return line_mesh(flat), flat[0]


def _within(at: FloatArray, along: FloatArray, low: FloatArray, high: FloatArray) -> FloatArray:
    """(2,) how far a line through a point runs both ways until it leaves a rectangle; all (2,)."""
    with np.errstate(divide="ignore", invalid="ignore"):
        shares = np.sort(np.stack([(low - at) / along, (high - at) / along]), axis=0)
    shares = np.where(np.abs(along) < 1e-12, [[-np.inf], [np.inf]], shares)
    return np.array([shares[0].max(), shares[1].min()])
