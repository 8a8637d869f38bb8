"""The loops of core.heat.conduction and cell_heat on an NVIDIA card, through CuPy; same names, same arguments."""

from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

BLOCK = (32, 4, 2)
"""Threads a block along x, y, z."""

SOURCE = Path(__file__).with_suffix(".cu")


@cache
def _module(kind: str) -> Any:
    import cupy

    return cupy.RawModule(code=f"typedef {kind} real;\n{SOURCE.read_text(encoding='utf-8')}")


def _launch(name: str, like: Any, *arguments: Any, sums: bool = False) -> Any:
    """Run one kernel over the real cells of an array; returns the sum of what its blocks summed, still on the card."""
    import cupy

    nz, ny, nx = like.shape
    grid = tuple(-(-(n - 2) // b) for n, b in zip((nx, ny, nz), BLOCK, strict=True))
    kind = "double" if like.dtype == np.float64 else "float"
    held = cupy.empty(grid[0] * grid[1] * grid[2], np.float64) if sums else None
    kernel = _module(kind).get_function(name)
    kernel(grid, BLOCK, (np.int32(nz), np.int32(ny), np.int32(nx), *arguments, *(() if held is None else (held,))))
    return None if held is None else held.sum()


class CardLoops:
    """Stands in for the module core.heat.conduction and for core.heat.cell_heat on a card."""

    @staticmethod
    def apply_dot(small: bool, x: Any, y: Any, z: Any, own: Any, t: Any, out: Any) -> Any:
        return _launch("apply_dot", t, x, y, z, own, t, out, sums=True)

    @staticmethod
    def inverse_diagonal(small: bool, x: Any, y: Any, z: Any, own: Any, out: Any) -> None:
        _launch("inverse_diagonal", own, x, y, z, own, out)

    @staticmethod
    def two_sweeps(small: bool, x: Any, y: Any, z: Any, inverse: Any, b: Any, out: Any, *weights: Any) -> None:
        _launch("two_sweeps", b, x, y, z, inverse, b, out, *weights)

    @staticmethod
    def sweep_dot(small: bool, x: Any, y: Any, z: Any, inverse: Any, b: Any, t: Any, out: Any, weight: Any) -> Any:
        return _launch("sweep_dot", t, x, y, z, inverse, b, t, out, weight, sums=True)

    @staticmethod
    def residual_restricted(small: bool, x: Any, y: Any, z: Any, own: Any, b: Any, t: Any, coarse: Any) -> None:
        fine = tuple(np.int32(n) for n in t.shape)
        _launch("residual_restricted", coarse, *fine, x, y, z, own, b, t, coarse)

    @staticmethod
    def prolong_add(small: bool, coarse: Any, t: Any) -> None:
        _launch("prolong_add", t, np.int32(coarse.shape[1]), np.int32(coarse.shape[2]), coarse, t)

    @staticmethod
    def coarse_links(small: bool, x: Any, y: Any, z: Any, own: Any, cx: Any, cy: Any, cz: Any, cown: Any) -> None:
        fine = tuple(np.int32(n) for n in own.shape)
        _launch("coarse_links", cown, *fine, x, y, z, own, cx, cy, cz, cown)

    @staticmethod
    def conjugate_step(small: bool, t: Any, p: Any, r: Any, q: Any, alpha: Any) -> Any:
        return _launch("conjugate_step", t, t, p, r, q, alpha, sums=True)

    @staticmethod
    def new_direction(small: bool, p: Any, z: Any, beta: Any) -> None:
        _launch("new_direction", p, p, z, beta)

    @staticmethod
    def square_sum(small: bool, a: Any) -> Any:
        return _launch("square_sum", a, a, sums=True)

    @staticmethod
    def set_links(small: bool, rise: Any, base_k: float, *arguments: Any) -> None:
        metal, walls, powder, axis, tables, first_k, step_k, cell_m, high, out = arguments
        back = tuple(np.int32(axis == a) for a in (2, 1, 0))
        _launch("set_links", rise, rise, float(base_k), metal, walls, powder, *back, tables, np.int32(tables.shape[1]),
                float(first_k), float(step_k), float(cell_m), np.int32(high), out)  # fmt: skip

    @staticmethod
    def take_heat(small: bool, moved: Any, mass: Any, heat: Any, rise: Any, capacity: Any, base_k: float,
                  base_j_kg: float, enthalpy: Any, first_k: float, step_k: float, high: int) -> Any:  # fmt: skip
        return _launch("take_heat", rise, moved, mass, heat, rise, capacity, float(base_k), float(base_j_kg), enthalpy,
                       np.int32(len(enthalpy)), float(first_k), float(step_k), np.int32(high), sums=True)  # fmt: skip
