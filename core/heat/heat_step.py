"""One step in time: implicit, second order, and not one joule lost, as heat moves by the fluxes themselves."""

import math
from dataclasses import dataclass

import numpy as np

from core.heat.multigrid import Links, Multigrid
from core.units import FloatArray

DIAGONAL = 1.0 - math.sqrt(0.5)
WEIGHT = math.sqrt(2.0) / 4.0
"""TR-BDF2 (Bank et al., IEEE Trans. Electron Devices 32:1992, 1985) as a Runge-Kutta method with weights
WEIGHT, WEIGHT, DIAGONAL; second order, and steps of any length damp what they don't resolve."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Boundary:
    """What the cells exchange with the outside; temperatures are over the base, K.

    held_w_k: (nz+2, ny+2, nx+2) conductance from every cell to the base temperature, such as plate and side walls.
    above_w_k: (ny+2, nx+2) from the topmost plane to above_rise_k. source_w: (m, ny+2, nx+2) heat put into the
    topmost m planes.
    """

    held_w_k: FloatArray
    above_w_k: FloatArray
    above_rise_k: float
    source_w: FloatArray


class HeatStep:
    """Steps on the lowest `high` planes of a grid whose links may change between steps."""

    def __init__(self, links: Links, tolerance: float) -> None:
        self._links, self._tolerance = links, tolerance
        self._grid = Multigrid(links)
        self._start, self._mid, self._change, self._moved, self._t, self._right = (
            np.zeros_like(links.own) for _ in range(6)
        )
        self.lost_j = 0.0
        """Heat given off so far."""
        self.iterations = 0

    def take(self, rise: FloatArray, capacity: FloatArray, boundary: Boundary, step_s: float, high: int) -> FloatArray:
        """Heat that moves into every cell in one step, J; rise and capacity (nz+2, ny+2, nx+2) stay as they are.

        capacity: J/K, held over the step. The caller adds the heat and finds the new temperatures. The array is this
        object's own and is overwritten by the next step.
        """
        cut = slice(0, high + 2)
        start, mid, change, moved, t, right = (
            a[cut] for a in (self._start, self._mid, self._change, self._moved, self._t, self._right)
        )
        one = rise.dtype.type
        per_s = one(1.0 / (DIAGONAL * step_s))
        t[...] = rise[cut]
        self._flow(t, boundary, start, WEIGHT * step_s, high)
        np.multiply(start, one(WEIGHT * step_s), out=moved)

        self._set_own(capacity, per_s, boundary, high)
        self._grid.prepare(high)
        np.multiply(start, one(2), out=right)
        self.iterations += self._grid.solve(right, change, self._tolerance)
        t += change
        self._flow(t, boundary, mid, WEIGHT * step_s, high)
        moved += one(WEIGHT * step_s) * mid

        # (C/(d dt) + A) change = (w/d)(F_start + F_mid) + F_mid - C/(d dt) (T_mid - T_start)
        np.multiply(capacity[cut], change, out=right)
        right *= -per_s
        right += one(WEIGHT / DIAGONAL) * start
        right += one(WEIGHT / DIAGONAL + 1.0) * mid
        self._set_own(capacity, per_s, boundary, high)
        self.iterations += self._grid.solve(right, change, self._tolerance)
        t += change
        self._flow(t, boundary, mid, DIAGONAL * step_s, high)
        moved += one(DIAGONAL * step_s) * mid
        return self._moved

    def _set_own(self, capacity: FloatArray, per_s: np.floating, boundary: Boundary, high: int) -> None:
        own = self._links.own[: high + 2]
        np.multiply(capacity[: high + 2], per_s, out=own)
        own += boundary.held_w_k[: high + 2]
        own[high] += boundary.above_w_k
        own[-1] = 0

    def _flow(self, t: FloatArray, boundary: Boundary, out: FloatArray, weight_s: float, high: int) -> None:
        """out = heat flowing into every cell at temperatures t, W; what leaves is booked as lost for weight_s."""
        links = self._links.up_to(high)
        links.own[...] = boundary.held_w_k[: high + 2]
        links.apply(t, out)
        np.negative(out, out=out)
        up = boundary.above_w_k * (t[high] - boundary.above_rise_k)
        out[high] -= up
        n = len(boundary.source_w)
        out[high + 1 - n : high + 1] += boundary.source_w
        held = np.einsum("kji,kji->", links.own[1:-1], t[1:-1], dtype=np.float64)
        self.lost_j += weight_s * (float(held) + float(up.sum(dtype=np.float64)))
