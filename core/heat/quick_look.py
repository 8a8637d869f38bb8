"""A first 3-D answer in a second: the steady state under the mean heat of the layers, at a few heights of a patch."""

from dataclasses import dataclass

import numpy as np

from core.heat.cell_heat import set_links
from core.heat.column_1d import TOP_LOSS_W_M2K
from core.heat.heat_choice import HeatChoice
from core.heat.heat_grid import HeatGrid
from core.heat.heat_tables import LOWEST_K, STEP_K, HeatTables
from core.heat.laser_settings import LaserSettings
from core.heat.multigrid import Multigrid, empty_links
from core.units import FloatArray, kelvin_from_celsius, m_from_mm

HEIGHTS = 3
TOLERANCE = 1e-5


@dataclass(frozen=True, kw_only=True, eq=False)
class QuickLook:
    """rise_k: (n,) steady rise over the plate at points of a patch, an upper estimate: no build lasts that long."""

    rise_k: FloatArray
    iterations: int


def quick_look(
    grid: HeatGrid, tables: HeatTables, laser: LaserSettings, choice: HeatChoice, points_mm: FloatArray
) -> QuickLook:
    """Steady rise at points (n, 3) of one patch, each with the build standing just above it.

    The build is taken at up to three heights between the lowest and the highest point; every point takes the nearest
    one. The top gives off heat as in the 1-D estimate. Properties are those at the plate's temperature.
    """
    k, j, i = grid.cell_of(points_mm)
    planes = np.unique(np.round(np.linspace(k.min(), k.max(), HEIGHTS)).astype(np.int64))
    rises = np.zeros(len(points_mm))
    nearest = planes[np.abs(k[:, None] - planes[None]).argmin(axis=1)]
    iterations = 0
    for plane in planes.tolist():
        rise, n = _steady(grid, tables, laser, choice, plane)
        mine = nearest == plane
        rises[mine] = rise[np.minimum(k[mine], plane), j[mine], i[mine]]
        iterations += n
    return QuickLook(rise_k=rises, iterations=iterations)


def _steady(
    grid: HeatGrid, tables: HeatTables, laser: LaserSettings, choice: HeatChoice, high: int
) -> tuple[FloatArray, int]:
    """Rise (high+2, ny+2, nx+2) when planes up to `high` stand and the topmost gets the mean heat of exposure."""
    shape = (high + 2, *grid.metal.shape[1:])
    links = empty_links(shape, np.float32)
    cell_m, zero = m_from_mm(grid.cell_mm), np.zeros(shape, np.float32)
    three = np.stack([tables.metal_w_mk, tables.powder_w_mk, tables.wall_m2k_w])
    base_k = kelvin_from_celsius(laser.preheat_c)
    for axis, out in enumerate((links.x, links.y, links.z)):
        set_links(links.small, zero, base_k, grid.metal_links[axis], grid.walls[axis], axis, three, LOWEST_K, STEP_K,
                  cell_m, high, out)  # fmt: skip
    inner = (slice(1, -1), slice(1, -1))
    links.own[(1, *inner)] += cell_m**2 * choice.plate_w_m2k
    links.own[(high, *inner)] += cell_m**2 * TOP_LOSS_W_M2K.value
    area_m2 = float(grid.metal[high, 1:-1, 1:-1].sum(dtype=np.float64)) * cell_m**2
    scan_s = area_m2 * 1e6 / (laser.speed_mm_s * laser.hatch_mm) * laser.passes
    flux_w_m2 = laser.absorptivity * laser.areal_energy_j_mm2 * 1e6 / (scan_s + choice.recoat_s)
    source = np.zeros(shape, np.float32)
    source[(high, *inner)] = grid.metal[(high, *inner)] * np.float32(flux_w_m2 * cell_m**2)
    solver = Multigrid(links, steady=True)
    solver.prepare()
    rise = np.zeros(shape, np.float32)
    n = solver.solve(source, rise, TOLERANCE)
    return rise, n
