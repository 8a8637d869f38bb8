"""How fast the build is on an NVIDIA card: bandwidth of one operator pass, and layers of 30 and 200 million cells.

Run on a machine with a card and the extra `card`: python tests/benchmark_card.py
"""

import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
import cupy

from core.heat.build_3d import Build
from core.heat.cell_heat import METAL_UNIT, POWDER_UNIT
from core.heat.heat_choice import HeatChoice
from core.heat.heat_grid import HeatGrid, in_units
from core.heat.heat_tables import heat_tables
from core.heat.laser_settings import LaserSettings
from core.heat.machine import PROCESSOR, Machine, card
from core.heat.materials import alloy
from core.heat.multigrid import Multigrid, empty_links
from core.heat.powder_choice import PowderChoice


def columns(n: int, cell_mm: float = 0.25) -> HeatGrid:
    """n³ cells of metal columns in powder, without triangles, which would take longer than the run."""
    metal = np.zeros((n + 2,) * 3, np.float32)
    stripes = (np.arange(n) // 12) % 2 == 0
    metal[1:-1, 1:-1, 1:-1] = stripes[None, :, None] & stripes[None, None, :]
    links = in_units(metal, METAL_UNIT, np.uint16)
    powder = in_units(1.0 - metal, POWDER_UNIT, np.uint8)
    walls = np.zeros(links.shape, np.uint8)
    return HeatGrid(
        low_mm=np.zeros(3),
        cell_mm=cell_mm,
        metal=links,
        metal_links=(links, links, links),
        walls=(walls, walls, walls),
        powder_links=(powder, powder, powder),
    )


def copy_gb_s(machine: Machine) -> float:
    """Bytes read and written per second by a copy of 2 GB."""
    a = machine.xp.zeros(500_000_000, np.float32)
    b = machine.xp.empty_like(a)
    return 2 * a.nbytes / best(lambda: b.__setitem__(slice(None), a), machine) / 1e9


def best(work: object, machine: Machine, times: int = 7) -> float:
    found = []
    for _ in range(times):
        start = time.perf_counter()
        work()  # type: ignore[operator]
        if machine.xp is not np:
            cupy.cuda.runtime.deviceSynchronize()
        found.append(time.perf_counter() - start)
    return min(found)


def operator_gb_s(machine: Machine, n: int, kind: type) -> float:
    """Six arrays read or written by A t: four of links, t, and the result."""
    links = empty_links((n + 2,) * 3, kind, machine)
    t, out = machine.xp.ones_like(links.own), machine.xp.empty_like(links.own)
    return 6 * t.nbytes / best(lambda: links.apply(t, out), machine) / 1e9


def steady_s(machine: Machine, n: int) -> tuple[float, int]:
    """Multigrid to 1e-8 in double precision, contrast 1:100; seconds with set-up, iterations."""
    rng = np.random.default_rng(1)
    k = np.where(rng.random((n // 8,) * 3) < 0.5, 20.0, 0.2).repeat(8, 0).repeat(8, 1).repeat(8, 2)
    links = empty_links((n + 2,) * 3, np.float64, machine)
    inner = (slice(1, -1),) * 3
    for axis, out in ((2, links.x), (1, links.y), (0, links.z)):
        a, b = np.take(k, range(n - 1), axis), np.take(k, range(1, n), axis)
        place = list(inner)
        place[axis] = slice(2, -1)
        out[tuple(place)] = machine.array(2e-4 * a * b / (a + b))
    links.own[1, 1:-1, 1:-1] = 4e-4 * machine.array(k[0])
    right, rise = machine.xp.zeros_like(links.own), machine.xp.zeros_like(links.own)
    right[-2, 1:-1, 1:-1] = 1e-3
    iterations = 0
    start = time.perf_counter()
    solver = Multigrid(links, steady=True)
    solver.prepare()
    iterations = solver.solve(right, rise, 1e-8)
    return time.perf_counter() - start, iterations


def layer_s(machine: Machine, n: int) -> tuple[float, int]:
    """Seconds for one more layer on a build of n³ cells that stands up to its top, and iterations."""
    steel = heat_tables(alloy("316L"), PowderChoice())
    build = Build(columns(n), steel, LaserSettings(), HeatChoice(), machine=machine)
    build.state.layer = n - 1
    build.add_layer()
    before, start = build.state.iterations, time.perf_counter()
    build.expose(n)
    if machine.xp is not np:
        cupy.cuda.runtime.deviceSynchronize()
    return time.perf_counter() - start, build.state.iterations - before


def main() -> None:
    its = card()
    print(its.name)
    copy = copy_gb_s(its)
    print(f"copy {copy:.0f} GB/s")
    for kind in (np.float32, np.float64):
        rate = operator_gb_s(its, 400, kind)
        print(f"operator {kind.__name__}, 64 M cells: {rate:.0f} GB/s, {rate / copy:.0%} of the copy")
    for machine in (its, its, PROCESSOR):
        seconds, n = steady_s(machine, 160)
        print(f"steady 160³ to 1e-8, double, {machine.name}: {seconds:.2f} s, {n} iterations")
    for n in (310, 585):
        seconds, iterations = layer_s(its, n)
        a_cell = cupy.get_default_memory_pool().total_bytes() / n**3
        print(f"one layer on {n**3 / 1e6:.0f} M cells: {seconds:.2f} s, {iterations} iterations, {a_cell:.0f} B a cell")
        cupy.get_default_memory_pool().free_all_blocks()
    seconds, iterations = layer_s(PROCESSOR, 160)
    print(f"one layer on 4 M cells, processor: {seconds:.2f} s, {iterations} iterations")


if __name__ == "__main__":
    main()
