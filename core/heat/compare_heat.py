"""The build followed twice, with and without its sinks, and how sure we are of the difference."""

import math
import os
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np

from core.heat.build_3d import Build, BuildState
from core.heat.column_1d import ABSORPTIVITY_SPREAD
from core.heat.estimate import Band
from core.heat.heat_choice import HeatChoice
from core.heat.heat_grid import HeatGrid, grid_around, heat_grid
from core.heat.heat_result import HeatRun, PatchHeat, heat_run, patch_heat, patch_mean
from core.heat.heat_tables import heat_tables
from core.heat.laser_settings import LaserSettings
from core.heat.materials import Alloy
from core.heat.powder_choice import PowderChoice
from core.part.part import Part
from core.part.patch import Patch
from core.progress import GoesOn, Stopped, never_stop, part_of, report
from core.refusal import Refusal
from core.units import FloatArray

CELLS_WANTED = 1_000_000
COARSE_CELLS = 40_000
"""The band comes from runs this coarse: only ratios are taken from them."""
BYTES_A_CELL = {False: 160, True: 290}
"""The benchmark measures 146 and 262 for one build; the part's own cells and a reserve come on top."""
MOST_BYTES = 20e9
MEMORY_SHARE = 0.8
"""Of the machine's memory, when that is less."""


@dataclass(frozen=True, kw_only=True, eq=False)
class HeatComparison:
    """Both builds on one grid; differences are what the sinks do."""

    cell_mm: float
    n_cells: int
    with_sinks: HeatRun
    without: HeatRun
    patches: tuple[PatchHeat, ...]

    @property
    def face_cooler_k(self) -> FloatArray:
        """(n_faces,) how much cooler each face of the part stays between layers with the sinks."""
        return self.without.face_between_c - self.with_sinks.face_between_c


class Keep(Protocol):
    """Keeps half-done builds, each under its name."""

    def take_up(self, name: str, build: Build) -> None:
        """Put a saved state in, when there is one for this very build."""

    def save(self, name: str, build: Build, *, at_once: bool) -> None:
        """After every layer; at_once when the build is done or stopped."""


def compare_heat(
    part: Part,
    sinks_mm: FloatArray,
    patches: tuple[Patch, ...],
    *,
    alloy: Alloy,
    laser: LaserSettings,
    powder: PowderChoice,
    choice: HeatChoice,
    goes_on: GoesOn = never_stop,
    keep: Keep | None = None,
) -> HeatComparison:
    """Follow the build of a placed part with its sinks and without. sinks_mm: (n, 3, 3) triangles of all sinks.

    The band of every patch: low and high powder conductivity and absorptivity, followed on a coarse grid; the fine
    rise moves in the same proportion. Raises Refusal when the grid needs more memory than there should be.
    """
    both = np.concatenate([part.corners_mm, sinks_mm])
    cell_mm = choice.cell_mm or cell_for(both, CELLS_WANTED, choice.margin_mm)
    low, shape = grid_around(both, cell_mm, choice.margin_mm)
    _check_room(math.prod(shape) * BYTES_A_CELL[choice.double], cell_mm)
    shares = _bands(part, sinks_mm, patches, alloy, laser, powder, choice, part_of(goes_on, 0.0, 0.1))
    tables = heat_tables(alloy, powder)
    part_metal = None
    runs = []
    for name, corners, start in (("without sinks", part.corners_mm, 0.1), ("with sinks", both, 0.55)):
        build = Build(heat_grid(corners, low, cell_mm, shape), tables, laser, choice)
        part_metal = build.grid.metal if part_metal is None else part_metal
        _follow(name, build, part_of(goes_on, start, start + 0.45), keep)
        runs.append(_read(build.grid, build.state, part, part_metal, laser, choice))
        del build  # so that a grid of many cells fills the memory once, not twice
    without, with_sinks = runs
    return HeatComparison(
        cell_mm=cell_mm,
        n_cells=math.prod(shape),
        with_sinks=with_sinks,
        without=without,
        patches=tuple(
            patch_heat(part, patch, with_sinks, without, share, laser.preheat_c)
            for patch, share in zip(patches, shares, strict=True)
        ),
    )


def cell_for(corners_mm: FloatArray, cells: int, margin_mm: float) -> float:
    """The cell size, two digits, that gives about so many cells."""
    size = corners_mm.max(axis=(0, 1)) - corners_mm.min(axis=(0, 1)) + np.array([2 * margin_mm, 2 * margin_mm, 0.0])
    return float(f"{(float(np.prod(np.maximum(size, 0.1))) / cells) ** (1 / 3):.2g}")


def _check_room(needed: float, cell_mm: float) -> None:
    """Refuse cells for which there is no memory."""
    room = MOST_BYTES
    if hasattr(os, "sysconf"):
        room = min(room, MEMORY_SHARE * os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES"))
    if needed > room:
        raise Refusal(f"Cells of {cell_mm:g} mm would take {needed / 1e9:.3g} GB and {room / 1e9:.3g} GB may be used; "
                      f"set at least {_rounded_up(cell_mm * (needed / room) ** (1 / 3)):g} mm.")  # fmt: skip


def _rounded_up(value: float) -> float:
    """To two digits."""
    step = 10.0 ** (math.floor(math.log10(value)) - 1)
    return math.ceil(value / step) * step


def _follow(name: str, build: Build, goes_on: GoesOn, keep: Keep | None) -> None:
    """All layers, kept on the way; a stop keeps what stands and is passed on."""
    if keep is not None:
        keep.take_up(name, build)
    layers = build.grid.shape[0]
    try:
        while not build.done:
            report(goes_on, build.state.layer / layers)
            build.add_layer()
            if keep is not None:
                keep.save(name, build, at_once=build.done)
    except Stopped:
        if keep is not None:
            keep.save(name, build, at_once=True)
        raise


def _read(
    grid: HeatGrid, state: BuildState, part: Part, part_metal: FloatArray, laser: LaserSettings, choice: HeatChoice
) -> HeatRun:
    inner = (slice(1, -1),) * 3
    return heat_run(grid, state, part, part_metal[inner], laser.preheat_c, choice.recoat_s)


def _bands(
    part: Part, sinks_mm: FloatArray, patches: tuple[Patch, ...], alloy: Alloy, laser: LaserSettings,
    powder: PowderChoice, choice: HeatChoice, goes_on: GoesOn,
) -> list[tuple[Band, Band]]:  # fmt: skip
    """For each patch, with and without sinks: by which share the rise moves from low to high."""
    both = np.concatenate([part.corners_mm, sinks_mm])
    cell_mm = max(cell_for(both, COARSE_CELLS, choice.margin_mm), choice.cell_mm)
    low, shape = grid_around(both, cell_mm, choice.margin_mm)
    grids = [heat_grid(corners, low, cell_mm, shape) for corners in (both, part.corners_mm)]
    spread = ABSORPTIVITY_SPREAD.value
    # the coolest case has good powder and little light taken in
    cases = (("high", 1.0 - spread), ("nominal", 1.0), ("low", 1.0 + spread))
    rises = np.zeros((2, 3, len(patches)))
    for c, (band, share) in enumerate(cases):
        tables = heat_tables(alloy, powder, band)
        light = replace(laser, absorptivity=min(1.0, laser.absorptivity * share))
        for g, grid in enumerate(grids):
            report(goes_on, (2 * c + g) / 6)
            state = Build(grid, tables, light, choice).run()
            run = _read(grid, state, part, grids[1].metal, laser, choice)
            for p, patch in enumerate(patches):
                rises[g, c, p] = patch_mean(part, patch.faces, run.face_between_c) - laser.preheat_c
    found = []
    for p in range(len(patches)):
        found.append(tuple(_share(rises[g, :, p]) for g in range(2)))
    return found  # type: ignore[return-value]


def _share(rises_k: FloatArray) -> Band:
    """Low and high over nominal; a rise near zero has no share to speak of and keeps the spread of the absorptivity."""
    low, nominal, high = rises_k.tolist()
    if abs(nominal) < 1.0:
        return Band(low=1.0 - ABSORPTIVITY_SPREAD.value, nominal=1.0, high=1.0 + ABSORPTIVITY_SPREAD.value)
    return Band(low=low / nominal, nominal=1.0, high=high / nominal)
