"""A first 3-D answer in a second: the steady state under the mean heat of the layers, at a few heights of a patch."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from core.heat.cell_heat import set_links
from core.heat.coarse_builds import CASES, TWICE, CoarseRises, Followed, cell_for
from core.heat.column_1d import TOP_LOSS_W_M2K
from core.heat.estimate import Band
from core.heat.heat_choice import HeatChoice
from core.heat.heat_grid import HeatGrid, grid_around, heat_grid
from core.heat.heat_result import CellError, band_c, inner_points_mm
from core.heat.heat_tables import LOWEST_K, STEP_K, HeatTables, heat_tables
from core.heat.laser_settings import LaserSettings
from core.heat.multigrid import Multigrid, empty_links
from core.part.part import Part
from core.part.patch import Patch
from core.progress import GoesOn, never_stop, part_of, report
from core.units import FloatArray, kelvin_from_celsius, m_from_mm

HEIGHTS = 3
STANDS_MM = 2.0
"""How far the build stands above a face when it is looked at; with less, a ledge is as thin as a cell happens to be."""
TOLERANCE = 1e-5
CELLS = 150_000
BETWEEN = 1.5
"""Cells so many times as large are looked at too, to judge the error of the cells."""


@dataclass(frozen=True, kw_only=True, eq=False)
class QuickLook:
    """rise_k: (n,) steady rise over the plate at points of a patch, an upper estimate: no build lasts that long."""

    rise_k: FloatArray
    iterations: int


def quick_look(
    grid: HeatGrid, tables: HeatTables, laser: LaserSettings, choice: HeatChoice, points_mm: FloatArray,
    known: dict[int, FloatArray] | None = None,
) -> QuickLook:  # fmt: skip
    """Steady rise at points (n, 3) just inside one patch, each with the build standing 2 mm above it.

    The build is taken at up to three heights between the lowest and the highest point; every point takes the nearest
    one. The top gives off heat as in the 1-D estimate. Properties are those at the plate's temperature.
    known: the steady states of this grid by height, kept from earlier patches and added to.
    """
    known = {} if known is None else known
    k, j, i = grid.cell_of(points_mm)
    up_mm = max(STANDS_MM - grid.cell_mm, 0.0)  # the points lie half a cell inside, and a cell is found by its middle
    tops = np.maximum(grid.cell_of(points_mm + np.array([0.0, 0.0, up_mm]))[0], k)
    planes = np.unique(np.round(np.linspace(tops.min(), tops.max(), HEIGHTS)).astype(np.int64))
    rises = np.zeros(len(points_mm))
    nearest = planes[np.abs(tops[:, None] - planes[None]).argmin(axis=1)]
    iterations = 0
    for plane in planes.tolist():
        if plane not in known:
            known[plane], n = _steady(grid, tables, laser, choice, plane)
            iterations += n
        mine = nearest == plane
        rises[mine] = known[plane][np.minimum(k[mine], plane), j[mine], i[mine]]
    return QuickLook(rise_k=rises, iterations=iterations)


@dataclass(frozen=True, kw_only=True)
class QuickPatch:
    """Steady rise over the plate, K, averaged over one patch, with its sink and without."""

    patch: int
    rise_with_k: float
    rise_without_k: float


def quick_patches(
    part: Part, sinks_mm: FloatArray, patches: tuple[Patch, ...], tables: HeatTables, laser: LaserSettings,
    choice: HeatChoice, cells: int = CELLS,
) -> tuple[QuickPatch, ...]:  # fmt: skip
    """A quick look at every patch with all sinks and with none. sinks_mm: (n, 3, 3) triangles.

    The cells are as large as the choice says, or so that there are about as many as asked for.
    """
    both = np.concatenate([part.corners_mm, sinks_mm])
    cell_mm = choice.cell_mm or cell_for(both, cells, choice.margin_mm)
    low, shape = grid_around(both, cell_mm, choice.margin_mm)
    grids = (heat_grid(corners, low, cell_mm, shape) for corners in (both, part.corners_mm))
    rises = [_patch_rises(part, patches, grid, tables, laser, choice, never_stop) for grid in grids]
    return tuple(
        QuickPatch(patch=patch.id, rise_with_k=with_k, rise_without_k=without_k)
        for patch, with_k, without_k in zip(patches, *rises, strict=True)
    )


@dataclass(frozen=True, kw_only=True)
class QuickHeat:
    """The quick look at one patch, °C; none is above the solidus, where a steady temperature means nothing."""

    patch: int
    with_c: Band
    without_c: Band
    cells: CellError

    @property
    def cooler_by_k(self) -> float:
        """How much cooler the patch stays with its sink."""
        return self.without_c.nominal - self.with_c.nominal


@dataclass(frozen=True, kw_only=True)
class QuickAnswer:
    """All patches, on cells of this size."""

    cell_mm: float
    n_cells: int
    patches: tuple[QuickHeat, ...]
    choice: HeatChoice
    """What was asked for; with the job, all that the outcome depends on."""


def quick_answer(followed: Followed, goes_on: GoesOn = never_stop) -> QuickAnswer:
    """A quick look with bands: low and high powder conductivity and absorptivity on cells twice as large.

    Absorptivity needs no run of its own, as a steady rise is in proportion to it. Raises Stopped.
    """
    choice, laser = followed.choice, followed.laser
    cell_mm = choice.cell_mm or followed.cell_for(CELLS)
    grids = followed.grids(TWICE * cell_mm)
    nominal = heat_tables(followed.alloy, followed.powder)
    fine = _both(followed, followed.grids(cell_mm), nominal, part_of(goes_on, 0.0, 0.6))
    beside = _both(followed, followed.grids(BETWEEN * cell_mm), nominal, part_of(goes_on, 0.6, 0.8))
    cases = []
    for c, (powder, light) in enumerate(CASES):
        tables = heat_tables(followed.alloy, followed.powder, powder)
        share = min(light, 1.0 / laser.absorptivity)
        cases.append(share * _both(followed, grids, tables, part_of(goes_on, 0.8 + 0.06 * c, 0.86 + 0.06 * c)))
    larger = ((BETWEEN, beside), (TWICE, cases[1]))
    coarse = CoarseRises(low=cases[0], nominal=cases[1], high=cases[2], larger=larger)
    highest_k = max(followed.alloy.solidus_k - kelvin_from_celsius(laser.preheat_c), 0.0)
    patches = []
    for p, (patch, shares) in enumerate(zip(followed.patches, coarse.shares(), strict=True)):
        with_c, without_c = (band_c(float(fine[g, p]), shares[g], laser.preheat_c, highest_k) for g in range(2))
        cells = CellError.of(fine[:, p], coarse.larger_of(p))
        patches.append(QuickHeat(patch=patch.id, with_c=with_c, without_c=without_c, cells=cells))
    shape = grid_around(followed.both_mm, cell_mm, choice.margin_mm)[1]
    return QuickAnswer(cell_mm=cell_mm, n_cells=math.prod(shape), patches=tuple(patches), choice=choice)


def _both(followed: Followed, grids: Iterable[HeatGrid], tables: HeatTables, goes_on: GoesOn) -> FloatArray:
    """(2, n_patches) with sinks and without."""
    return np.array([
        _patch_rises(followed.part, followed.patches, grid, tables, followed.laser, followed.choice,
                     part_of(goes_on, 0.5 * g, 0.5 * g + 0.5))
        for g, grid in enumerate(grids)
    ])  # fmt: skip


def _patch_rises(
    part: Part, patches: tuple[Patch, ...], grid: HeatGrid, tables: HeatTables, laser: LaserSettings,
    choice: HeatChoice, goes_on: GoesOn,
) -> list[float]:  # fmt: skip
    """Mean rise of every patch on one grid."""
    points_mm = inner_points_mm(part, grid.cell_mm)
    known: dict[int, FloatArray] = {}
    rises = []
    for p, patch in enumerate(patches):
        report(goes_on, p / len(patches))
        rise_k = quick_look(grid, tables, laser, choice, points_mm[patch.faces], known).rise_k
        rises.append(float(np.average(rise_k, weights=part.areas_mm2[patch.faces])))
    return rises


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
        set_links(links.small, zero, base_k, grid.metal_links[axis], grid.walls[axis],
                  grid.powder_links[axis], axis, three, LOWEST_K, STEP_K,
                  cell_m, high, out)  # fmt: skip
    inner = (slice(1, -1), slice(1, -1))
    at_plate = [float(np.interp(base_k, LOWEST_K + STEP_K * np.arange(len(t)), t)) for t in three[:2]]
    for plane, outside_w_m2k in ((1, choice.plate_w_m2k), (high, TOP_LOSS_W_M2K.value)):
        f = grid.shares((plane, *inner))
        half_m2k_w = 0.5 * cell_m * (f / at_plate[0] + (1.0 - f) / at_plate[1])
        links.own[(plane, *inner)] += cell_m**2 / (1.0 / outside_w_m2k + half_m2k_w)
    area_m2 = float(grid.shares((high, *inner)).sum(dtype=np.float64)) * cell_m**2
    scan_s = area_m2 * 1e6 / (laser.speed_mm_s * laser.hatch_mm) * laser.passes
    flux_w_m2 = laser.absorptivity * laser.areal_energy_j_mm2 * 1e6 / (scan_s + choice.recoat_s)
    source = np.zeros(shape, np.float32)
    source[(high, *inner)] = grid.shares((high, *inner)) * np.float32(flux_w_m2 * cell_m**2)
    solver = Multigrid(links, steady=True)
    solver.prepare()
    rise = np.zeros(shape, np.float32)
    n = solver.solve(source, rise, TOLERANCE)
    return rise, n
