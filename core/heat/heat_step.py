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

    held_w_k: (nz+2, ny+2, nx+2) conductance from every cell to the base temperature, such as side walls, or
    (1, ny+2, nx+2) where all planes have the same, or None. below_w_k: (ny+2, nx+2) from the lowest plane to it, or
    None. above_w_k: (ny+2, nx+2) from the topmost plane to above_rise_k. source_w: (m, ny+2, nx+2) heat put into the
    topmost m planes.
    """

    held_w_k: FloatArray | None
    above_w_k: FloatArray
    above_rise_k: float
    source_w: FloatArray
    below_w_k: FloatArray | None = None

    def held_on(self, plane: int) -> FloatArray | None:
        """The conductance from one plane to the base temperature."""
        held = self.held_w_k
        every = None if held is None else held[plane if len(held) > 1 else 0]
        if plane > 1 or self.below_w_k is None:
            return every
        return self.below_w_k if every is None else every + self.below_w_k


class HeatStep:
    """Steps on the lowest `high` planes of a grid whose links may change between steps."""

    def __init__(self, links: Links, tolerance: float) -> None:
        self._links, self.tolerance = links, tolerance
        self._grid = Multigrid(links)
        self._moved = np.zeros_like(links.own)
        self.lost_j = 0.0
        """Heat given off so far."""
        self.iterations = 0
        self.down_j: FloatArray = np.zeros_like(links.own[0])
        """(ny+2, nx+2) heat that went down from every cell of the topmost plane in the last step."""

    def take(self, rise: FloatArray, capacity: FloatArray, boundary: Boundary, step_s: float, high: int,
             *, same_links: bool = False) -> FloatArray:  # fmt: skip
        """Heat that moves into every cell in one step, J. The caller adds the heat and finds the new temperatures.

        rise (nz+2, ny+2, nx+2): holds afterwards the temperatures the fluxes at the end were taken at, near the new
        ones. capacity: J/K, held over the step; the links' own array may be given, it is overwritten in any case.
        same_links: they are those of the last step. The array returned is this object's own and is overwritten by the
        next step.
        """
        t, moved = rise[: high + 2], self._moved[: high + 2]
        one = rise.dtype.type
        links, grid = self._links.up_to(high), self._grid
        loops, small = links.machine.loops, links.small
        np.multiply(capacity[: high + 2], one(1.0 / (DIAGONAL * step_s)), out=links.own)
        for plane in range(1, high + 1):
            held = boundary.held_on(plane)
            if held is not None:
                links.own[plane] += held
        links.own[high] += boundary.above_w_k
        grid.prepare(high, same_links=same_links)
        right, flow = grid.right, grid.scratch
        self.down_j.fill(0)

        self._flow(links, t, boundary, moved, WEIGHT * step_s)
        np.multiply(moved, one(2), out=right)
        self.iterations += grid.go_on(t, self.tolerance)
        self._flow(links, t, boundary, flow, WEIGHT * step_s)
        loops.add_scaled(small, moved, one(1), flow, one(1))
        # With r what is left of stage one, F_start + F_mid - C/(d dt) (T_mid - T_start) = r, so the right-hand side
        # (w/d)(F_start + F_mid) + F_mid - C/(d dt) (T_mid - T_start) is this:
        loops.add_scaled(small, right, one(1), flow, one(1))
        loops.add_scaled(small, right, one(1), moved, one(WEIGHT / DIAGONAL - 1.0))
        self.iterations += grid.go_on(t, self.tolerance)
        self._flow(links, t, boundary, flow, DIAGONAL * step_s)
        loops.add_scaled(small, moved, one(WEIGHT * step_s), flow, one(DIAGONAL * step_s))
        return self._moved

    def _flow(self, links: Links, t: FloatArray, boundary: Boundary, out: FloatArray, weight_s: float) -> None:
        """out = heat flowing into every cell at temperatures t, W; what leaves is booked as lost for weight_s."""
        high = len(t) - 2
        links.machine.loops.flow_in(links.small, links.x, links.y, links.z, t, out)
        lost = 0.0
        for plane in range(1, high + 1):
            held = boundary.held_on(plane)
            if held is not None:
                lost += _let_out(out[plane], held * t[plane])
        lost += _let_out(out[high], boundary.above_w_k * (t[high] - boundary.above_rise_k))
        n = len(boundary.source_w)
        out[high + 1 - n : high + 1] += boundary.source_w
        self.down_j += links.z[high] * (t[high] - t[high - 1]) * t.dtype.type(weight_s)
        self.lost_j += weight_s * lost


def _let_out(plane: FloatArray, flow_w: FloatArray) -> float:
    """Take a flow out of a plane of cells; returns its sum."""
    plane -= flow_w
    return float(flow_w.sum(dtype=np.float64))
