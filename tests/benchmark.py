"""Speed and memory in figures, each beside its target; run as `python tests/benchmark.py [words]` to pick some.
`--big` adds what takes gigabytes.

Every time is the median of five runs after one that compiles, unless its line says otherwise. Other work on the
machine makes the figures worse; the load at start and end is printed for that reason.
"""

import os
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

import benchmark_beside  # noqa: E402
import benchmark_heat  # noqa: E402
import benchmark_heat_solvers  # noqa: E402
import benchmark_orient  # noqa: E402
import benchmark_own  # noqa: E402
import benchmark_window  # noqa: E402

MEASURES = (
    benchmark_own.measure_faces,
    benchmark_own.measure_load,
    benchmark_own.measure_sinks,
    benchmark_own.measure_preview,
    benchmark_own.measure_slices,
    benchmark_own.measure_checks,
    benchmark_own.measure_job,
    benchmark_orient.measure_orientations,
    benchmark_beside.measure_beside_minkowski,
    benchmark_beside.measure_beside_slicing,
    benchmark_beside.measure_beside_voxels,
    benchmark_beside.measure_beside_load,
    benchmark_beside.measure_beside_nearest,
    benchmark_heat.measure_heat_bandwidth,
    benchmark_heat_solvers.measure_heat_solvers,
    benchmark_heat_solvers.measure_heat_petsc,
    benchmark_heat.measure_heat_memory,
    benchmark_heat.measure_heat_check,
    benchmark_window.measure_window,
    benchmark_window.measure_waits,
)


def machine_line() -> str:
    """Processors and how busy they are."""
    busy = f", load {os.getloadavg()[0]:.1f}" if hasattr(os, "getloadavg") else ""
    return f"{os.cpu_count()} processors{busy}"


def main(words: list[str]) -> int:
    """Print every figure; 1 when one misses its target or can't be measured."""
    start, missed, figures = time.perf_counter(), 0, 0
    words = [word for word in words if not word.startswith("-")]
    print(machine_line(), flush=True)
    for measure in MEASURES:
        if words and not any(word in measure.__name__ for word in words):
            continue
        try:
            found = measure()
        except Exception as fault:  # noqa: BLE001  one figure that can't be had must not hide the others
            print(f"{measure.__name__}: not measured, {type(fault).__name__}: {fault}", flush=True)
            missed += 1
            continue
        for figure in found:
            missed += figure.missed
            figures += 1
            print(figure.line(), flush=True)
    print(f"{figures} figures in {time.perf_counter() - start:.0f} s, {missed} missed; {machine_line()}", flush=True)
    return int(missed > 0)


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
