"""How our inner loops are compiled: cached on disk, without the interpreter lock."""

import contextlib
import hashlib
import os
import shutil
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import platformdirs

os.environ.setdefault("NUMBA_THREADING_LAYER", "omp")
os.environ.setdefault("OMP_WAIT_POLICY", "passive")  # waiting threads sleep, so that a busy machine stays usable

import numba

KEEP_DAYS = 14
LEAST_FREE_BYTES = 200_000_000
"""All loops take about 60 MB; a disk that fills up while they are compiled would end the program."""


def _cache_folder() -> Path:
    """A folder of its own for every state of our sources: the compiler's cache doesn't see changed callees."""
    state = hashlib.sha256()
    for source in sorted(Path(__file__).parent.rglob("*.py")):
        facts = source.stat()
        state.update(f"{source}:{facts.st_size}:{facts.st_mtime_ns}".encode())
    return Path(platformdirs.user_cache_dir("underfin")) / f"kernels-{state.hexdigest()[:16]}"


def _why_no_cache(folder: Path) -> str:
    """Make the folder ready; a sentence when nothing can be kept in it, else nothing.

    What lies there is run as it is, so nobody else may write into it.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        facts = folder.stat()
        if hasattr(os, "getuid") and (facts.st_uid != os.getuid() or facts.st_mode & 0o022):
            reason = "others may write into it"
        elif shutil.disk_usage(folder).free < LEAST_FREE_BYTES:
            reason = f"its disk has less than {LEAST_FREE_BYTES // 1_000_000} MB left"
        else:
            with tempfile.TemporaryFile(dir=folder):
                return ""
    except OSError as problem:
        reason = problem.strerror or type(problem).__name__
    return f"Every start takes longer, as compiled loops can't be kept in '{folder}': {reason}."


def _drop_old_caches(folder: Path) -> None:
    with contextlib.suppress(OSError):
        os.utime(folder)
        for other in folder.parent.glob("kernels-*"):
            if time.time() - other.stat().st_mtime > KEEP_DAYS * 86400:
                shutil.rmtree(other, ignore_errors=True)


def _openmp_loads() -> bool:
    """False where numba's OpenMP layer finds no OpenMP library, as on a bare Debian without libgomp1."""
    try:
        from numba.np.ufunc import omppool  # type: ignore[attr-defined]  # noqa: F401
    except ImportError:
        return False
    return True


NO_CACHE = ""
"""A sentence when compiled loops can't be kept for the next start."""
if not numba.config.CACHE_DIR:  # type: ignore[attr-defined]
    _folder = _cache_folder()
    NO_CACHE = _why_no_cache(_folder)
    if not NO_CACHE:
        numba.config.CACHE_DIR = str(_folder)  # type: ignore[attr-defined]
        _drop_old_caches(_folder)

SPREADS = _openmp_loads()
"""False where loops run on one core only."""


def threads() -> int:
    """Cores over which this thread's loops are spread."""
    return int(numba.get_num_threads()) if SPREADS else 1


def cores() -> int:
    """Cores that this thread may keep busy, also where its loops can't be spread."""
    return threads() if SPREADS else os.cpu_count() or 1


def use_threads(n: int) -> None:
    """Spread this thread's loops over n cores, as far as there are so many."""
    if SPREADS:
        numba.set_num_threads(max(1, min(n, numba.config.NUMBA_NUM_THREADS)))  # type: ignore[attr-defined]


kernel: Callable[..., Any] = numba.njit(cache=not NO_CACHE, nogil=True)
"""Decorator for a single-threaded inner loop."""

parallel_kernel: Callable[..., Any] = numba.njit(cache=not NO_CACHE, nogil=True, parallel=SPREADS)
"""Decorator for an inner loop spread over the cores with numba.prange."""


class GridLoop:
    """An inner loop over the planes of a grid, compiled for one thread and for all.

    Sums inside a row may be reordered, which lets them be vectorised; the order doesn't depend on the threads.
    """

    def __init__(self, loop: Callable[..., Any]) -> None:
        freedom = {"reassoc", "contract", "nsz", "arcp"}
        rules: dict[str, Any] = {"cache": not NO_CACHE, "nogil": True, "error_model": "numpy", "fastmath": freedom}
        self._one = numba.njit(**rules)(loop)
        self._all = numba.njit(parallel=SPREADS, **rules)(loop)

    def __call__(self, small: bool, *arrays: Any) -> Any:
        """Run on one thread where the grid is small, as starting threads costs more than it saves there."""
        alone = small or threads() == 1
        return (self._one if alone else self._all)(*arrays)
