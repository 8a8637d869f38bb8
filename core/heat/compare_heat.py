"""The build followed twice, with and without its sinks, and how sure we are of the difference."""

import math
import os
from dataclasses import dataclass
from typing import Protocol

from core.heat.build_3d import Build
from core.heat.coarse_builds import CoarseRises, Followed, cell_for, coarse_rises
from core.heat.free_memory import free_bytes
from core.heat.heat_choice import HeatChoice
from core.heat.heat_grid import grid_around, heat_grid, metal_shares
from core.heat.heat_result import HeatRun, PatchHeat, heat_run, host_state, patch_heat
from core.heat.heat_tables import heat_tables
from core.heat.machine import PROCESSOR, Machine, card
from core.progress import GoesOn, Stopped, never_stop, part_of, report
from core.refusal import Refusal
from core.side_by_side import both_of
from core.units import FloatArray

__all__ = ["HeatComparison", "Keep", "cell_for", "compare_heat"]

CELLS_WANTED = 1_000_000
BYTES_A_CELL = {False: 100, True: 170}
"""The benchmark measures 82 and 147 for one build; the part's own cells and a reserve come on top."""
MOST_BYTES = 20e9
MEMORY_SHARE, FREE_SHARE = 0.8, 0.9
"""Of the machine's memory, and of what other programs and a container's limit leave of it, when those are less."""


@dataclass(frozen=True, kw_only=True, eq=False)
class HeatComparison:
    """Both builds on one grid; differences are what the sinks do."""

    cell_mm: float
    n_cells: int
    with_sinks: HeatRun
    without: HeatRun
    patches: tuple[PatchHeat, ...]
    choice: HeatChoice = HeatChoice()
    """What was asked for; with the job, all that the outcome depends on."""

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


def compare_heat(followed: Followed, goes_on: GoesOn = never_stop, keep: Keep | None = None) -> HeatComparison:
    """Follow the build of a placed part with its sinks and without.

    The band of every patch: low and high powder conductivity and absorptivity, followed on a coarse grid; the fine
    rise moves in the same proportion. The error of the cells: how far it moves on larger ones.
    Raises Refusal when the grid needs more memory than there should be, or a card is asked for and there is none.
    """
    part, patches, choice, laser = followed.part, followed.patches, followed.choice, followed.laser
    machine = card() if choice.machine == "card" else PROCESSOR
    both = followed.both_mm
    cell_mm = choice.cell_mm or followed.cell_for(CELLS_WANTED)
    low, shape = grid_around(both, cell_mm, choice.margin_mm)
    needed = math.prod(shape) * BYTES_A_CELL[choice.double]
    _check_room(needed, cell_mm, machine)
    tables = heat_tables(followed.alloy, followed.powder)
    part_metal = metal_shares(part.corners_mm, low, cell_mm, shape)

    def run(name: str, corners_mm: FloatArray, goes_on: GoesOn) -> HeatRun:
        build = Build(heat_grid(corners_mm, low, cell_mm, shape), tables, laser, choice, machine=machine)
        _follow(name, build, goes_on, keep)
        return heat_run(build.grid, host_state(build.state), part, part_metal, laser.preheat_c, choice.recoat_s)

    def with_the_sinks(goes_on: GoesOn) -> HeatRun:
        return run("with sinks", both, goes_on)

    def without_them(goes_on: GoesOn) -> tuple[HeatRun, CoarseRises]:
        """And the coarse builds, as metal that isn't there leaves time for them."""
        bare = run("without sinks", part.corners_mm, part_of(goes_on, 0.0, 0.85))
        return bare, coarse_rises(followed, cell_mm, part_of(goes_on, 0.85, 1.0), machine)

    two_fit = machine is PROCESSOR and 2 * needed <= _room(machine)
    with_sinks, (without, coarse) = both_of(with_the_sinks, without_them, goes_on, at_once=two_fit)
    return HeatComparison(
        choice=choice,
        cell_mm=cell_mm,
        n_cells=math.prod(shape),
        with_sinks=with_sinks,
        without=without,
        patches=tuple(
            patch_heat(part, patch, with_sinks, without, share, coarse.larger_of(p), laser.preheat_c)
            for p, (patch, share) in enumerate(zip(patches, coarse.shares(), strict=True))
        ),
    )


def _room(machine: Machine) -> float:
    """Bytes that may be used, in this machine or on its card."""
    if machine is not PROCESSOR:
        return MEMORY_SHARE * float(machine.xp.cuda.runtime.memGetInfo()[1])
    if hasattr(os, "sysconf"):
        all_bytes = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES")
        return min(MOST_BYTES, MEMORY_SHARE * all_bytes, FREE_SHARE * free_bytes())
    return MOST_BYTES


def _check_room(needed: float, cell_mm: float, machine: Machine) -> None:
    """Refuse cells for which there is no memory."""
    room = _room(machine)
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
