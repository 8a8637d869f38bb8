"""Speed and memory of the 3-D heat beside this machine's bandwidth and the targets.

The machine's other users slow wall times down, so processor seconds of the process stand beside them.
`--big` also puts up a grid of 30 million cells.
"""

import os
import subprocess
import sys
import time
import tracemalloc
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numba
import numpy as np
from benchmark_figures import Figure

from core.heat.build_3d import Build
from core.heat.conduction import apply_dot
from core.heat.heat_choice import HeatChoice
from core.heat.heat_grid import grid_around, heat_grid
from core.heat.heat_tables import heat_tables
from core.heat.laser_settings import LaserSettings
from core.heat.materials import alloy
from core.heat.multigrid import Links, empty_links
from core.heat.powder_choice import PowderChoice
from core.units import FloatArray

ROOT = Path(__file__).resolve().parent.parent
BRACKET = ROOT / "sample_parts" / "sensor-bracket.stl"
SIDE_M = 0.048
METAL_W_MK, POWDER_W_MK = 20.0, 0.2
BIG_CELLS = 30e6


@numba.njit(parallel=True, fastmath=True)
def triad(a, b, c, s):  # type: ignore[no-untyped-def]
    """a = b + s c: the triad of McCalpin's STREAM, counted as 12 bytes an element in single precision."""
    for i in numba.prange(a.size):
        a[i] = b[i] + s * c[i]


def block(n: int, dtype: type[np.floating], step_s: float | None) -> tuple[Links, FloatArray]:
    """Operator and heat of a cube of n³ cells, 48 mm wide: plate, wall, ledge and a finned sink one cell below it.

    Metal to powder 100 : 1. Held underside, 30 W/m²K above, 20 kW/m² into every top face of metal. step_s: one
    backward Euler step so long; None for the steady state.
    """
    h, k = SIDE_M / n, np.full((n, n, n), POWDER_W_MK)

    def at(share: float) -> int:
        return round(share * n)

    k[: at(0.1)] = METAL_W_MK
    k[:, :, : at(0.15)] = METAL_W_MK
    k[at(0.6) : at(0.65), at(0.1) : at(0.9), : at(0.9)] = METAL_W_MK
    for start in np.arange(0.2, 0.85, 0.1):
        k[at(0.1) : at(0.6) - 1, at(0.1) : at(0.9), at(start) : at(start) + max(1, at(0.04))] = METAL_W_MK
    k[at(0.6) - 3 : at(0.6) - 1, at(0.1) : at(0.9), at(0.2) : at(0.9)] = METAL_W_MK
    links, b, inner = empty_links((n + 2,) * 3, dtype), np.zeros((n + 2,) * 3, dtype), slice(1, -1)
    links.x[inner, inner, 2:-1] = 2 * h / (1 / k[:, :, 1:] + 1 / k[:, :, :-1])
    links.y[inner, 2:-1, inner] = 2 * h / (1 / k[:, 1:] + 1 / k[:, :-1])
    links.z[2:-1, inner, inner] = 2 * h / (1 / k[1:] + 1 / k[:-1])
    links.own[1, inner, inner] = 2 * k[0] * h
    links.own[-2, inner, inner] += h * h / (1 / 30 + h / 2 / k[-1])
    metal = k > 1
    if step_s is not None:
        links.own[inner, inner, inner] += np.where(metal, 4e6, 2.2e6) * h**3 / step_s
    top = metal.copy()
    top[:-1] &= ~metal[1:]
    b[inner, inner, inner] = 2e4 * h * h * top
    return links, b


def best(work: Callable[[], object], runs: int = 7) -> float:
    """Least wall time of some runs after one that compiles: what the machine can do when it is left alone."""
    work()
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def measure_heat_bandwidth() -> list[Figure]:
    """One pass of the operator beside the triad, single precision, on one thread and on two.

    Both are counted alike: bytes asked for (triad 12 an element, operator 24 a cell: five arrays read, one written),
    and again with the line that a store reads first (16 and 28). The target is for the first count.
    """
    n, most = 160, numba.config.NUMBA_NUM_THREADS
    a, b, c = (np.ones(n**3 * 6, np.float32) for _ in range(3))
    links, _ = block(n, np.float32, None)
    t, out = np.ones(links.own.shape, np.float32), np.zeros(links.own.shape, np.float32)
    figures = []
    for threads in sorted({1, min(2, most)}):
        numba.set_num_threads(threads)
        machine, took = 0.0, np.inf
        for _ in range(3):  # in turns, as the machine's other users come and go
            machine = max(machine, a.size / best(lambda: triad(a, b, c, np.float32(0.5))) / 1e9)
            took = min(took, best(lambda: apply_dot(False, *links.all, t, out)))
        own = n**3 / took / 1e9
        figures += [
            Figure(what=f"triad, single precision, {threads} thread(s)", value=12 * machine, unit="GB/s"),
            Figure(what=f"operator pass at 160³, {threads} thread(s)", value=took / n**3 * 1e9, unit="ns a cell"),
            Figure(what="its share of the triad's bandwidth", value=100 * 24 * own / (12 * machine), unit="%",
                   target=85.0, at_least=True),
            Figure(what="the same with what a store reads first", value=100 * 28 * own / (16 * machine), unit="%"),
        ]  # fmt: skip
    numba.set_num_threads(most)
    return figures


def measure_heat_memory() -> list[Figure]:
    """Peak of all arrays of one build and its grid, temporary ones included, per cell of a full-height step."""
    figures = []
    for name, double, target in (("single", False, 80.0), ("double", True, 150.0)):
        _full_height_step(1e5, double)  # compiles, which takes memory of its own
        tracemalloc.start()
        n = _full_height_step(1e6, double)
        peak = tracemalloc.get_traced_memory()[1] / n
        tracemalloc.stop()
        figures += [
            Figure(what=f"memory of a build, {name} precision", value=peak, unit="B a cell", target=target),
            Figure(what="the same by the process's resident memory", value=_resident_step(double), unit="B a cell"),
        ]
        what = f"30 million cells, {name} precision, by calculation"
        figures.append(Figure(what=what, value=peak * BIG_CELLS / 1e9, unit="GB"))
    if "--big" in sys.argv:
        code = f"import benchmark_heat as b; b._full_height_step({BIG_CELLS}, False)"
        folders = os.pathsep.join([str(ROOT), str(ROOT / "tests")])
        child = subprocess.Popen([sys.executable, "-c", code], env=os.environ | {"PYTHONPATH": folders})
        _, status, usage = os.wait4(child.pid, 0)
        child.returncode = os.waitstatus_to_exitcode(status)
        if child.returncode:
            raise RuntimeError(f"30 million cells ended with {child.returncode}.")
        what = "30 million cells, single precision, peak of the process"
        figures.append(Figure(what=what, value=usage.ru_maxrss / 1024**2, unit="GiB"))
    return figures


def _resident_step(double: bool, cells: float = 4e6) -> float:
    """What a process of its own grows by at most while it works on a large build, compiling left out; B a cell."""
    code = (
        "import resource, benchmark_heat as b\n"
        f"b._full_height_step(1e5, {double})\n"
        "before = int(open('/proc/self/statm').read().split()[1]) * resource.getpagesize()\n"
        f"n = b._full_height_step({cells}, {double})\n"
        "print((resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024 - before) / n)"
    )
    folders = os.pathsep.join([str(ROOT), str(ROOT / "tests")])
    child = subprocess.run([sys.executable, "-c", code], env=os.environ | {"PYTHONPATH": folders}, check=True,
                           capture_output=True, text=True)  # fmt: skip
    return float(child.stdout.split()[-1])


def _full_height_step(cells: float, double: bool) -> int:
    """Grid of the bracket and the last layer of its build; returns the number of cells."""
    from core.heat.compare_heat import cell_for
    from core.part.load_part import load_part

    corners, choice = load_part(BRACKET).corners_mm, HeatChoice(double=double)
    cell_mm = cell_for(corners, int(cells), choice.margin_mm)
    low, shape = grid_around(corners, cell_mm, choice.margin_mm)
    tables = heat_tables(alloy("316L"), PowderChoice())
    build = Build(heat_grid(corners, low, cell_mm, shape), tables, LaserSettings(), choice)
    build.state.layer = shape[0] - 1
    build.add_layer()
    return int(np.prod(shape))


def measure_heat_check() -> list[Figure]:
    """The standard check: the sensor bracket in cells of 0.65 mm, about 110 layers of them, with sinks and without."""
    from core.job_file import new_job
    from core.run_heat import run_heat
    from core.run_job import run_job

    result = run_job(replace(new_job(BRACKET)), all_patches=True)
    run_heat(result, HeatChoice(cell_mm=1.5))  # compiles
    wall, cpu = time.perf_counter(), time.process_time()
    found = run_heat(result, HeatChoice(cell_mm=0.65))
    wall, cpu = time.perf_counter() - wall, time.process_time() - cpu
    unaccounted = max(found.with_sinks.imbalance, found.without.imbalance)
    return [
        Figure(what=f"standard check, {found.n_cells / 1e6:.2f} million cells", value=wall, unit="s", target=60.0),
        Figure(what="its processor time", value=cpu, unit="cpu s"),
        Figure(what="heat unaccounted for, parts in 10⁶", value=unaccounted * 1e6, unit="", target=1.0),
    ]
