"""Room around part and sinks that powder can't leave, found by labelling cells.

The narrow gap would close falsely among coarse cells, so sink cells that touch the part count as gap and as open;
when the powder jams in the gap, the free cells in it are shut instead.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
import scipy.ndimage

from core.checks.voxels import Grid, cell_for, filled
from core.compiled import kernel
from core.part.part import Part
from core.progress import GoesOn, report
from core.sink.sink import Sink
from core.units import BoolArray, IntArray

LEAST_CELLS = 27
"""Smaller pockets may come from the cells alone and are left out."""
FREE, PART, SINK, GAP, SHUT = 0, 1, 2, 3, 4

Opens = Literal["never", "with the sink", "with the plate", "by a neck"]


@dataclass(frozen=True, kw_only=True)
class Pocket:
    """opens: what must be taken away before the powder can leave. beside_sink: False for one of the part alone."""

    volume_mm3: float
    at_mm: tuple[float, float, float]
    opens: Opens
    beside_sink: bool


@dataclass(frozen=True, kw_only=True)
class Pockets:
    """found: largest first; neck_mm: the width below which a neck counts as shut, 0 when necks weren't looked for."""

    found: tuple[Pocket, ...]
    cell_mm: float
    neck_mm: float


def find_pockets(
    part: Part,
    sinks: tuple[Sink, ...],
    *,
    gap_mm: float,
    gap_open: bool,
    most_cells: int,
    goes_on: GoesOn,
    neck_mm: float = 0.0,
) -> Pockets:
    """Pockets of the room around part and sinks while they stand on the plate, and behind necks once they are off.

    gap_open: False when powder jams in the gap.
    neck_mm: also look for pockets whose ways out are all narrower than this, or than two cells where that is more.
    Cavities closed by the part alone are found exactly elsewhere and left out. Raises Stopped when told to stop.
    """
    body, grid = _cells(part, sinks, gap_mm, gap_open, most_cells)
    report(goes_on, 0.3)
    found = _shut_in(body, grid)
    report(goes_on, 0.5)
    width = 0.0
    if neck_mm > 0:
        width = max(neck_mm, 2 * grid.cell_mm)
        found += _behind_necks(body, grid, width)
    found.sort(key=lambda pocket: -pocket.volume_mm3)
    return Pockets(found=tuple(found), cell_mm=grid.cell_mm, neck_mm=width)


def _cells(
    part: Part, sinks: tuple[Sink, ...], gap_mm: float, gap_open: bool, most_cells: int
) -> tuple[IntArray, Grid]:
    """(nx, ny, nz) int8 what each cell is; the lowest layer lies on the plate, the other sides have a free rim."""
    points = [part.vertices_mm, *(sink.vertices_mm for sink in sinks)]
    low = np.min([p.min(axis=0) for p in points], axis=0)
    high = np.max([p.max(axis=0) for p in points], axis=0)
    low[2] = min(low[2], 0.0)
    cell = cell_for(high - low, most_cells, gap_mm / 4, spare=4)
    nx, ny, nz = (int(n) for n in np.ceil((high - low) / cell))
    grid = Grid(low_mm=low - np.array([cell, cell, 0.0]), cell_mm=cell, shape=(nx + 3, ny + 3, nz + 2))
    body = filled(part.vertices_mm, part.triangles, grid).astype(np.int8)
    for sink in sinks:
        body[filled(sink.vertices_mm, sink.triangles, grid) & (body == FREE)] = SINK
    if not gap_open:
        reach = _ball(float(np.ceil(gap_mm / cell)))
        beside_part = scipy.ndimage.binary_dilation(body == PART, reach)
        body[beside_part & scipy.ndimage.binary_dilation(body == SINK, reach) & (body == FREE)] = SHUT
    elif cell > gap_mm / 2:
        _open_gap(body)
    return body, grid


@kernel
def _open_gap(body):  # type: ignore[no-untyped-def]
    """Turn sink cells that touch a part cell, corners included, into gap cells."""
    nx, ny, nz = body.shape
    for i in range(nx):
        for j in range(ny):
            for k in range(nz):
                if body[i, j, k] != SINK:
                    continue
                touches = False
                for x in range(max(0, i - 1), min(nx, i + 2)):
                    for y in range(max(0, j - 1), min(ny, j + 2)):
                        for z in range(max(0, k - 1), min(nz, k + 2)):
                            touches = touches or body[x, y, z] == PART
                if touches:
                    body[i, j, k] = GAP


@kernel
def _facts(label, body, n):  # type: ignore[no-untyped-def]
    """For each of n labels: cells, whether on the lowest layer, beside the part, beside a sink; and mean cell."""
    cells, mean = np.zeros(n + 1, dtype=np.int64), np.zeros((n + 1, 3))
    low, part, sink = np.zeros(n + 1, dtype=np.bool_), np.zeros(n + 1, dtype=np.bool_), np.zeros(n + 1, dtype=np.bool_)
    nx, ny, nz = label.shape
    for i in range(nx):
        for j in range(ny):
            for k in range(nz):
                own = label[i, j, k]
                if own == 0:
                    continue
                cells[own] += 1
                mean[own, 0] += i
                mean[own, 1] += j
                mean[own, 2] += k
                low[own] = low[own] or k == 0
                sink[own] = sink[own] or body[i, j, k] == GAP
                for side in range(6):
                    step = 1 if side % 2 else -1
                    x, y, z = i, j, k
                    if side < 2:
                        x += step
                    elif side < 4:
                        y += step
                    else:
                        z += step
                    if 0 <= x < nx and 0 <= y < ny and 0 <= z < nz:
                        part[own] = part[own] or body[x, y, z] == PART
                        sink[own] = sink[own] or body[x, y, z] == SINK or body[x, y, z] == SHUT
    for own in range(1, n + 1):
        mean[own] /= max(1, cells[own])
    return cells, mean, low, part, sink


def _shut_in(body: IntArray, grid: Grid) -> list[Pocket]:
    label, n = scipy.ndimage.label((body == FREE) | (body == GAP))
    cells, mean, low, part, sink = _facts(label, body, n)
    found = []
    for own in range(1, n + 1):
        alone = not sink[own] and not low[own]  # a cavity of the part, or a channel thinner than the cells
        if own == label[0, 0, -1] or cells[own] < LEAST_CELLS or alone:
            continue
        opens: Opens = "with the plate" if low[own] else "with the sink" if part[own] else "never"
        found.append(_pocket(label, own, cells[own], mean[own], grid, opens, bool(sink[own])))
    return found


def _behind_necks(body: IntArray, grid: Grid, width_mm: float) -> list[Pocket]:
    """Room a ball of that diameter fits into but can't roll out of, with the plate taken away."""
    reach = width_mm / 2 / grid.cell_mm
    floor = int(np.ceil(reach)) + 2
    body = np.pad(body, ((0, 0), (0, 0), (floor, 0)), constant_values=FREE)
    gap = body == GAP
    free: BoolArray = (body == FREE) | gap
    open_before, _ = scipy.ndimage.label(free)
    core = scipy.ndimage.binary_erosion(free, _ball(reach), border_value=1)
    if gap.any():
        core |= free & scipy.ndimage.binary_dilation(gap, _ball(reach + 1))
    label, n = scipy.ndimage.label(core)
    cells, mean, _, _, _ = _facts(label, body, n)
    full = np.where(free, scipy.ndimage.grey_dilation(label, size=2 * int(np.ceil(reach)) + 1), 0)
    filled_cells, _, _, part, sink = _facts(full, body, n)
    raised = Grid(
        low_mm=grid.low_mm - np.array([0.0, 0.0, floor * grid.cell_mm]), cell_mm=grid.cell_mm, shape=body.shape
    )
    found = []
    outside = open_before[0, 0, -1]
    for own in range(1, n + 1):
        if own == label[0, 0, -1] or cells[own] < LEAST_CELLS:
            continue
        pocket = _pocket(label, own, filled_cells[own], mean[own], raised, "by a neck", bool(sink[own]))
        at = np.round((np.array(pocket.at_mm) - raised.low_mm) / grid.cell_mm - 0.5).astype(int)
        if open_before[at[0], at[1], at[2]] == outside and part[own]:
            found.append(pocket)
    return found


def _ball(radius: float) -> BoolArray:
    """Cells whose middles lie within a radius in cells of the middle one."""
    n = int(radius)
    x, y, z = np.ogrid[-n : n + 1, -n : n + 1, -n : n + 1]
    return np.asarray(x**2 + y**2 + z**2 <= radius**2 + 1e-9)


def _pocket(
    label: IntArray, own: int, cells: int, mean: IntArray, grid: Grid, opens: Opens, beside_sink: bool
) -> Pocket:
    """The place is the pocket's cell nearest to its middle, so that it surely lies inside."""
    box = scipy.ndimage.find_objects((label == own).astype(np.int8))[0]
    inside = np.argwhere(label[box] == own) + [side.start for side in box]
    cell = inside[np.argmin(((inside - mean) ** 2).sum(axis=1))]
    return Pocket(
        volume_mm3=float(cells * grid.cell_mm**3), at_mm=grid.centre_mm(cell), opens=opens, beside_sink=beside_sink
    )
