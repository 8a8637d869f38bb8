"""The build followed on coarse cells: how wide the bands are, and what the size of the cells does to the answer."""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from core.heat.build_3d import Build
from core.heat.column_1d import ABSORPTIVITY_SPREAD
from core.heat.estimate import Band
from core.heat.heat_choice import HeatChoice
from core.heat.heat_grid import HeatGrid, ends_of, grid_around, heat_grid
from core.heat.heat_result import face_rises_k, host_state, patch_mean
from core.heat.heat_tables import heat_tables
from core.heat.laser_settings import LaserSettings
from core.heat.machine import PROCESSOR, Machine
from core.heat.materials import Alloy
from core.heat.powder_choice import PowderChoice
from core.part.part import Part
from core.part.patch import Patch
from core.progress import GoesOn, part_of
from core.units import FloatArray

COARSE_CELLS = 20_000
"""The band comes from runs this coarse: only ratios are taken from them."""
TWICE = 2.0
"""The error of cells is judged by cells so many times as large, see CellError."""
# the coolest case has good powder and little light taken in
CASES = (("high", 1.0 - ABSORPTIVITY_SPREAD.value), ("nominal", 1.0), ("low", 1.0 + ABSORPTIVITY_SPREAD.value))


def cell_for(corners_mm: FloatArray, cells: int, margin_mm: float) -> float:
    """The cell size, two digits, that gives about so many cells. corners_mm: (n, 3, 3)."""
    low, high = ends_of(corners_mm)
    size = high - low + np.array([2 * margin_mm, 2 * margin_mm, 0.0])
    return float(f"{(float(np.prod(np.maximum(size, 0.1))) / cells) ** (1 / 3):.2g}")


@dataclass(frozen=True, kw_only=True, eq=False)
class Followed:
    """What is followed, on whatever cells. sinks_mm: (n, 3, 3) triangles of all sinks."""

    part: Part
    sinks_mm: FloatArray
    patches: tuple[Patch, ...]
    alloy: Alloy
    laser: LaserSettings
    powder: PowderChoice
    choice: HeatChoice

    @cached_property
    def both_mm(self) -> FloatArray:
        """(n, 3, 3) triangles of part and sinks."""
        return np.concatenate([self.part.corners_mm, self.sinks_mm])

    def cell_for(self, cells: int) -> float:
        """The cell size, two digits, that gives about so many cells."""
        return cell_for(self.both_mm, cells, self.choice.margin_mm)

    def grids(self, cell_mm: float) -> tuple[HeatGrid, HeatGrid]:
        """With sinks and without, on the same cells."""
        low, shape = grid_around(self.both_mm, cell_mm, self.choice.margin_mm)
        with_sinks, without = (heat_grid(c, low, cell_mm, shape) for c in (self.both_mm, self.part.corners_mm))
        return with_sinks, without


@dataclass(frozen=True, kw_only=True, eq=False)
class CoarseRises:
    """Mean rise over the plate of every patch, K; each (2, n_patches), with sinks and without.

    low, nominal and high on the cells that give the band. larger: how many times as large as the fine cells others
    are, and the nominal rises on them.
    """

    low: FloatArray
    nominal: FloatArray
    high: FloatArray
    larger: tuple[tuple[float, FloatArray], ...]

    def larger_of(self, patch: int) -> list[tuple[float, FloatArray]]:
        """Of the patch in this place."""
        return [(times, rises[:, patch]) for times, rises in self.larger]

    def shares(self) -> list[tuple[Band, Band]]:
        """For each patch, with and without sinks: by which share the rise moves from low to high."""
        both = np.stack([self.low, self.nominal, self.high], axis=-1)
        return [(_share(both[0, p]), _share(both[1, p])) for p in range(both.shape[1])]


def coarse_rises(followed: Followed, cell_mm: float, goes_on: GoesOn, machine: Machine = PROCESSOR) -> CoarseRises:
    """Follow the build on coarse cells, as often as the band and the error of cells of cell_mm ask for."""
    twice_mm = TWICE * cell_mm
    band_mm = max(followed.cell_for(COARSE_CELLS), twice_mm)
    grids = followed.grids(band_mm)
    low, nominal, high = (
        _rises(followed, grids, powder, light, PROCESSOR, part_of(goes_on, 0.2 * c, 0.2 * (c + 1)))
        for c, (powder, light) in enumerate(CASES)
    )
    larger = [(band_mm / cell_mm, nominal)]
    if twice_mm < band_mm:
        twice = _rises(followed, followed.grids(twice_mm), "nominal", 1.0, machine, part_of(goes_on, 0.6, 1.0))
        larger.append((TWICE, twice))
    return CoarseRises(low=low, nominal=nominal, high=high, larger=tuple(larger))


def _rises(
    followed: Followed, grids: tuple[HeatGrid, HeatGrid], powder: str, light: float, machine: Machine, goes_on: GoesOn
) -> FloatArray:
    """(2, n_patches) with sinks and without. light: share of the absorptivity that is taken."""
    part, tables = followed.part, heat_tables(followed.alloy, followed.powder, powder)
    laser = replace(followed.laser, absorptivity=min(1.0, followed.laser.absorptivity * light))
    rises = []
    for g, grid in enumerate(grids):
        build = Build(grid, tables, laser, followed.choice, machine=machine)
        between = face_rises_k(grid, host_state(build.run(part_of(goes_on, 0.5 * g, 0.5 * g + 0.5))), part)
        rises.append([patch_mean(part, patch.faces, between) for patch in followed.patches])
    return np.array(rises)


def _share(rises_k: FloatArray) -> Band:
    """Low and high over nominal; a rise near zero has no share to speak of and keeps the spread of the absorptivity."""
    low, nominal, high = rises_k.tolist()
    if abs(nominal) < 1.0:
        return Band(low=1.0 - ABSORPTIVITY_SPREAD.value, nominal=1.0, high=1.0 + ABSORPTIVITY_SPREAD.value)
    return Band(low=low / nominal, nominal=1.0, high=high / nominal)
