"""Grids of cells drawn by hand for comparison with solutions from books: columns, slabs and blocks."""

import numpy as np

from core.heat.heat_step import Boundary, HeatStep
from core.heat.multigrid import Links, Multigrid, empty_links
from core.units import FloatArray

TIGHT = 1e-11


class Block:
    """A block of cells with its own conductivity each, insulated all round until told otherwise.

    conductivity_w_mk: (nz, ny, nx); heat_j_m3k: one value or the same shape. Temperatures are over the base.
    """

    def __init__(self, conductivity_w_mk: FloatArray, heat_j_m3k: FloatArray | float, cell_m: float) -> None:
        self.k, self.cell_m = np.asarray(conductivity_w_mk, dtype=float), cell_m
        self.shape = tuple(n + 2 for n in self.k.shape)
        self.links = empty_links(self.shape, np.float64)
        inner = (slice(1, -1),) * 3
        for axis, out in ((2, self.links.x), (1, self.links.y), (0, self.links.z)):
            before, after = (
                np.take(self.k, range(*ends), axis) for ends in ((0, self.k.shape[axis] - 1), (1, self.k.shape[axis]))
            )
            place = list(inner)
            place[axis] = slice(2, -1)
            out[tuple(place)] = cell_m * 2.0 * before * after / (before + after)
        self.capacity = np.zeros(self.shape)
        self.capacity[inner] = np.broadcast_to(heat_j_m3k, self.k.shape) * cell_m**3
        self.held, self.above, self.above_rise = np.zeros(self.shape), np.zeros(self.shape[1:]), 0.0
        self.source = np.zeros((self.k.shape[0], *self.shape[1:]))
        self.rise = np.zeros(self.shape)

    @property
    def inside(self) -> FloatArray:
        """(nz, ny, nx) temperatures of the real cells."""
        return self.rise[1:-1, 1:-1, 1:-1]

    def hold_below(self, h_w_m2k: float = np.inf) -> None:
        """The underside gives heat to the base temperature through h; infinite holds it there."""
        self.held[1, 1:-1, 1:-1] += self.cell_m**2 / (1.0 / h_w_m2k + 0.5 * self.cell_m / self.k[0])

    def cool_above(self, h_w_m2k: float, rise: float = 0.0) -> None:
        """The top gives heat to a temperature through h."""
        self.above[1:-1, 1:-1] = self.cell_m**2 / (1.0 / h_w_m2k + 0.5 * self.cell_m / self.k[-1])
        self.above_rise = rise

    def heat_above(self, flux_w_m2: FloatArray | float) -> None:
        """Flux into the top; one value or (ny, nx)."""
        self.source[-1, 1:-1, 1:-1] = np.asarray(flux_w_m2) * self.cell_m**2

    def run(self, steps_s: FloatArray) -> HeatStep:
        """Take these steps, seconds each; temperatures stand in `rise` afterwards."""
        nz = self.k.shape[0]
        step = HeatStep(self.links, TIGHT)
        boundary = Boundary(
            held_w_k=self.held, above_w_k=self.above, above_rise_k=self.above_rise, source_w=self.source
        )
        inner = (slice(1, -1),) * 3
        for step_s in np.atleast_1d(steps_s).tolist():
            before = self.inside.copy()
            moved = step.take(self.rise, self.capacity, boundary, step_s, nz)
            self.inside[...] = before + moved[inner] / self.capacity[inner]
        return step

    def steady(self) -> None:
        """The state that no step would change any more."""
        nz = self.k.shape[0]
        links = Links(x=self.links.x, y=self.links.y, z=self.links.z, own=self.held.copy())
        links.own[nz] += self.above
        right = np.zeros(self.shape)
        right[1:-1] = self.source
        right[nz] += self.above * self.above_rise
        solver = Multigrid(links, steady=True)
        solver.prepare()
        solver.solve(right, self.rise, TIGHT)

    def top_surface(self, flux_w_m2: float) -> float:
        """Temperature of the top face of a column under a flux, half a cell above the topmost centre."""
        return float(self.inside[-1, 0, 0] + 0.5 * self.cell_m * flux_w_m2 / self.k[-1, 0, 0])


def column(layers: list[tuple[float, float]], cell_m: float, heat_j_m3k: float = 4e6) -> Block:
    """A column one cell wide of (thickness m, conductivity) from the bottom up."""
    k = np.concatenate([np.full(round(thick / cell_m), w_mk) for thick, w_mk in layers])
    return Block(k.reshape(-1, 1, 1), heat_j_m3k, cell_m)


def growing_steps(first_s: float, total_s: float, factor: float = 1.05) -> FloatArray:
    """Steps that grow by a factor from the first on and add up to the total."""
    n = int(np.ceil(np.log1p(total_s / first_s * (factor - 1.0)) / np.log(factor)))
    steps = factor ** np.arange(n)
    return np.asarray(steps / steps.sum() * total_s)
