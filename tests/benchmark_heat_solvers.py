"""Setup and solve of one heat problem beside general-purpose solvers: pyamg, and PETSc with hypre where it is there.

Run under MPI by PETSc's own Python, this file is also the program that times PETSc.
"""

import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import numpy as np

EULER_S = 3.0
N = 160
CASES = (("steady", None), ("backward Euler, 3 s", EULER_S))
PETSC_PYTHON = os.environ.get("PETSC_PYTHON", "/usr/bin/python3")
RANKS = 2


def measure_heat_solvers() -> list[Any]:
    """To 1e-8 in double precision, beside pyamg's classical multigrid with conjugate gradients; processor seconds."""
    from benchmark_figures import Figure

    figures = []
    for name, step_s in CASES:
        our_seconds(32, step_s, 1)
        own_s = our_seconds(N, step_s, 1)[1]
        other_s = pyamg_seconds(N, step_s)
        figures += [
            Figure(what=f"{name}, {N}³, 1:100: ours, one thread", value=own_s, unit="cpu s"),
            Figure(what=f"{name}: pyamg", value=other_s, unit="cpu s"),
            Figure(what=f"{name}: pyamg over ours", value=other_s / own_s, unit="x", target=20.0, at_least=True),
        ]
    return figures


def measure_heat_petsc() -> list[Any]:
    """The same beside PETSc's conjugate gradients with hypre on two ranks, wall time of both, where PETSc is there."""
    from benchmark_figures import Figure

    figures = []
    for name, step_s in CASES:
        other_s, iterations = petsc_seconds(N, step_s)
        our_seconds(32, step_s, RANKS)
        own_s = min(our_seconds(N, step_s, RANKS)[0] for _ in range(3))
        figures += [
            Figure(what=f"{name}, {N}³, 1:100: ours, {RANKS} threads", value=own_s, unit="s"),
            Figure(what=f"{name}: PETSc with hypre, {RANKS} ranks, {iterations} iterations", value=other_s, unit="s"),
            Figure(what=f"{name}: hypre over ours", value=other_s / own_s, unit="x", target=15.0, at_least=True),
        ]
    return figures


def our_seconds(n: int, step_s: float | None, n_threads: int) -> tuple[float, float]:
    """Wall and processor seconds for setup and solve; the residual is checked."""
    import numba
    from benchmark_heat import block

    from core.heat.multigrid import Multigrid

    links, b = block(n, np.float64, step_s)
    out = np.zeros_like(b)
    numba.set_num_threads(min(n_threads, numba.config.NUMBA_NUM_THREADS))
    wall, cpu = time.perf_counter(), time.process_time()
    solver = Multigrid(links, steady=step_s is None)
    solver.prepare()
    solver.solve(b, out, 1e-8)
    wall, cpu = time.perf_counter() - wall, time.process_time() - cpu
    numba.set_num_threads(numba.config.NUMBA_NUM_THREADS)
    again = np.zeros_like(b)
    links.apply(out, again)
    if np.linalg.norm((b - again)[1:-1, 1:-1, 1:-1]) > 2e-8 * np.linalg.norm(b):
        raise RuntimeError("The residual isn't what it should be.")
    return wall, cpu


def matrix_of(n: int, step_s: float | None) -> tuple[Any, Any]:
    """The same matrix as a sparse one, and its right-hand side."""
    import scipy.sparse as sparse
    from benchmark_heat import block

    links, b = block(n, np.float64, step_s)
    inner, number = (slice(1, -1),) * 3, np.arange(n**3).reshape((n,) * 3)
    rows, columns, values = [], [], []
    diagonal = links.own[inner].copy()
    for axis, g in enumerate((links.z, links.y, links.x)):
        after, before = (tuple(s if a == axis else slice(None) for a in range(3)) for s in (slice(1, None), slice(-1)))
        link = g[inner][after]
        diagonal[after] += link
        diagonal[before] += link
        i, j = number[after].ravel(), number[before].ravel()
        rows += [i, j]
        columns += [j, i]
        values += [-link.ravel(), -link.ravel()]
    rows.append(number.ravel())
    columns.append(number.ravel())
    values.append(diagonal.ravel())
    places = (np.concatenate(rows), np.concatenate(columns))
    return sparse.csr_matrix((np.concatenate(values), places), shape=(n**3, n**3)), b[inner].ravel()


def pyamg_seconds(n: int, step_s: float | None) -> float:
    """Processor seconds of pyamg to the same accuracy; assembling the matrix isn't counted."""
    import pyamg

    matrix, right = matrix_of(n, step_s)
    start = time.process_time()
    found = pyamg.ruge_stuben_solver(matrix).solve(right, tol=1e-8, accel="cg")
    took = time.process_time() - start
    if np.linalg.norm(right - matrix @ found) > 2e-8 * np.linalg.norm(right):
        raise RuntimeError("pyamg didn't get there.")
    return took


def petsc_seconds(n: int, step_s: float | None) -> tuple[float, int]:
    """Wall seconds of PETSc's setup and solve, and its iterations."""
    mpirun, homes = shutil.which("mpirun"), sorted(Path("/usr/lib/petscdir").glob("petsc*/*-real"))
    if mpirun is None or not homes:
        raise RuntimeError("PETSc isn't installed (Debian: python3-petsc4py, openmpi-bin).")
    matrix, right = matrix_of(n, step_s)
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "matrix.npz"
        np.savez(file, starts=matrix.indptr, columns=matrix.indices, values=matrix.data, right=right)
        start = [mpirun, "--allow-run-as-root", "--oversubscribe", "-n", str(RANKS)]
        env = os.environ | {"PETSC_DIR": os.environ.get("PETSC_DIR", str(homes[-1])), "OMP_NUM_THREADS": "1"}
        command = [*start, PETSC_PYTHON, __file__, str(file)]
        said = subprocess.run(command, env=env, check=True, capture_output=True, text=True)
    found = json.loads(said.stdout.splitlines()[-1])
    if found["residual"] > 2e-8:
        raise RuntimeError("PETSc didn't get there.")
    return found["seconds"], found["iterations"]


def _solve_with_petsc(file: str) -> None:
    """One rank: its rows of the matrix, conjugate gradients with hypre's BoomerAMG to 1e-8."""
    import petsc4py

    petsc4py.init([])
    from petsc4py import PETSc

    held = np.load(file)
    starts, right = held["starts"], held["right"]
    world = PETSc.COMM_WORLD
    size = len(right)
    low, high = (size * r // world.size for r in (world.rank, world.rank + 1))
    rows = slice(starts[low], starts[high])
    own = (starts[low : high + 1] - starts[low]).astype(np.int32), held["columns"][rows].astype(np.int32)
    sizes = (high - low, size)
    matrix = PETSc.Mat().createAIJ((sizes, sizes), csr=(*own, held["values"][rows]), comm=world)
    b, x = matrix.createVecs()
    b.setArray(right[low:high])
    solver = PETSc.KSP().create(world)
    solver.setOperators(matrix)
    solver.setType("cg")
    solver.setNormType(PETSc.KSP.NormType.UNPRECONDITIONED)
    solver.getPC().setType("hypre")
    solver.setTolerances(rtol=1e-8, max_it=500)
    world.barrier()
    start = time.perf_counter()
    solver.setUp()
    solver.solve(b, x)
    world.barrier()
    seconds = time.perf_counter() - start
    left = b.duplicate()
    matrix.mult(x, left)
    left.aypx(-1.0, b)
    facts = {"seconds": seconds, "iterations": solver.getIterationNumber(), "residual": left.norm() / b.norm()}
    if world.rank == 0:
        print(json.dumps(facts))


if __name__ == "__main__":
    _solve_with_petsc(sys.argv[1])
