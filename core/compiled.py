"""How our inner loops are compiled: cached on disk, without the interpreter lock."""

import hashlib
import os
import shutil
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import platformdirs

os.environ.setdefault("NUMBA_THREADING_LAYER", "omp")
os.environ.setdefault("OMP_WAIT_POLICY", "passive")  # waiting threads sleep, so that a busy machine stays usable

import numba

KEEP_DAYS = 14


def _cache_folder() -> Path:
    """A folder of its own for every state of our sources: the compiler's cache doesn't see changed callees."""
    state = hashlib.sha256()
    for source in sorted(Path(__file__).parent.rglob("*.py")):
        facts = source.stat()
        state.update(f"{source}:{facts.st_size}:{facts.st_mtime_ns}".encode())
    return Path(platformdirs.user_cache_dir("underfin")) / f"kernels-{state.hexdigest()[:16]}"


def _drop_old_caches(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
        os.utime(folder)
        for other in folder.parent.glob("kernels-*"):
            if time.time() - other.stat().st_mtime > KEEP_DAYS * 86400:
                shutil.rmtree(other, ignore_errors=True)
    except OSError:  # an unwritable cache only costs compile time
        pass


def _openmp_loads() -> bool:
    """False where numba's OpenMP layer finds no OpenMP library, as on a bare Debian without libgomp1."""
    try:
        from numba.np.ufunc import omppool  # type: ignore[attr-defined]  # noqa: F401
    except ImportError:
        return False
    return True


if not numba.config.CACHE_DIR:  # type: ignore[attr-defined]
    numba.config.CACHE_DIR = str(_cache_folder())  # type: ignore[attr-defined]
    _drop_old_caches(Path(numba.config.CACHE_DIR))  # type: ignore[attr-defined]

kernel: Callable[..., Any] = numba.njit(cache=True, nogil=True)
"""Decorator for a single-threaded inner loop."""

parallel_kernel: Callable[..., Any] = numba.njit(cache=True, nogil=True, parallel=_openmp_loads())
"""Decorator for an inner loop spread over the cores with numba.prange."""


class GridLoop:
    """An inner loop over the planes of a grid, compiled for one thread and for all.

    Sums inside a row may be reordered, which lets them be vectorised; the order doesn't depend on the threads.
    """

    def __init__(self, loop: Callable[..., Any]) -> None:
        freedom = {"reassoc", "contract", "nsz", "arcp"}
        rules: dict[str, Any] = {"cache": True, "nogil": True, "error_model": "numpy", "fastmath": freedom}
        self._one = numba.njit(**rules)(loop)
        self._all = numba.njit(parallel=_openmp_loads(), **rules)(loop)

    def __call__(self, small: bool, *arrays: Any) -> Any:
        """Run on one thread where the grid is small, as starting threads costs more than it saves there."""
        return (self._one if small else self._all)(*arrays)
