"""The quick 3-D answer: near a column summed by hand, near the 1-D estimate, and near a build that lasts long."""

import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import trimesh

from core.export.result import JobResult
from core.heat.build_3d import Build
from core.heat.column_1d import TOP_LOSS_W_M2K, estimate_patch
from core.heat.heat_choice import HeatChoice
from core.heat.heat_grid import HeatGrid, grid_around, heat_grid
from core.heat.heat_tables import constant_tables, heat_tables
from core.heat.laser_settings import LaserSettings
from core.heat.materials import alloy
from core.heat.powder_choice import PowderChoice
from core.heat.quick_look import STANDS_MM, QuickAnswer, quick_look
from core.job_file import new_job
from core.progress import Stopped
from core.refusal import Refusal
from core.run_heat import run_quick_look
from core.run_job import run_job
from core.run_window import ledge
from core.sink.sink_choice import SinkChoice
from core.units import FloatArray

BRACKET = Path(__file__).parents[2] / "sample_parts" / "sensor-bracket.stl"
STEEL = constant_tables(metal_w_mk=20, powder_w_mk=0.2, wall_m2k_w=1e-4, density_kg_m3=8000, heat_capacity_j_kgk=500,
                        packing=0.55)  # fmt: skip


def box(x: tuple[float, float], y: tuple[float, float], z: tuple[float, float]) -> FloatArray:
    return np.asarray(trimesh.creation.box(bounds=np.array([x, y, z]).T).triangles)


def wide_plate(cell_mm: float, *, sink: bool = True, gap_mm: float = 0.3) -> HeatGrid:
    """A plate 10 to 20 mm up that fills the grid sideways, over a block a gap below it: heat can only go down."""
    wide = ((-1.0, 5.0), (-1.0, 5.0))
    bodies = [box(*wide, (10, 20))] + ([box(*wide, (-1, 10 - gap_mm))] if sink else [])
    return heat_grid(np.concatenate(bodies), np.zeros(3), cell_mm, (round(20 / cell_mm), 4, 4))


def rise_of(grid: HeatGrid, laser: LaserSettings, choice: HeatChoice, tables: object = STEEL) -> float:
    """Of a point just inside the plate's underside."""
    point = np.array([[2.0 * grid.cell_mm, 2.0 * grid.cell_mm, 10.0 + 0.5 * grid.cell_mm]])
    return float(quick_look(grid, tables, laser, choice, point).rise_k[0])  # type: ignore[arg-type]


@pytest.mark.parametrize("cell_mm", [1.0, 0.5, 0.4])
def test_a_column_is_the_sum_of_its_resistances(cell_mm: float) -> None:
    # up from the plate: 1e4 W/m²K, 9.7 mm of steel, 0.3 mm of powder with two walls, then the plate of steel
    laser, choice = LaserSettings(power_w=100.0), HeatChoice(plate_w_m2k=1e4)
    to_point = 1e-4 + 9.7e-3 / 20 + 0.3e-3 / 0.2 + 2 * 1e-4 + 0.5e-3 * cell_mm / 20
    to_top_cell = (STANDS_MM - cell_mm) * 1e-3 / 20
    to_gas = 1 / TOP_LOSS_W_M2K.value + 0.5e-3 * cell_mm / 20
    area_mm2 = (4 * cell_mm) ** 2
    flux = 0.4 * 100.0 / (960.0 * 0.11) * 1e6 / (area_mm2 / (960.0 * 0.11) + choice.recoat_s)
    down = flux * to_gas / (to_gas + to_point + to_top_cell)  # the share that doesn't go off the top
    assert rise_of(wide_plate(cell_mm), laser, choice) == pytest.approx(down * to_point, rel=1e-3)


@pytest.mark.parametrize("sink", [True, False])
def test_over_a_wide_flat_patch_it_agrees_with_the_1d_estimate_within_4_percent(sink: bool) -> None:
    """Same flux, same temperature of the properties (an allowed rise of 1 K), a plate that holds its temperature."""
    cell_mm, laser, powder = 0.5, LaserSettings(power_w=60.0), PowderChoice()
    estimate = estimate_patch(ledge(0.0, 10.0, 0.04), gap_mm=0.3, sink=SinkChoice(kind="block"), alloy="316L",
                              laser=laser, powder=powder, rise_allowed_k=1.0)  # fmt: skip
    scan_s = (4 * cell_mm) ** 2 / (laser.speed_mm_s * laser.hatch_mm)
    choice = HeatChoice(plate_w_m2k=1e6, recoat_s=laser.layer_time_s - scan_s)
    rise = rise_of(wide_plate(cell_mm, sink=sink), laser, choice, heat_tables(alloy("316L"), powder))
    band = estimate.rise_with_k if sink else estimate.rise_without_k
    assert band.nominal < 1000  # not cut off at the solidus
    assert rise == pytest.approx(band.nominal, rel=0.04)


@pytest.mark.parametrize("sink", [True, False])
def test_a_build_that_exposes_the_same_height_for_hours_comes_to_the_quick_answer(sink: bool) -> None:
    """A ledge 12 mm long beside its wall, exposed again and again 2 mm above its underside."""
    part = np.concatenate([box((0, 4), (0, 10), (0, 10)), box((0, 16), (0, 10), (10, 14))])
    bodies = np.concatenate([part, box((4.6, 16), (0, 10), (0, 9.7))]) if sink else part
    low, shape = grid_around(part, 1.0, 4.0)
    grid = heat_grid(bodies, low, 1.0, shape)
    laser = LaserSettings(power_w=60.0)
    choice = HeatChoice(recoat_s=3.0, gas_w_m2k=TOP_LOSS_W_M2K.value, emissivity=0.0, gas_c=80.0, powder_c=80.0)
    build = Build(grid, STEEL, laser, choice)
    build.state.layer = 11
    for _ in range(400):
        build.expose(12)
    points = np.array([[x, 5.5, 10.5] for x in (6.5, 9.5, 12.5, 15.5)])
    long_build = build.state.rise[grid.cell_of(points)]
    quick = quick_look(grid, STEEL, laser, choice, points).rise_k
    assert (np.diff(quick) > 0).all()  # hotter towards the tip
    np.testing.assert_allclose(quick, long_build, rtol=0.05)


def bracket(**changed: object) -> JobResult:
    job = new_job(BRACKET)
    return run_job(replace(job, sink=SinkChoice(kind="block"), laser=replace(job.laser, **changed)), all_patches=True)  # type: ignore[arg-type]


def test_bands_hold_the_quick_look_and_twice_the_light_twice_the_rise() -> None:
    """A steady rise is in proportion to the heat; the absorptivity alone leaves a quarter open on either side."""
    choice = HeatChoice(cell_mm=2.5)
    half, whole = (run_quick_look(bracket(absorptivity=a), choice) for a in (0.2, 0.4))
    assert [look.patch for look in whole.patches] == [1, 2] and whole.cell_mm == 2.5
    for one, two in zip(half.patches, whole.patches, strict=True):
        for less, more in ((one.with_c, two.with_c), (one.without_c, two.without_c)):
            assert more.nominal - 80 == pytest.approx(2 * (less.nominal - 80), rel=1e-3)  # 80 °C is the plate's
            low, high = ((value - 80) / (less.nominal - 80) for value in (less.low, less.high))
            assert low <= 0.75 + 1e-6 and high >= 1.25 - 1e-6
        assert one.cooler_by_k > 0


def test_no_steady_temperature_is_told_above_the_solidus() -> None:
    hot = run_quick_look(bracket(absorptivity=0.9, power_w=400.0), HeatChoice(cell_mm=3.0))
    solidus_c = alloy("316L").solidus_k - 273.15
    assert max(look.without_c.nominal for look in hot.patches) == pytest.approx(solidus_c)
    assert max(look.without_c.high for look in hot.patches) == pytest.approx(solidus_c)


def test_a_quick_look_can_be_stopped_and_needs_a_sink() -> None:
    result = bracket()
    with pytest.raises(Stopped):
        run_quick_look(result, HeatChoice(cell_mm=3.0), lambda share: share < 0.5)
    with pytest.raises(Refusal, match="no sink"):
        run_quick_look(replace(result, sinks=()))


def test_the_bracket_is_looked_at_within_a_second_and_its_sinks_cool() -> None:
    """200,000 cells, two patches, with sinks and without; one processor's time, so that a busy machine doesn't tell."""
    result = bracket()
    choice = HeatChoice(cell_mm=1.24)  # 80 x 68 x 70 mm with the powder around

    def look() -> QuickAnswer:
        return run_quick_look(result, choice)

    answer = look()
    assert 195_000 < answer.n_cells < 210_000
    start = time.thread_time()
    assert look() == answer  # the same bits each time
    assert time.thread_time() - start < 1.0
    for patch in answer.patches:
        assert 10 < patch.with_c.nominal - 80 < 0.95 * (patch.without_c.nominal - 80)
