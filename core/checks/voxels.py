"""Bodies as cells: which cell centres lie inside a closed mesh, counted column by column.

Every triangle adds one to the first cell above it where a column enters the body and takes one away where it
leaves; a running sum up the column then says how deep inside each cell is.
"""

from dataclasses import dataclass

import numpy as np

from core.compiled import kernel
from core.units import BoolArray, FloatArray, IntArray


@dataclass(frozen=True, kw_only=True, eq=False)
class Grid:
    """Equal cubes: low_mm (3,) is the lower corner, shape the number of cells along x, y, z."""

    low_mm: FloatArray
    cell_mm: float
    shape: tuple[int, int, int]

    def centre_mm(self, cell: IntArray) -> tuple[float, float, float]:
        """Centre of one cell (3,)."""
        x, y, z = self.low_mm + (np.asarray(cell) + 0.5) * self.cell_mm
        return float(x), float(y), float(z)


def cell_for(size_mm: FloatArray, most_cells: int, least_mm: float, spare: int = 2) -> float:
    """Cell size at which a box (3,), with `spare` more cells along each axis, keeps within a number of cells."""
    cell = max(least_mm, float(np.prod(np.maximum(size_mm, least_mm)) / most_cells) ** (1 / 3))
    while np.prod(np.ceil(size_mm / cell) + spare) > most_cells:
        cell *= 1.02
    return cell


def filled(vertices_mm: FloatArray, triangles: IntArray, grid: Grid) -> BoolArray:
    """(nx, ny, nz) True where a cell's centre lies inside a closed mesh. Walls thinner than a cell may be missed."""
    count = np.zeros(grid.shape, dtype=np.int8)
    corners = np.ascontiguousarray((vertices_mm[triangles] - grid.low_mm) / grid.cell_mm - 0.5, dtype=np.float64)
    _cross_columns(corners, count)
    return count.view(np.bool_)


@kernel
def _side(ax, ay, bx, by, x, y):  # type: ignore[no-untyped-def]
    """1 when (x, y) lies left of a to b, else -1; the same for both triangles at an edge, whatever the rounding.

    A point on the edge is taken as if it lay a hair aside, always the same way, so that no column slips through.
    """
    turned = ay > by or (ay == by and ax > bx)
    if turned:
        ax, ay, bx, by = bx, by, ax, ay
    left = (bx - ax) * (y - ay) - (by - ay) * (x - ax) >= 0.0
    return 1 if left != turned else -1


@kernel
def _cross_columns(corners, count):  # type: ignore[no-untyped-def]
    """corners: (n, 3, 3) in cells, cell centres at whole numbers; count (nx, ny, nz) int8 becomes 0 or 1."""
    nx, ny, nz = count.shape
    for t in range(len(corners)):
        ax, ay, az = corners[t, 0]
        bx, by, bz = corners[t, 1]
        cx, cy, cz = corners[t, 2]
        low_z, high_z = min(az, bz, cz), max(az, bz, cz)
        first_i, last_i = max(0, int(np.ceil(min(ax, bx, cx)))), min(nx - 1, int(np.floor(max(ax, bx, cx))))
        first_j, last_j = max(0, int(np.ceil(min(ay, by, cy)))), min(ny - 1, int(np.floor(max(ay, by, cy))))
        area = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
        for i in range(first_i, last_i + 1):
            for j in range(first_j, last_j + 1):
                side = _side(ax, ay, bx, by, i, j)
                if _side(bx, by, cx, cy, i, j) != side or _side(cx, cy, ax, ay, i, j) != side:
                    continue
                z = low_z
                if area != 0.0:
                    v = ((i - ax) * (cy - ay) - (j - ay) * (cx - ax)) / area
                    w = ((bx - ax) * (j - ay) - (by - ay) * (i - ax)) / area
                    z = min(max(az + v * (bz - az) + w * (cz - az), low_z), high_z)
                k = max(0, int(np.ceil(z)))
                if k < nz:
                    count[i, j, k] -= side
    for i in range(nx):
        for j in range(ny):
            depth = 0
            for k in range(nz):
                depth += count[i, j, k]
                count[i, j, k] = 1 if depth > 0 else 0
