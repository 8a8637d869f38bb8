"""Conjugate gradients with one multigrid cycle as preconditioner, on the cells built so far."""

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from core.compiled import threads
from core.heat import conduction
from core.heat.machine import PROCESSOR, Machine, to_host
from core.refusal import Refusal
from core.units import FloatArray

WEIGHTS_V = (1.389, 0.562)
"""Chebyshev-Jacobi weights of degree 2 on [2/4, 2]."""
WEIGHTS_W = (1.975, 0.573)
"""The same on [2/8, 2]; with two visits a level, the rougher errors can be left to the sweeps."""
SMALL_CELLS = 45**3
"""Up to this, starting threads costs more than they save."""
COARSEST = 3
MOST_ITERATIONS = 400


@dataclass(frozen=True, kw_only=True, eq=False)
class Links:
    """The operator of one grid: conductances x, y, z and own, W/K, arrays as core.heat.conduction says."""

    x: FloatArray
    y: FloatArray
    z: FloatArray
    own: FloatArray
    machine: Machine = PROCESSOR

    @property
    def all(self) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
        return self.x, self.y, self.z, self.own

    @property
    def small(self) -> bool:
        return self.own.size <= SMALL_CELLS

    def up_to(self, high: int) -> "Links":
        """The operator on the lowest `high` planes, in the same memory; the caller cuts the topmost link."""
        return replace(self, x=self.x[: high + 2], y=self.y[: high + 2], z=self.z[: high + 2], own=self.own[: high + 2])

    def apply(self, t: FloatArray, out: FloatArray) -> float:
        """out = A t; returns the sum of t A t."""
        return float(self.machine.loops.apply_dot(self.small, *self.all, t, out))


def empty_links(shape: tuple[int, ...], dtype: type[np.floating], machine: Machine = PROCESSOR) -> Links:
    """Links of padded shape (nz+2, ny+2, nx+2), all zero."""
    x, y, z, own = (machine.xp.zeros(shape, dtype) for _ in range(4))
    return Links(x=x, y=y, z=z, own=own, machine=machine)


@dataclass(frozen=True, kw_only=True, eq=False)
class _Level:
    links: Links
    b: FloatArray
    t: FloatArray

    def up_to(self, high: int) -> "_Level":
        cut = slice(0, high + 2)
        return _Level(links=self.links.up_to(high), b=self.b[cut], t=self.t[cut])


class Multigrid:
    """Solver on one grid whose links may change; memory is taken once. Arrays of links.own's type, f32 or f64.

    Besides the links it holds three arrays of the grid's size, and the coarser levels.
    """

    def __init__(self, links: Links, *, steady: bool = False) -> None:
        self._steady = steady
        dtype = links.own.dtype.type
        self._weights = tuple(dtype(w) for w in (WEIGHTS_W if steady else WEIGHTS_V))
        self._one = dtype
        self._loops = links.machine.loops
        self._full = [self._level(links)]
        while max(self._full[-1].b.shape) - 2 > COARSEST:
            shape = tuple((n - 1) // 2 + 2 for n in self._full[-1].b.shape)
            self._full.append(self._level(empty_links(shape, dtype, links.machine)))
        self._p = np.zeros_like(links.own)
        self._levels = self._full
        self._threads = 1
        self._coarsest: FloatArray = np.zeros((0, 0))

    @staticmethod
    def _level(links: Links) -> _Level:
        return _Level(links=links, b=np.zeros_like(links.own), t=np.zeros_like(links.own))

    @property
    def right(self) -> FloatArray:
        """The right-hand side, on as many planes as were prepared: to be filled before `go_on`, the residual after."""
        return self._levels[0].b

    @property
    def scratch(self) -> FloatArray:
        """As large as `right`; free between two solves."""
        return self._levels[0].t

    def prepare(self, high: int | None = None, *, same_links: bool = False) -> None:
        """Take over the links as they are now, on the lowest `high` planes (all when None).

        same_links: nothing but own has changed since the last time.
        """
        nz = self._full[0].b.shape[0] - 2 if high is None else high
        levels: list[_Level] = []
        for n, full in enumerate(self._full):
            level = full.up_to(nz)
            if n:
                fine, coarse = levels[n - 1].links, level.links
                if not same_links:
                    self._loops.coarse_links(fine.small, *fine.all[:3], *coarse.all[:3])
                self._loops.coarse_sums(fine.small, fine.own, coarse.own)
            for array in (*level.links.all, level.b, level.t):
                array[-1] = 0  # what was a plane of a higher build is the ghost layer now
            levels.append(level)
            nz = (nz + 1) // 2
        self._levels = levels
        self._coarsest = self._full[0].links.machine.array(np.linalg.pinv(_dense(levels[-1].links)))

    def solve(self, b: FloatArray, out: FloatArray, tolerance: float) -> int:
        """out solves A out = b until the residual is `tolerance` of b; out and b (nz+2, ny+2, nx+2). Iterations.

        Raises Refusal when it doesn't get there, which means a matrix that isn't one of heat flow.
        """
        self.right[...] = b
        out.fill(0)
        return self.go_on(out, tolerance)

    def go_on(self, out: FloatArray, tolerance: float) -> int:
        """Add to out what solves A x = `right`, which is the residual afterwards. Iterations; raises as `solve`."""
        level = self._levels[0]
        links, small, r, z = level.links, level.links.small, level.b, level.t
        p = self._p[: len(r)]
        self._threads = threads()
        aim = tolerance**2 * float(self._loops.square_sum(small, r))
        if aim == 0.0:
            return 0
        before = math.inf
        p.fill(0)
        for n in range(MOST_ITERATIONS):
            agreed = float(self._cycle(0))
            self._loops.new_direction(small, p, z, self._one(agreed / before))
            alpha = agreed / links.apply(p, z)  # z isn't needed any more and takes A p
            if self._loops.conjugate_step(small, out, p, r, z, self._one(alpha)) <= aim:
                return n + 1
            before = agreed
        raise Refusal("The heat equations weren't solved; use larger cells or double precision.")

    def _cycle(self, n: int) -> Any:
        """Improve level n from zero; returns the sum of b t."""
        level = self._levels[n]
        if n == len(self._levels) - 1:
            inner = level.b[1:-1, 1:-1, 1:-1]
            level.t[1:-1, 1:-1, 1:-1] = (self._coarsest @ inner.ravel()).reshape(inner.shape)
            return 0.0
        links, below = level.links, self._levels[n + 1]
        self._loops.go_down(links.small, *links.all, level.b, level.t, below.b, *self._weights, self._threads)
        self._cycle(n + 1)
        if self._steady and n + 1 < len(self._levels) - 1:
            self._again(n + 1)
        return self._up(n, *self._weights[::-1])

    def _again(self, n: int) -> None:
        """A second visit to level n, from what stands in t."""
        level, below = self._levels[n], self._levels[n + 1]
        below.t.fill(0)
        self._up(n, *self._weights)
        self._loops.leave(level.links.small, *level.links.all, level.b, level.t, below.b)
        self._cycle(n + 1)
        if n + 1 < len(self._levels) - 1:
            self._again(n + 1)
        self._up(n, *self._weights[::-1])

    def _up(self, n: int, first: np.floating, second: np.floating) -> Any:
        level = self._levels[n]
        links = level.links
        below = self._levels[n + 1]
        return self._loops.go_up(links.small, *links.all, level.b, level.t, below.t, first, second, self._threads)


def _dense(links: Links) -> FloatArray:
    """The matrix of a tiny grid."""
    arrays = [to_host(array) for array in links.all]
    shape = tuple(n - 2 for n in links.own.shape)
    n = math.prod(shape)
    unit, column = np.zeros_like(arrays[3]), np.zeros_like(arrays[3])
    matrix = np.zeros((n, n))
    for c in range(n):
        unit[1:-1, 1:-1, 1:-1] = np.eye(1, n, c).reshape(shape)
        conduction.apply_dot(True, *arrays, unit, column)
        matrix[:, c] = column[1:-1, 1:-1, 1:-1].ravel()
    return matrix
