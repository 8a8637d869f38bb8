"""The comparison on the sample bracket, in coarse cells: what a sink must do, whatever the numbers are."""

import json
import math
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from core.export.result import JobResult
from core.export.write_heat import heat_values, write_heat
from core.heat import compare_heat as compare
from core.heat.build_3d import Build
from core.heat.compare_heat import HeatComparison
from core.heat.heat_choice import HeatChoice
from core.heat.heat_notes import cell_notes
from core.heat.heat_result import CellError
from core.heat.powder_choice import PowderChoice
from core.job import Job
from core.job_file import new_job
from core.progress import Stopped
from core.refusal import Refusal
from core.run_heat import run_heat
from core.run_job import run_job
from core.sink.sink_choice import SinkChoice

BRACKET = Path(__file__).parents[2] / "sample_parts" / "sensor-bracket.stl"
COARSE = HeatChoice(cell_mm=3.0)


def block_job() -> Job:
    job = new_job(BRACKET)
    return replace(job, sink=replace(job.sink, kind="block"))


@pytest.fixture(scope="module")
def result() -> JobResult:
    return run_job(block_job(), all_patches=True)


@pytest.fixture(scope="module")
def comparison(result: JobResult) -> HeatComparison:
    return run_heat(result, COARSE)


def test_every_sink_cools_its_own_patch_and_hardly_what_is_far_away(
    result: JobResult, comparison: HeatComparison
) -> None:
    assert [p.patch for p in comparison.patches] == [1, 2]
    for patch, heat in zip(result.picked, comparison.patches, strict=True):
        assert heat.cooler_by_k > 20
        assert heat.hottest_with_c < heat.hottest_without_c
        assert heat.through_gap_w_m2 > 0
        over_patch = np.average(comparison.face_cooler_k[patch.faces], weights=result.part.areas_mm2[patch.faces])
        assert over_patch == pytest.approx(heat.cooler_by_k, rel=1e-6)
    low = result.part.corners_mm[:, :, 2].max(axis=1) < 6.5  # the foot, built before any ledge
    nearest = min(heat.cooler_by_k for heat in comparison.patches)
    assert np.abs(comparison.face_cooler_k[low]).mean() < 0.25 * nearest


def test_bands_lie_around_the_nominal_value_and_both_books_close(comparison: HeatComparison) -> None:
    for heat in comparison.patches:
        for band in (heat.with_c, heat.without_c):
            assert band.low < band.nominal < band.high
    assert comparison.with_sinks.imbalance <= 1e-6
    assert comparison.without.imbalance <= 1e-6


def test_sinks_take_heat_of_their_own_to_build(result: JobResult, comparison: HeatComparison) -> None:
    """A P/(v h t) per volume of metal (physics, nothing else): the sinks' share is their volume times that."""
    laser = result.job.laser
    j_mm3 = laser.absorptivity * laser.power_w / (laser.speed_mm_s * laser.hatch_mm * laser.layer_mm)
    more = comparison.with_sinks.put_in_j - comparison.without.put_in_j
    assert more == pytest.approx(j_mm3 * sum(sink.volume_mm3 for sink in result.sinks), rel=0.02)


def test_a_calibrated_powder_conductivity_narrows_every_band(result: JobResult, comparison: HeatComparison) -> None:
    """±15 % instead of the model's factor; the absorptivity keeps its spread, so some width stays."""
    fitted = replace(result, job=replace(result.job, powder=PowderChoice(conductivity_w_mk=0.2)))
    narrow = run_heat(fitted, COARSE)
    for model, known in zip(comparison.patches, narrow.patches, strict=True):
        wide, less = (width(heat.without_c.low, heat.without_c.nominal, heat.without_c.high) for heat in (model, known))
        assert 0.4 < less < 0.8 * wide
        wide, less = (width(heat.with_c.low, heat.with_c.nominal, heat.with_c.high) for heat in (model, known))
        assert 0.4 < less < 0.9 * wide


def width(low: float, nominal: float, high: float) -> float:
    """Of a band of rises over the plate's 80 °C, in shares of the nominal one."""
    return (high - low) / (nominal - 80.0)


def stopping_at(share: float) -> Callable[[float], bool]:
    return lambda done: done < share


@pytest.fixture
def layers_followed(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """One entry for every layer of cells that is followed on the grid asked for."""
    followed: list[int] = []
    add_layer = Build.add_layer

    def counted(build: Build) -> None:
        if build.grid.cell_mm == COARSE.cell_mm:
            followed.append(build.state.layer)
        add_layer(build)

    monkeypatch.setattr(Build, "add_layer", counted)
    return followed


@pytest.mark.parametrize("share", [0.3, 0.8])
def test_a_stopped_run_goes_on_to_the_same_bytes(
    result: JobResult, comparison: HeatComparison, tmp_path: Path, share: float, layers_followed: list[int]
) -> None:
    with pytest.raises(Stopped):
        run_heat(result, COARSE, stopping_at(share), half_done=tmp_path / "half")
    assert list((tmp_path / "half").glob("*.half"))
    before = len(layers_followed)
    again = run_heat(result, COARSE, half_done=tmp_path / "half")
    assert before > 0 and len(layers_followed) == 2 * math.ceil(70 / 3.0)  # both builds of 70 mm, every layer once
    names = write_heat(again, result, tmp_path / "again")
    assert write_heat(comparison, result, tmp_path / "straight") == names
    for name in names:
        assert (tmp_path / "again" / name).read_bytes() == (tmp_path / "straight" / name).read_bytes(), name


def test_a_kept_state_of_another_job_is_not_taken_up(
    result: JobResult, tmp_path: Path, layers_followed: list[int]
) -> None:
    with pytest.raises(Stopped):
        run_heat(result, COARSE, stopping_at(0.5), half_done=tmp_path)
    stronger = replace(result, job=replace(result.job, laser=replace(result.job.laser, power_w=200.0)))
    layers_followed.clear()
    run_heat(stronger, COARSE, half_done=tmp_path)
    assert len(layers_followed) == 2 * math.ceil(70 / 3.0)


def test_without_a_sink_there_is_nothing_to_compare(result: JobResult) -> None:
    with pytest.raises(Refusal, match="no sink"):
        run_heat(replace(result, sinks=()), COARSE)


def test_cells_that_are_too_small_are_refused_with_the_size_that_fits(
    result: JobResult, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(compare, "MOST_BYTES", 1e9)
    with pytest.raises(Refusal, match=r"Cells of 0.1 mm would take 38\.\d GB and 1 GB may be used") as refusal:
        run_heat(result, HeatChoice(cell_mm=0.1))
    fits = float(str(refusal.value).split("at least ")[1].split(" mm")[0])
    # bracket 70 x 58 x 70 mm with 5 mm of powder around, 100 bytes a cell
    assert 80 * 68 * 70 / fits**3 * 100 <= 1e9 < 80 * 68 * 70 / (fits - 0.02) ** 3 * 100


def test_cells_larger_than_the_walls_are_said_to_hide_the_sink(result: JobResult, comparison: HeatComparison) -> None:
    """Fins are 1.5 mm thick under a top of 1 mm; a solid block has no thin walls."""
    fins = replace(result, sinks=tuple(replace(sink, choice=SinkChoice()) for sink in result.sinks))
    notes = heat_values(comparison, fins)["notes"]
    assert any("Cells of 3 mm" in note and "at most 1 mm" in note for note in notes)
    assert not any("thinnest walls" in note for note in heat_values(comparison, result)["notes"])
    assert json.dumps(heat_values(comparison, result), allow_nan=False)


@pytest.mark.parametrize("cell_mm", [4.0, 3.0])
def test_default_fins_cool_every_patch_on_cells_much_larger_than_their_walls(cell_mm: float) -> None:
    """Walls of 1.5 mm: links are cut at the surfaces, so metal that leads down is never lost between cells."""
    result = run_job(new_job(BRACKET), all_patches=True)
    assert result.job.sink.kind == "fins" and result.job.sink.fin_thickness_mm <= 0.5 * cell_mm
    for heat in run_heat(result, HeatChoice(cell_mm=cell_mm)).patches:
        assert heat.cooler_by_k > 20
        assert heat.through_gap_w_m2 > 0


def test_an_error_in_proportion_to_the_cells_is_found_whole() -> None:
    """By hand: T = 100 + 30 h and 200 + 10 h; cells of 1 mm are off by 30 and 10 K, the difference by 20 K."""
    rises = {times: np.array([100.0 + 30.0 * times, 200.0 + 10.0 * times]) for times in (1.0, 2.0, 3.5)}
    for times in (2.0, 3.5):
        found = CellError.of(rises[1.0], [(times, rises[times])])
        assert (found.with_k, found.without_k, found.cooler_k) == pytest.approx((30.0, 10.0, 20.0))
    alike = CellError.of(rises[1.0], [(2.0, rises[1.0]), (3.5, rises[3.5])])  # alike by chance on one of them
    assert alike.with_k == pytest.approx(30.0)


def test_the_error_of_the_cells_holds_what_finer_ones_read(result: JobResult, comparison: HeatComparison) -> None:
    finer = run_heat(result, replace(COARSE, cell_mm=2.0))
    for coarse, fine in zip(comparison.patches, finer.patches, strict=True):
        assert abs(coarse.with_c.nominal - fine.with_c.nominal) <= coarse.cells.with_k
        assert abs(coarse.without_c.nominal - fine.without_c.nominal) <= coarse.cells.without_k


def test_cells_that_matter_are_named_with_a_size_to_choose(result: JobResult, comparison: HeatComparison) -> None:
    """A tenth of the rise may be left open; an error in proportion to the cells is halved by halving them."""
    worst = comparison.patches[0]
    rise_k = worst.without_c.nominal - 80.0
    sink = result.job.sink

    def notes(share: float) -> tuple[str, ...]:
        moved = CellError(with_k=share * rise_k, without_k=0.0, cooler_k=0.0)
        return cell_notes([replace(worst, cells=moved)], 2.0, [sink], 80.0)

    assert notes(0.09) == ()
    assert "patch 1" in notes(0.125)[0] and "Cells of 1.6 mm" in notes(0.125)[0]
    assert "Cells of 1 mm would about halve" in notes(0.5)[0]


def test_without_a_card_following_on_one_says_what_to_do(result: JobResult, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "cupy", None)
    with pytest.raises(Refusal, match=r"No NVIDIA card can be used.*or follow the build on the processor"):
        run_heat(result, replace(COARSE, machine="card"))
    with pytest.raises(Refusal, match="choose processor or card"):
        replace(COARSE, machine="abacus")


@pytest.mark.card
def test_on_a_card_a_stopped_run_goes_on_to_the_processors_answer(
    result: JobResult, comparison: HeatComparison, tmp_path: Path
) -> None:
    choice = replace(COARSE, machine="card")
    with pytest.raises(Stopped):
        run_heat(result, choice, stopping_at(0.8), half_done=tmp_path)
    assert list(tmp_path.glob("*.half"))
    for its, mine in zip(run_heat(result, choice, half_done=tmp_path).patches, comparison.patches, strict=True):
        assert its.with_c.nominal == pytest.approx(mine.with_c.nominal, abs=0.1)
        assert its.without_c.nominal == pytest.approx(mine.without_c.nominal, abs=0.1)


def test_the_table_of_layers_is_empty_where_the_part_has_no_metal(
    result: JobResult, comparison: HeatComparison, tmp_path: Path
) -> None:
    write_heat(comparison, result, tmp_path)
    text = (tmp_path / "heat-layers.csv").read_text()
    assert text.count("\n") == 1 + len(comparison.with_sinks.z_mm)
    assert "nan" not in text and "inf" not in text
