"""A way out in several straight steps, looked for among shifts by whole cells, then tested exactly.

The shifts at which sink and part share a cell centre are found all at once by a Fourier transform (the part dilated
by the reflected sink). A shift that shares a centre is a true collision, as both bodies lie on the same grid, and
the sink's own place shares none however narrow the gap. The reverse doesn't hold: a shift that shares no centre may
still graze the part, so every way found is swept exactly afterwards.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import scipy.fft
import scipy.ndimage

from core.checks.sweep import first_contact, is_clear
from core.checks.voxels import Grid, cell_for, filled
from core.compiled import kernel
from core.part.triangle_tree import TriangleTree
from core.progress import GoesOn, never_stop, part_of, report
from core.units import BoolArray, FloatArray, IntArray

MOST_CELLS = 6_000_000
"""Shifts looked at by default; about 0.4 GB while they are transformed."""
NEAR_CELLS = 3
"""So near to the sink's own place a way may run along the part."""
FITS = np.linspace(-2, 2, 17)
"""Cells by which a step may be lengthened when the grid's way grazes."""
MOST_SWEEPS, LEAST_SWEEPS, SWEPT_TRIANGLES = 150, 20, 1_000_000
"""Exact sweeps spent on one way: as many as move this many triangles, within bounds."""
LEAST_CLEAR_MM = 1e-3
"""A fitted step ends so far before it would touch."""
_STEPS = np.array([(x, y, z) for x in (-1, 0, 1) for y in (-1, 0, 1) for z in (-1, 0, 1) if x or y or z])
_STEPS = np.ascontiguousarray(_STEPS[np.argsort(np.abs(_STEPS).sum(axis=1), kind="stable")], dtype=np.int64)
_CROSS = scipy.ndimage.generate_binary_structure(3, 1)


@dataclass(frozen=True, kw_only=True, eq=False)
class Mesh:
    """A closed surface: vertices (n, 3) and triangles (m, 3)."""

    vertices_mm: FloatArray
    triangles: IntArray

    @property
    def corners_mm(self) -> FloatArray:
        return np.asarray(self.vertices_mm[self.triangles])


@dataclass(frozen=True, kw_only=True, eq=False)
class SteppedWay:
    """shifts_mm: (k, 3) from the sink's own place (0, 0, 0) to outside; empty when there is none.

    confirmed: swept exactly. maybe: no way at this cell size, but one may fit between the cells.
    """

    shifts_mm: FloatArray
    confirmed: bool
    maybe: bool
    cell_mm: float


def stepped_way(
    obstacles: Sequence[Mesh],
    trees: Sequence[TriangleTree],
    sink: Mesh,
    goes_on: GoesOn,
    most_cells: int = MOST_CELLS,
    least_cell_mm: float = 0.1,
) -> SteppedWay:
    """Shortest way out by shifts along a grid, without turning.

    trees: one per obstacle, for the exact test. Raises Stopped when told to stop.
    """
    free, start, cell = _free_shifts(obstacles, sink, most_cells, least_cell_mm)
    report(goes_on, 0.5)
    corners = sink.corners_mm
    found: FloatArray = np.zeros((0, 3))
    for share, room, n_steps in _rooms(free, start):
        path = _shortest(room, start, _STEPS[:n_steps])
        report(goes_on, share)
        if len(path):
            found = (path - start) * cell
            still = part_of(goes_on, share, share)
            exact = exact_way(trees, corners, found, still)
            if not len(exact):
                exact = fitted_way(trees, corners, found, cell, still)
            if len(exact):
                return SteppedWay(shifts_mm=exact, confirmed=True, maybe=True, cell_mm=cell)
    maybe = bool(len(found)) or bool(len(_shortest(scipy.ndimage.binary_dilation(free, _CROSS), start, _STEPS)))
    return SteppedWay(shifts_mm=found, confirmed=False, maybe=maybe, cell_mm=cell)


def _free_shifts(
    obstacles: Sequence[Mesh], sink: Mesh, most_cells: int, least_cell_mm: float
) -> tuple[BoolArray, IntArray, float]:
    """(nx, ny, nz) True where a shift is free, the cell of no shift, and the cell size.

    Along every border the sink's box is wholly past the obstacles' box.
    """
    low = np.min([mesh.vertices_mm.min(axis=0) for mesh in obstacles], axis=0)
    high = np.max([mesh.vertices_mm.max(axis=0) for mesh in obstacles], axis=0)
    sink_low, sink_high = sink.vertices_mm.min(axis=0), sink.vertices_mm.max(axis=0)
    cell = cell_for(high - low + sink_high - sink_low, most_cells, least_cell_mm, spare=12)
    part_cells = np.ceil((high - low) / cell).astype(int) + 1
    offset = np.floor((sink_low - low) / cell).astype(np.int64)
    sink_cells = np.ceil((sink_high - low) / cell).astype(int) + 1 - offset
    part = np.zeros(part_cells, dtype=bool)
    for mesh in obstacles:
        part |= filled(mesh.vertices_mm, mesh.triangles, Grid(low_mm=low, cell_mm=cell, shape=part.shape))
    grid = Grid(low_mm=low + offset * cell, cell_mm=cell, shape=(sink_cells[0], sink_cells[1], sink_cells[2]))
    body = filled(sink.vertices_mm, sink.triangles, grid)
    # shared[t] counts cells of the part at x + t with x in the sink, for t from -(sink - 1) to part - 1 on each axis
    size = part_cells + sink_cells - 1
    fast = [scipy.fft.next_fast_len(int(n), real=True) for n in size]
    spectrum = scipy.fft.rfftn(part.astype(np.float64), fast, workers=-1)
    spectrum *= np.conj(scipy.fft.rfftn(body.astype(np.float64), fast, workers=-1))
    shared = scipy.fft.irfftn(spectrum, fast, workers=-1)
    shift = np.array(sink_cells) - 1
    shared = np.roll(shared, shift, axis=(0, 1, 2))[: size[0], : size[1], : size[2]]
    free = np.pad(shared < 0.5, 1, constant_values=True)
    start = shift + 1 + offset
    outside = bool((start < 1).any() or (start >= np.array(free.shape) - 1).any())
    start = np.clip(start, 0, np.array(free.shape) - 1) if outside else start
    return free, start.astype(np.int64), cell


def _rooms(free: BoolArray, start: IntArray) -> list[tuple[float, BoolArray, int]]:
    """Where to look, best ways first: (share of the work, free shifts, steps allowed)."""
    wide = scipy.ndimage.binary_erosion(free, _CROSS, border_value=1)
    near = tuple(slice(max(0, s - NEAR_CELLS), s + NEAR_CELLS + 1) for s in start)
    wide[near] |= free[near]
    return [(0.6, wide, 6), (0.75, free, 6), (0.9, free, 26)]


def _most_sweeps(corners_mm: FloatArray) -> int:
    return max(LEAST_SWEEPS, min(MOST_SWEEPS, SWEPT_TRIANGLES // len(corners_mm)))


def exact_way(
    trees: Sequence[TriangleTree], corners_mm: FloatArray, shifts_mm: FloatArray, goes_on: GoesOn = never_stop
) -> FloatArray:
    """A way with as few of the given shifts as the exact sweep allows; empty when a step can't be confirmed.

    The last step is taken without end, so that what follows the last shift is clear too.
    """
    kept, here = [np.zeros(3)], 0
    last = len(shifts_mm) - 1
    left = _most_sweeps(corners_mm)
    while True:
        moved = corners_mm + shifts_mm[here]
        for to in range(last, here, -1):
            step = shifts_mm[to] - shifts_mm[here]
            length = np.inf if to == last else float(np.linalg.norm(step))
            report(goes_on, 1.0)
            left -= 1
            if left < 0:
                return np.zeros((0, 3))
            if is_clear(trees, moved, step, length):
                break
        else:
            return np.zeros((0, 3))
        kept.append(shifts_mm[to])
        if to == last:
            return np.array(kept)
        here = to


def fitted_way(
    trees: Sequence[TriangleTree],
    corners_mm: FloatArray,
    shifts_mm: FloatArray,
    cell_mm: float,
    goes_on: GoesOn = never_stop,
) -> FloatArray:
    """The same bends, each step made a little longer or shorter until the next one is clear; empty when none fits.

    Steps of a single cell are taken as noise of the grid and dropped.
    """
    legs = np.diff(shifts_mm, axis=0)
    length = np.linalg.norm(legs, axis=1)
    real = length > 1.8 * cell_mm
    legs, length = legs[real], length[real]
    if not len(legs):
        return np.zeros((0, 3))
    left = _most_sweeps(corners_mm)
    waiting: list[list[FloatArray]] = [[np.zeros(3)]]
    while waiting and left > 0:
        report(goes_on, 1.0)
        way = waiting.pop()
        leg, nominal = legs[len(way) - 1] / length[len(way) - 1], length[len(way) - 1]
        last = len(way) == len(legs)
        most = np.inf if last else nominal + FITS[-1] * cell_mm
        contacts = [first_contact(tree, corners_mm + way[-1], leg, most, whole=not last) for tree in trees]
        left -= 1
        free = min((contact[0] for contact in contacts), default=np.inf)
        if last and not np.isfinite(free):
            return np.array([*way, way[-1] + nominal * leg])
        if not last:
            ends = nominal + FITS * cell_mm
            ends = ends[(ends > 0) & (ends < free - LEAST_CLEAR_MM)]
            nearest_last = ends[np.argsort(-np.abs(ends - nominal), kind="stable")]
            waiting += [[*way, way[-1] + end * leg] for end in nearest_last]
    return np.zeros((0, 3))


def _shortest(free: BoolArray, start: IntArray, steps: IntArray) -> IntArray:
    """(k, 3) cells at the bends of a shortest way from start to the border, both included; empty for none."""
    done, last = _wave(np.ascontiguousarray(free), start, steps)
    if last < 0:
        return np.zeros((0, 3), dtype=np.int64)
    return np.asarray(_bends(done, int(last), steps))


@kernel
def _wave(free, start, steps):  # type: ignore[no-untyped-def]
    """Number of steps plus one to each cell reached, breadth first, 0 for none; and the first border cell or -1."""
    nx, ny, nz = free.shape
    done = np.zeros((nx, ny, nz), dtype=np.int32)
    queue = np.empty(nx * ny * nz, dtype=np.int32)
    queue[0] = (start[0] * ny + start[1]) * nz + start[2]
    done[start[0], start[1], start[2]] = 1
    head, tail = 0, 1
    while head < tail:
        at = queue[head]
        head += 1
        i, j, k = at // (ny * nz), at // nz % ny, at % nz
        if i == 0 or j == 0 or k == 0 or i == nx - 1 or j == ny - 1 or k == nz - 1:
            return done, at
        for s in range(len(steps)):
            x, y, z = i + steps[s, 0], j + steps[s, 1], k + steps[s, 2]
            if free[x, y, z] and done[x, y, z] == 0:
                done[x, y, z] = done[i, j, k] + 1
                queue[tail] = (x * ny + y) * nz + z
                tail += 1
    return done, -1


@kernel
def _bends(done, last, steps):  # type: ignore[no-untyped-def]
    """Back from a cell to the start, straight on for as long as that is shortest; the cells where it turns."""
    nx, ny, nz = done.shape
    i, j, k = last // (ny * nz), last // nz % ny, last % nz
    path = np.empty((done[i, j, k] + 1, 3), dtype=np.int64)
    n, before = 0, -1
    while True:
        here = done[i, j, k]
        chosen = -1
        if here > 1:
            for s in range(-1, len(steps)):
                c = before if s < 0 else s
                if c < 0:
                    continue
                x, y, z = i + steps[c, 0], j + steps[c, 1], k + steps[c, 2]
                if 0 <= x < nx and 0 <= y < ny and 0 <= z < nz and done[x, y, z] == here - 1:
                    chosen = c
                    break
        if chosen != before or chosen < 0:
            path[n] = i, j, k
            n += 1
        if chosen < 0:
            return path[:n][::-1].copy()
        before = chosen
        i, j, k = i + steps[chosen, 0], j + steps[chosen, 1], k + steps[chosen, 2]
