"""Part, sinks and powder cut into cubic cells, with the exact share of metal in every cell and on every link."""

import math
from dataclasses import dataclass

import numpy as np

from core.heat.cell_heat import METAL_UNIT, POWDER_UNIT, WALLS_UNIT
from core.heat.solid_share import links_along
from core.refusal import Refusal
from core.units import FloatArray, IntArray

UNITS: tuple[tuple[float, type[np.unsignedinteger]], ...] = (
    (METAL_UNIT, np.uint16),
    (WALLS_UNIT, np.uint8),
    (POWDER_UNIT, np.uint8),
)
"""How metal_links, walls and powder_links are kept: one is so many, as whole numbers of this kind."""


def in_units(values: FloatArray, unit: float, whole: type[np.unsignedinteger]) -> IntArray:
    """Values as whole numbers of 1/unit, as large as the kind holds."""
    return np.asarray(np.minimum(np.rint(values * np.float32(unit)), np.iinfo(whole).max).astype(whole))


@dataclass(frozen=True, kw_only=True, eq=False)
class HeatGrid:
    """Cubic cells from the build plate up; index order z, y, x, with one ghost layer all round.

    low_mm: (3,) low corner of the first real cell. metal: (nz+2, ny+2, nx+2) volume share of metal, in 65520ths.
    metal_links: for x, y, z the share of metal on the link from the cell before to this one, likewise; walls: how
    many metal surfaces it crosses, in 16ths, up to 15.9; powder_links: share of its lines that run in powder alone, as
    beside a wall thinner than the cell, in 240ths. Whole 16ths stay exact. Links to the ghost layer aren't used.
    """

    low_mm: FloatArray
    cell_mm: float
    metal: IntArray
    metal_links: tuple[IntArray, IntArray, IntArray]
    walls: tuple[IntArray, IntArray, IntArray]
    powder_links: tuple[IntArray, IntArray, IntArray]

    @property
    def shape(self) -> tuple[int, int, int]:
        """Real cells in z, y, x order."""
        nz, ny, nx = self.metal.shape
        return nz - 2, ny - 2, nx - 2

    @property
    def n_cells(self) -> int:
        return math.prod(self.shape)

    def shares(self, where: tuple[slice | int, ...]) -> FloatArray:
        """Volume share of metal of some cells, float32."""
        return np.asarray(self.metal[where] * np.float32(1.0 / METAL_UNIT))

    def cell_of(self, points_mm: FloatArray) -> tuple[IntArray, IntArray, IntArray]:
        """Indices (k, j, i) into the padded arrays of the cells around points (n, 3), moved into the grid."""
        x, y, z = (np.floor((points_mm - self.low_mm) / self.cell_mm).astype(np.int64) + 1).T
        nz, ny, nx = self.shape
        return np.clip(z, 1, nz), np.clip(y, 1, ny), np.clip(x, 1, nx)


def ends_of(corners_mm: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Low and high corner of the box round triangles (n, 3, 3); 25 times quicker than numpy over two axes at once."""
    columns = corners_mm.reshape(-1, 3).T
    return np.array([column.min() for column in columns]), np.array([column.max() for column in columns])


def grid_around(corners_mm: FloatArray, cell_mm: float, margin_mm: float) -> tuple[FloatArray, tuple[int, int, int]]:
    """Low corner and cells (z, y, x) of a grid from the plate to the top of some triangles (n, 3, 3), margin around."""
    low, high = ends_of(corners_mm)
    low = np.array([low[0] - margin_mm, low[1] - margin_mm, 0.0])
    size = np.array([high[0] + margin_mm, high[1] + margin_mm, high[2]]) - low
    nx, ny, nz = (max(1, math.ceil(round(length / cell_mm, 6))) for length in size)
    return low, (nz, ny, nx)


def metal_shares(corners_mm: FloatArray, low_mm: FloatArray, cell_mm: float, shape: tuple[int, int, int]) -> FloatArray:
    """(nz, ny, nx) volume share of metal of every cell."""
    half_up = low_mm + np.array([0.0, 0.0, 0.5 * cell_mm])  # moved by half a cell, links along z are the cells
    return links_along(corners_mm, 2, half_up, cell_mm, shape)[0][:-1]


def heat_grid(corners_mm: FloatArray, low_mm: FloatArray, cell_mm: float, shape: tuple[int, int, int]) -> HeatGrid:
    """The grid of closed bodies that don't overlap. corners_mm: (n, 3, 3) outward triangles; low_mm: (3,).

    Raises Refusal for a cell size that isn't above zero.
    """
    if not (math.isfinite(cell_mm) and cell_mm > 0):
        raise Refusal(f"A cell of {cell_mm:g} mm can't be used; set a size above zero.")
    low = np.asarray(low_mm, dtype=np.float64)
    padded = tuple(n + 2 for n in shape)
    kept: list[list[IntArray]] = [[], [], []]
    for axis in range(3):
        place = [slice(1, -1)] * 3
        place[2 - axis] = slice(1, None)  # entry 0 is the link from the ghost cell
        found = links_along(corners_mm, axis, low, cell_mm, shape)
        for values, kind, (unit, whole) in zip(found, kept, UNITS, strict=True):
            full = np.zeros(padded, dtype=whole)
            full[tuple(place)] = in_units(values, unit, whole)
            kind.append(full)
        del found
    metal = np.zeros(padded, dtype=np.uint16)
    metal[1:-1, 1:-1, 1:-1] = in_units(metal_shares(corners_mm, low, cell_mm, shape), METAL_UNIT, np.uint16)
    links, walls, powder = ((x, y, z) for x, y, z in kept)
    return HeatGrid(low_mm=low, cell_mm=cell_mm, metal=metal, metal_links=links, walls=walls, powder_links=powder)
