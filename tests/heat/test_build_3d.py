"""The build in layers: no heat lost, no impossible temperature, the same answer however it is run."""

from dataclasses import replace
from pathlib import Path

import numba
import numpy as np
import pytest
import trimesh

from core.heat.build_3d import Build
from core.heat.heat_checkpoint import build_fingerprint, load_checkpoint, save_checkpoint
from core.heat.heat_choice import HeatChoice
from core.heat.heat_grid import HeatGrid, grid_around, heat_grid
from core.heat.heat_tables import HeatTables, constant_tables, heat_tables
from core.heat.laser_settings import LaserSettings
from core.heat.materials import alloy
from core.heat.powder_choice import PowderChoice
from core.units import FloatArray

LASER = LaserSettings()
CHOICE = HeatChoice(double=True)
STEEL = heat_tables(alloy("316L"), PowderChoice())


def box(x: tuple[float, float], y: tuple[float, float], z: tuple[float, float]) -> FloatArray:
    return np.asarray(trimesh.creation.box(bounds=np.array([x, y, z]).T).triangles)


def ledge(sink: bool = True, cell_mm: float = 1.0) -> HeatGrid:
    """A wall with a ledge 12 mm long and 10 mm up, over a block a 0.3 mm gap below it."""
    part = np.concatenate([box((0, 4), (0, 10), (0, 10)), box((0, 16), (0, 10), (10, 14))])
    bodies = np.concatenate([part, box((4.6, 16), (0, 10), (0, 9.7))]) if sink else part
    low, shape = grid_around(part, cell_mm, 4.0)
    return heat_grid(bodies, low, cell_mm, shape)


@pytest.mark.parametrize("double", [True, False])
@pytest.mark.parametrize("sink", [True, False])
def test_the_books_of_every_build_close(sink: bool, double: bool) -> None:
    state = Build(ledge(sink), STEEL, LASER, replace(CHOICE, double=double)).run()
    assert state.put_in_j > 0
    assert state.lost_j > 0.5 * state.put_in_j
    assert state.imbalance < 1e-6


def test_the_heat_put_in_is_the_lasers() -> None:
    # 1.08 MJ/m² of 2.70 MJ/m² absorbed on every 40 µm layer: 27 J/mm³, 10 mm x 4 mm x 10 mm and 10 x 16 x 4
    state = Build(ledge(False), STEEL, LASER, CHOICE).run()
    assert state.put_in_j == pytest.approx(0.4 * 285 / (960 * 0.11 * 0.04) * (400 + 640), rel=1e-5)


def test_heat_that_is_kept_shows_as_temperature() -> None:
    # the enthalpy of every cell over the plate's temperature, less what fresh powder brought along
    build = Build(ledge(), constant_tables(metal_w_mk=20, powder_w_mk=0.2, wall_m2k_w=1e-4, density_kg_m3=8000,
                                           heat_capacity_j_kgk=500, packing=0.55), LASER, CHOICE)  # fmt: skip
    state = build.run()
    inner = (slice(1, -1),) * 3
    metal = build.grid.shares(inner).astype(float)
    capacity = 8000 * 500 * 1e-9 * (metal + 0.55 * (1 - metal))
    held = float((capacity * state.rise[inner]).sum()) - float(capacity.sum()) * (CHOICE.powder_c - LASER.preheat_c)
    assert held == pytest.approx(state.kept_j, rel=1e-6)


def test_nothing_is_colder_than_the_coldest_or_hotter_than_the_bound() -> None:
    for sink in (True, False):
        state = Build(ledge(sink), STEEL, LASER, CHOICE).run()
        coldest = min(CHOICE.powder_c, CHOICE.gas_c) - LASER.preheat_c
        assert state.rise[1:-1, 1:-1, 1:-1].min() > coldest - 0.5
        assert state.before_next.max() < state.peak.max()


def test_the_sink_cools_the_ledge_and_nothing_else_much() -> None:
    with_sink, without = (Build(ledge(sink), STEEL, LASER, CHOICE).run() for sink in (True, False))
    on_ledge, on_wall = (11, slice(6, 13), slice(12, 19)), (6, slice(6, 13), slice(5, 8))
    assert without.before_next[on_ledge].mean() > with_sink.before_next[on_ledge].mean() + 30
    assert with_sink.down_w_m2[on_ledge].mean() > 2.5 * without.down_w_m2[on_ledge].mean()
    assert without.before_next[on_wall].mean() == pytest.approx(with_sink.before_next[on_wall].mean(), abs=15)


@pytest.mark.parametrize("double", [True, False])
def test_what_a_layer_takes_in_stays_in_it_or_goes_down(double: bool) -> None:
    build = Build(ledge(), STEEL, LASER, replace(CHOICE, double=double, gas_w_m2k=0.0, emissivity=0.0))
    for _ in range(11):
        build.add_layer()
    state = build.state
    put_in, clock = state.put_in_j, state.clock_s
    build.add_layer()
    powder_k, base_k = CHOICE.powder_c + 273.15, LASER.preheat_c + 273.15
    metal = build.grid.shares((12, slice(1, -1), slice(1, -1))).astype(float)
    kg = STEEL.density_kg_m3 * 1e-9 * (metal + STEEL.packing * (1 - metal))
    fresh = kg.sum() * (STEEL.enthalpy_at(powder_k) - STEEL.enthalpy_at(base_k))
    down = state.down_w_m2[12].sum(dtype=float) * 1e-6 * (state.clock_s - clock)
    kept = state.heat[12].sum(dtype=float) - fresh
    assert down > 0.5 * (state.put_in_j - put_in)
    assert kept + down == pytest.approx(state.put_in_j - put_in, rel=1e-10 if double else 1e-5)


def test_a_gap_of_a_third_of_a_cell_gives_the_answer_of_finer_cells() -> None:
    assert hottest_on_ledge(1.0) == pytest.approx(hottest_on_ledge(0.5), rel=0.05)


def test_few_steps_in_time_are_near_many() -> None:
    assert hottest_on_ledge(1.0) == pytest.approx(hottest_on_ledge(1.0, fine_time=True), rel=0.03)


def hottest_on_ledge(cell_mm: float, *, fine_time: bool = False) -> float:
    grid = ledge(True, cell_mm)
    state = Build(grid, STEEL, LASER, HeatChoice(fine_time=fine_time)).run()
    k, j, i = grid.cell_of(np.array([[12.0, 5.0, 10.0 + 0.5 * cell_mm]]))
    return float(state.hottest[k, j, i][0])


def test_one_thread_and_all_give_the_same_bits() -> None:
    grid, answers = ledge(cell_mm=0.4), []
    most = numba.config.NUMBA_NUM_THREADS
    for threads in (1, most):
        numba.set_num_threads(threads)
        build = Build(grid, STEEL, LASER, HeatChoice())
        for _ in range(20):
            build.add_layer()
        answers.append(build.state.rise.copy())
    numba.set_num_threads(most)
    assert grid.n_cells > 50_000  # large enough for threads to be used at all
    assert (answers[0] == answers[1]).all()


def test_a_build_gone_on_with_ends_like_one_in_one_go(tmp_path: Path) -> None:
    grid = ledge()
    straight = Build(grid, STEEL, LASER, CHOICE).run()
    mark = build_fingerprint(grid, STEEL, LASER, CHOICE)
    first = Build(grid, STEEL, LASER, CHOICE)
    for _ in range(7):
        first.add_layer()
    save_checkpoint(tmp_path / "half.npz", first.state, mark)
    second = Build(grid, STEEL, LASER, CHOICE)
    assert load_checkpoint(tmp_path / "half.npz", second.state, mark)
    second.resume()
    second.run()
    assert (second.state.rise == straight.rise).all()
    assert (second.state.peak == straight.peak).all()
    assert second.state.lost_j == straight.lost_j


def test_another_builds_half_is_not_taken_up(tmp_path: Path) -> None:
    grid = ledge()
    build = Build(grid, STEEL, LASER, CHOICE)
    build.add_layer()
    save_checkpoint(tmp_path / "half.npz", build.state, build_fingerprint(grid, STEEL, LASER, CHOICE))
    other = build_fingerprint(grid, STEEL, replace(LASER, power_w=200.0), CHOICE)
    fresh = Build(grid, STEEL, LASER, CHOICE)
    assert not load_checkpoint(tmp_path / "half.npz", fresh.state, other)
    (tmp_path / "half.npz").write_bytes((tmp_path / "half.npz").read_bytes()[:1000])
    assert not load_checkpoint(tmp_path / "half.npz", fresh.state, build_fingerprint(grid, STEEL, LASER, CHOICE))
    assert not load_checkpoint(tmp_path / "none.npz", fresh.state, other)
    assert fresh.state.layer == 0


def test_a_tall_column_reaches_the_textbook_cycle() -> None:
    """Endless pulses on a slab, 42.8935 K for 1 MJ/m² every 15 s into 20 mm on a held base (Carslaw & Jaeger 3.5)."""
    tables = constant_tables(metal_w_mk=20, powder_w_mk=20, wall_m2k_w=0, density_kg_m3=8000, heat_capacity_j_kgk=500,
                             packing=1.0)  # fmt: skip
    assert isinstance(tables, HeatTables)
    laser = LaserSettings(layer_mm=0.25, power_w=100, speed_mm_s=1000, hatch_mm=0.1, absorptivity=1.0, preheat_c=40)
    # the slab's lower 19.75 mm stand already; the last cell is exposed again and again
    grid = heat_grid(box((-1, 3), (-1, 3), (-1, 21)), np.zeros(3), 0.25, (80, 2, 2))
    choice = HeatChoice(plate_w_m2k=1e6, gas_w_m2k=0, emissivity=0, recoat_s=14.96, double=True)
    build = Build(grid, tables, laser, choice)
    build.state.layer = 79
    for _ in range(40):
        build.expose(80)
    assert build.state.rise[80, 1, 1] == pytest.approx(42.8935, rel=0.02)


def test_open_sides_let_heat_out_and_insulated_ones_dont() -> None:
    shut, open_ = (Build(ledge(), STEEL, LASER, replace(CHOICE, sides_w_m2k=h)).run() for h in (0.0, 200.0))
    assert open_.lost_j > shut.lost_j
    assert open_.hottest.mean() < shut.hottest.mean()
    assert open_.imbalance < 1e-6
