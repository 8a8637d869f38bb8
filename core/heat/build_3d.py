"""The build, one layer of cells after the other: metal arrives hot, heat runs into part, sinks, powder and plate."""

from dataclasses import dataclass

import numpy as np

from core.heat.cell_heat import METAL_UNIT
from core.heat.heat_choice import HeatChoice
from core.heat.heat_grid import HeatGrid
from core.heat.heat_step import Boundary, HeatStep
from core.heat.heat_tables import LOWEST_K, STEP_K, HeatTables
from core.heat.laser_settings import LaserSettings
from core.heat.machine import PROCESSOR, Machine
from core.heat.multigrid import empty_links
from core.heat.powder_conductivity import STEFAN_BOLTZMANN_W_M2K4
from core.progress import GoesOn, never_stop, report
from core.units import FloatArray, kelvin_from_celsius, m_from_mm

STEPS = (1, 1, 3)
FINE_STEPS = (2, 3, 8)
"""Steps in time for the earlier layers of a layer of cells, its last exposure, and the recoating after it. The few
steps come within 2.5 % of many; with two in the recoating it was 7 % (endless pulses on a slab)."""
TOLERANCES = (1e-4, 2e-3, 3e-3)
"""Residual of the steps in these three; heat is conserved whatever they are, see heat_step. The long step over the
earlier layers decides: with 2e-4 in it faces
move by up to 1.3 K; with 1e-4 in it and these in the others by 0.06 K."""


@dataclass(kw_only=True, eq=False)
class BuildState:
    """Where the build stands; all that is needed to go on from here.

    Arrays (nz+2, ny+2, nx+2). rise: temperature over the held plate, K. heat: J over the plate's temperature.
    before_next: rise just before the next layer and peak: just after exposure, each when that cell was on top.
    hottest: highest rise just before any layer, from then on.
    """

    layer: int
    rise: FloatArray
    heat: FloatArray
    before_next: FloatArray
    hottest: FloatArray
    peak: FloatArray
    down_w_m2: FloatArray
    """Mean heat flux from each cell to the one below while it was on top."""
    put_in_j: float = 0.0
    lost_j: float = 0.0
    kept_j: float = 0.0
    clock_s: float = 0.0
    iterations: int = 0

    @property
    def imbalance(self) -> float:
        """Share of the heat put in that the books can't account for."""
        return abs(self.put_in_j - self.lost_j - self.kept_j) / max(self.put_in_j, 1e-30)


def start_of_build(grid: HeatGrid, *, double: bool = False, machine: Machine = PROCESSOR) -> BuildState:
    """An empty plate."""
    kind = np.float64 if double else np.float32
    rise, heat, before, hottest, peak, down = (machine.xp.zeros(grid.metal.shape, kind) for _ in range(6))
    return BuildState(layer=0, rise=rise, heat=heat, before_next=before, hottest=hottest, peak=peak, down_w_m2=down)


class Build:
    """Builds layer after layer; `state` may be saved after any layer and gone on with."""

    def __init__(
        self,
        grid: HeatGrid,
        tables: HeatTables,
        laser: LaserSettings,
        choice: HeatChoice,
        state: BuildState | None = None,
        machine: Machine = PROCESSOR,
    ) -> None:
        self.grid, self.tables, self.laser, self.choice = grid, tables, laser, choice
        self.state = start_of_build(grid, double=choice.double, machine=machine) if state is None else state
        self._kind = self.state.rise.dtype.type
        self._cell_m = m_from_mm(grid.cell_mm)
        self._base_k = kelvin_from_celsius(laser.preheat_c)
        self._base_j_kg = tables.enthalpy_at(self._base_k)
        self._machine, self._xp = machine, machine.xp
        self._metal = machine.array(grid.metal)
        self._ways = [
            [machine.array(a) for a in kinds]
            for kinds in zip(grid.metal_links, grid.walls, grid.powder_links, strict=True)
        ]
        self._cell_kg = tables.density_kg_m3 * self._cell_m**3
        self._sides = self._sides_w_k() if choice.sides_w_m2k > 0.0 else None
        self._links = empty_links(grid.metal.shape, self._kind, machine)
        self._capacity = self._links.own  # every step takes it as such and leaves it for take_heat to fill again
        self._step = HeatStep(self._links, TOLERANCES[0])
        at_base_j_kgk = self._kind(tables.heat_capacity_at(self._base_k))
        for plane in range(1, grid.shape[0] + 1):  # one by one, which takes no memory
            inner = (plane, slice(1, -1), slice(1, -1))
            self._capacity[inner] = self._kg(inner) * at_base_j_kgk
        self._three = machine.array(np.stack([tables.metal_w_mk, tables.powder_w_mk, tables.wall_m2k_w]))
        self._enthalpy = machine.array(tables.enthalpy_j_kg)
        self._rows = machine.array(LOWEST_K + STEP_K * np.arange(len(tables.metal_w_mk)))
        self._small = self._links.small

    @property
    def done(self) -> bool:
        return self.state.layer >= self.grid.shape[0]

    def run(self, goes_on: GoesOn = never_stop) -> BuildState:
        """All layers that are left. Raises Stopped; the state stands after the last whole layer then."""
        while not self.done:
            report(goes_on, self.state.layer / self.grid.shape[0])
            self.add_layer()
        return self.state

    def resume(self) -> None:
        """Take over a state that was put into `state` from outside."""
        self._step.lost_j, self._step.iterations = self.state.lost_j, self.state.iterations
        self._take(np.zeros_like(self.state.heat), self.state.layer)

    def add_layer(self) -> None:
        """Spread and expose one layer of cells, which stands for several layers of powder."""
        high = self.state.layer + 1
        self._spread(high)
        self.expose(high)
        self.state.layer = high

    def expose(self, high: int) -> None:
        """Expose the topmost plane of cells and wait for the next powder.

        The heat of all layers but the last comes evenly over their time; the last one's comes within its scan, and
        recoating follows, so that what stands in `before_next` is what the next layer meets.
        """
        state, laser, cell_m = self.state, self.laser, self._cell_m
        self._set_links(high)
        same_links = False
        area_m2 = float(self._shares((high, slice(1, -1), slice(1, -1))).sum(dtype=np.float64)) * cell_m**2
        earlier = self.grid.cell_mm / laser.layer_mm - 1.0
        absorbed_j_m2 = laser.absorptivity * laser.areal_energy_j_mm2 * 1e6
        scan_s = area_m2 * 1e6 / (laser.speed_mm_s * laser.hatch_mm) * laser.passes
        layer_s = scan_s + self.choice.recoat_s
        down = self._xp.zeros_like(state.rise[high])
        for n_steps, tolerance, long_s, energy_j_m2 in zip(
            FINE_STEPS if self.choice.fine_time else STEPS,
            TOLERANCES,
            (earlier * layer_s, scan_s, self.choice.recoat_s),
            (earlier * absorbed_j_m2, absorbed_j_m2, 0.0),
            strict=True,
        ):
            if long_s <= 0.0:
                continue
            self._step.tolerance = tolerance
            boundary = self._boundary(high, energy_j_m2 / long_s)
            state.put_in_j += float(boundary.source_w.sum(dtype=np.float64)) * long_s
            for step_s in _steps(long_s, n_steps):
                moved = self._step.take(state.rise, self._capacity, boundary, step_s, high, same_links=same_links)
                same_links = True
                down += self._step.down_j
                state.kept_j += self._take(moved, high)
            if energy_j_m2 > 0.0:
                state.peak[high] = state.rise[high]
        state.before_next[high] = state.hottest[high] = state.rise[high]
        np.maximum(state.hottest[:high], state.rise[:high], out=state.hottest[:high])
        state.down_w_m2[high] = down / self._kind((earlier + 1.0) * layer_s * cell_m**2)
        state.lost_j, state.iterations = self._step.lost_j, self._step.iterations
        state.clock_s += (earlier + 1.0) * layer_s

    def _boundary(self, high: int, flux_w_m2: float) -> Boundary:
        source = self._xp.zeros((1, *self._metal.shape[1:]), self._kind)
        source[0] = self._shares((high,)) * self._kind(flux_w_m2 * self._cell_m**2)
        return Boundary(
            held_w_k=self._sides,
            below_w_k=self._exchange(1, self.choice.plate_w_m2k),
            above_w_k=self._gas_w_k(high),
            above_rise_k=self.choice.gas_c - self.laser.preheat_c,
            source_w=source,
        )

    def _spread(self, high: int) -> None:
        """Fresh powder on top, at its own temperature; its heat content counts as put in."""
        rise_k = self.choice.powder_c - self.laser.preheat_c
        state, tables, inner = self.state, self.tables, (high, slice(1, -1), slice(1, -1))
        kg = self._kg(inner)
        state.rise[inner] = rise_k
        state.heat[inner] = kg * self._kind(tables.enthalpy_at(self._base_k + rise_k) - self._base_j_kg)
        self._capacity[inner] = kg * self._kind(tables.heat_capacity_at(self._base_k + rise_k))

    def _shares(self, where: tuple[slice | int, ...]) -> FloatArray:
        """Volume share of metal of some cells."""
        return self._metal[where] * self._kind(1.0 / METAL_UNIT)

    def _kg(self, where: tuple[slice | int, ...]) -> FloatArray:
        """Mass of some cells."""
        loose = self.tables.packing
        return (self._shares(where) * self._kind(1.0 - loose) + self._kind(loose)) * self._kind(self._cell_kg)

    def _set_links(self, high: int) -> None:
        for axis, out in enumerate((self._links.x, self._links.y, self._links.z)):
            self._machine.loops.set_links(
                self._small, self.state.rise, self._base_k, *self._ways[axis], axis,
                self._three, LOWEST_K, STEP_K, self._cell_m, high, out,
            )  # fmt: skip

    def _take(self, moved: FloatArray, high: int) -> float:
        state = self.state
        return float(
            self._machine.loops.take_heat(
                self._small, moved, self._metal, state.heat, state.rise, self._capacity, self._cell_kg,
                self.tables.packing, self._base_k, self._base_j_kg, self._enthalpy, LOWEST_K, STEP_K, high,
            )
        )  # fmt: skip

    def _half_cell_w_m2k(self, plane: int) -> FloatArray:
        """From the centre of each cell of a plane to its top or bottom face."""
        at_k = self.state.rise[plane] + self._base_k
        f = self._shares((plane,))
        metal, powder = (self._xp.interp(at_k, self._rows, table) for table in self._three[:2])
        return 2.0 / (self._cell_m * (f / metal + (1.0 - f) / powder))

    def _exchange(self, plane: int, outside_w_m2k: FloatArray | float) -> FloatArray:
        out = self._xp.zeros(self._metal.shape[1:], self._kind)
        half = self._half_cell_w_m2k(plane)
        both = self._cell_m**2 * outside_w_m2k * half / (outside_w_m2k + half)
        out[1:-1, 1:-1] = both[1:-1, 1:-1]
        return out

    def _sides_w_k(self) -> FloatArray:
        """(1, ny+2, nx+2) exchange of any plane's outermost cells with the outside, half a cell of powder between."""
        row = int((self._base_k - LOWEST_K) / STEP_K)
        half, h = 2.0 * self.tables.powder_w_mk[row] / self._cell_m, self.choice.sides_w_m2k
        out = self._xp.zeros((1, *self._metal.shape[1:]), self._kind)
        for face in (out[0, 1, 1:-1], out[0, -2, 1:-1], out[0, 1:-1, 1], out[0, 1:-1, -2]):
            face += self._kind(self._cell_m**2 * h * half / (h + half))
        return out

    def _gas_w_k(self, high: int) -> FloatArray:
        """Gas flow and radiation, linear about the temperature the surface has."""
        surface_k = self.state.rise[high] + self._base_k
        gas_k = kelvin_from_celsius(self.choice.gas_c)
        radiation = self.choice.emissivity * STEFAN_BOLTZMANN_W_M2K4 * (surface_k**2 + gas_k**2) * (surface_k + gas_k)
        return self._exchange(high, self.choice.gas_w_m2k + radiation)


def _steps(long_s: float, n: int) -> FloatArray:
    """n steps, each twice as long as the one before."""
    shares = 2.0 ** np.arange(n)
    return long_s * shares / shares.sum()
