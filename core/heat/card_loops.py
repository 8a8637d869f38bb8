"""The loops of conduction, cycle_loops and cell_heat on an NVIDIA card, through CuPy; same names, same arguments."""

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


def _size(fine: Any) -> tuple[Any, ...]:
    return tuple(np.int32(n) for n in fine.shape)


def _inverse(x: Any, y: Any, z: Any, own: Any) -> Any:
    """1/diagonal, in memory that CuPy's pool takes back; ghosts are 0."""
    out = np.zeros_like(own)
    _launch("inverse_diagonal", own, x, y, z, own, out)
    return out


class CardLoops:
    """Stands in for the loops of core.heat.conduction, cycle_loops and cell_heat on a card."""

    @staticmethod
    def apply_dot(small: bool, x: Any, y: Any, z: Any, own: Any, t: Any, out: Any) -> Any:
        return _launch("apply_dot", t, x, y, z, own, t, out, sums=True)

    @staticmethod
    def flow_in(small: bool, x: Any, y: Any, z: Any, t: Any, out: Any) -> None:
        _launch("flow_in", t, x, y, z, t, out)

    @staticmethod
    def add_scaled(small: bool, a: Any, one: Any, b: Any, two: Any) -> None:
        _launch("add_scaled", a, a, one, b, two)

    @staticmethod
    def go_down(small: bool, x: Any, y: Any, z: Any, own: Any, b: Any, t: Any, coarse: Any, first: Any, second: Any,
                threads: int) -> None:  # fmt: skip
        inverse = _inverse(x, y, z, own)
        _launch("two_sweeps", b, x, y, z, inverse, b, t, first, second)
        CardLoops.leave(small, x, y, z, own, b, t, coarse)

    @staticmethod
    def leave(small: bool, x: Any, y: Any, z: Any, own: Any, b: Any, t: Any, coarse: Any) -> None:
        _launch("leave", coarse, *_size(t), x, y, z, own, b, t, coarse)

    @staticmethod
    def go_up(small: bool, x: Any, y: Any, z: Any, own: Any, b: Any, t: Any, coarse: Any, first: Any, second: Any,
              threads: int) -> Any:  # fmt: skip
        inverse, once = _inverse(x, y, z, own), np.zeros_like(t)
        _launch("prolong_add", t, np.int32(coarse.shape[1]), np.int32(coarse.shape[2]), coarse, t)
        _launch("sweep_dot", t, x, y, z, inverse, b, t, once, first, sums=True)
        return _launch("sweep_dot", t, x, y, z, inverse, b, once, t, second, sums=True)

    @staticmethod
    def coarse_links(small: bool, x: Any, y: Any, z: Any, cx: Any, cy: Any, cz: Any) -> None:
        _launch("coarse_links", cx, *_size(x), x, y, z, cx, cy, cz)

    @staticmethod
    def coarse_sums(small: bool, fine: Any, coarse: Any) -> None:
        _launch("coarse_sums", coarse, *_size(fine), fine, coarse)

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
    def take_heat(small: bool, moved: Any, metal: Any, heat: Any, rise: Any, capacity: Any, kg: float, loose: float,
                  base_k: float, base_j_kg: float, enthalpy: Any, first_k: float, step_k: float,
                  high: int) -> Any:  # fmt: skip
        facts = (float(kg), float(loose), float(base_k), float(base_j_kg))
        return _launch("take_heat", rise, moved, metal, heat, rise, capacity, *facts, enthalpy,
                       np.int32(len(enthalpy)), float(first_k), float(step_k), np.int32(high), sums=True)  # fmt: skip
