"""How our inner loops are compiled: cached on disk, without the interpreter lock."""

import os
from collections.abc import Callable
from typing import Any

os.environ.setdefault("NUMBA_THREADING_LAYER", "omp")
os.environ.setdefault("OMP_WAIT_POLICY", "passive")  # waiting threads sleep, so that a busy machine stays usable

import numba

kernel: Callable[..., Any] = numba.njit(cache=True, nogil=True, fastmath=False)
"""Decorator for a single-threaded inner loop."""


def _openmp_loads() -> bool:
    """False where numba's OpenMP layer finds no OpenMP library, as on a bare Debian without libgomp1."""
    try:
        from numba.np.ufunc import omppool  # noqa: F401
    except ImportError:
        return False
    return True


parallel_kernel: Callable[..., Any] = numba.njit(cache=True, nogil=True, parallel=_openmp_loads())
"""Decorator for an inner loop spread over the cores with numba.prange."""
