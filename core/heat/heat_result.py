"""What one build of layers gave, read off for faces, patches and layers."""

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass

import numpy as np

from core.heat.build_3d import BuildState
from core.heat.estimate import Band
from core.heat.heat_grid import HeatGrid
from core.heat.machine import to_host
from core.part.part import Part
from core.part.patch import Patch
from core.units import FloatArray, IntArray

JUST_INSIDE = 0.05
"""Cells inside a face. The heat down through the gap is read there or half a cell inside, wherever the link down
crosses more powder: one of the two crosses the gap."""


@dataclass(frozen=True, kw_only=True, eq=False)
class HeatRun:
    """One build, with or without sinks. Temperatures in °C.

    face_between_c: (n_faces,) the hottest a face is between two layers, from when it lies on top until the end.
    face_peak_c: just after its exposure, smoothed over a layer of cells. face_down_w_m2: heat flux downwards below the
    face, averaged over its layer's time. z_mm, layer_mean_c, layer_max_c: (n_layers,) per layer of cells just before
    the next one, metal of the part only; NaN where there is none.
    imbalance: share of the heat put in that the books can't account for.
    """

    face_between_c: FloatArray
    face_peak_c: FloatArray
    face_down_w_m2: FloatArray
    z_mm: FloatArray
    layer_mean_c: FloatArray
    layer_max_c: FloatArray
    cooling_k_s: FloatArray
    """(n_faces,) mean cooling rate from the peak to the next layer."""
    put_in_j: float
    lost_j: float
    imbalance: float
    build_time_s: float
    iterations: int


@dataclass(frozen=True, kw_only=True)
class CellError:
    """How far a patch's answers move on larger cells, K.

    An error that falls with the cell size, at least in proportion, is at most the difference to cells twice as large;
    that to cells r times as large over r - 1. Of several sizes the one that moves most counts, as a patch may lie alike
    in two grids by chance.
    """

    with_k: float
    without_k: float
    cooler_k: float

    @classmethod
    def of(cls, fine_k: FloatArray, larger: Sequence[tuple[float, FloatArray]]) -> "CellError":
        """fine_k: (2,) rises with sinks and without; larger: how many times as large cells are, and their rises."""
        moved = np.array([(rises_k - fine_k) / max(times - 1.0, 1.0) for times, rises_k in larger])
        with_k, without_k = np.abs(moved).max(axis=0).tolist()
        return cls(with_k=with_k, without_k=without_k, cooler_k=float(np.abs(moved[:, 1] - moved[:, 0]).max()))


@dataclass(frozen=True, kw_only=True, eq=False)
class PatchHeat:
    """One patch with and without sinks; °C averaged over its area, hottest face, and W/m² through the gap."""

    patch: int
    with_c: Band
    without_c: Band
    hottest_with_c: float
    hottest_without_c: float
    peak_with_c: float
    peak_without_c: float
    cooling_with_k_s: float
    cooling_without_k_s: float
    through_gap_w_m2: float
    """Mean heat flux down through the faces with the sink."""
    cells: CellError

    @property
    def cooler_by_k(self) -> float:
        """How much cooler the patch stays with its sink."""
        return self.without_c.nominal - self.with_c.nominal


def host_state(state: BuildState) -> BuildState:
    """The state with its arrays in this machine's memory, wherever it was worked out."""
    here = copy(state)
    for name, value in vars(state).items():
        if hasattr(value, "shape"):
            setattr(here, name, to_host(value))
    return here


def face_rises_k(grid: HeatGrid, state: BuildState, part: Part) -> FloatArray:
    """(n_faces,) the hottest a face is between two layers, over the plate."""
    return np.asarray(state.hottest[grid.cell_of(inner_points_mm(part, grid.cell_mm))], dtype=np.float64)


def heat_run(grid: HeatGrid, state: BuildState, part: Part, part_metal: FloatArray, preheat_c: float,
             recoat_s: float) -> HeatRun:  # fmt: skip
    """Read a finished build off. part_metal: (nz, ny, nx) share of the part alone in every real cell."""
    at = grid.cell_of(inner_points_mm(part, grid.cell_mm))
    between, peak = (np.asarray(a[at], dtype=np.float64) for a in (state.hottest, state.peak))
    lowest = grid.cell_of(inner_points_mm(part, grid.cell_mm, JUST_INSIDE))
    more_powder = grid.metal_links[2][lowest] < grid.metal_links[2][at]
    down = np.where(more_powder, state.down_w_m2[lowest], state.down_w_m2[at]).astype(np.float64)
    inner = (slice(1, -1),) * 3
    is_part = part_metal > 0.5
    cells = np.where(is_part, state.before_next[inner], 0.0)
    count = is_part.sum(axis=(1, 2))
    with np.errstate(invalid="ignore", divide="ignore"):
        mean = np.where(count > 0, cells.sum(axis=(1, 2), dtype=np.float64) / count, np.nan)
    hottest = np.where(count > 0, np.where(is_part, state.before_next[inner], -np.inf).max(axis=(1, 2)), np.nan)
    return HeatRun(
        face_between_c=between + preheat_c,
        face_peak_c=peak + preheat_c,
        face_down_w_m2=down,
        z_mm=grid.low_mm[2] + (np.arange(grid.shape[0]) + 0.5) * grid.cell_mm,
        layer_mean_c=mean + preheat_c,
        layer_max_c=hottest + preheat_c,
        cooling_k_s=(peak - np.asarray(state.before_next[at], dtype=np.float64)) / recoat_s,
        put_in_j=state.put_in_j,
        lost_j=state.lost_j,
        imbalance=state.imbalance,
        build_time_s=state.clock_s,
        iterations=state.iterations,
    )


def inner_points_mm(part: Part, cell_mm: float, cells: float = 0.5) -> FloatArray:
    """(n_faces, 3) so many cells inside every face; half a cell inside, the cell is metal of the part for the most."""
    return np.asarray(part.corners_mm.mean(axis=1) - cells * cell_mm * part.normals)


def patch_mean(part: Part, faces: IntArray, values: FloatArray) -> float:
    """Mean over the area of some faces (n,); values: (n_faces of the part,)."""
    return float(np.average(values[faces], weights=part.areas_mm2[faces]))


def patch_heat(part: Part, patch: Patch, with_sinks: HeatRun, without: HeatRun, shares: tuple[Band, Band],
               larger: Sequence[tuple[float, FloatArray]], preheat_c: float) -> PatchHeat:  # fmt: skip
    """One patch of both runs. shares: how the rise with and without sinks moves from low to high (nominal 1).

    larger: how many times as large other cells are, and the rises (2,) with sinks and without on them.
    """
    rises = [patch_mean(part, patch.faces, run.face_between_c) - preheat_c for run in (with_sinks, without)]
    with_c, without_c = (band_c(rise, share, preheat_c) for rise, share in zip(rises, shares, strict=True))
    return PatchHeat(
        patch=patch.id,
        with_c=with_c,
        without_c=without_c,
        hottest_with_c=float(with_sinks.face_between_c[patch.faces].max()),
        hottest_without_c=float(without.face_between_c[patch.faces].max()),
        peak_with_c=patch_mean(part, patch.faces, with_sinks.face_peak_c),
        peak_without_c=patch_mean(part, patch.faces, without.face_peak_c),
        cooling_with_k_s=patch_mean(part, patch.faces, with_sinks.cooling_k_s),
        cooling_without_k_s=patch_mean(part, patch.faces, without.cooling_k_s),
        through_gap_w_m2=patch_mean(part, patch.faces, with_sinks.face_down_w_m2),
        cells=CellError.of(np.array(rises), larger),
    )


def band_c(rise_k: float, share: Band, preheat_c: float, highest_k: float = np.inf) -> Band:
    """A rise and by which share it moves, as temperatures; none of them over highest_k above the plate."""
    low, high = sorted((rise_k * share.low, rise_k * share.high))
    low, nominal, high = (preheat_c + min(k, highest_k) for k in (low, rise_k, high))
    return Band(low=low, nominal=nominal, high=high)
