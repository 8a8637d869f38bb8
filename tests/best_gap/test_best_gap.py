"""The best gap lies where a hand puts it, moves the way it must, and says what is broken and what the powder does."""

import math
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.best_gap import BestGap, best_gap, chance_of
from core.best_gap_mass import sink_mass_g, sinks_to_try
from core.best_gap_words import best_gap_text
from core.gap.gap_choice import GapChoice
from core.heat.column_1d import column_facts
from core.job import Job
from core.job_file import new_job
from core.kept_trials import kept_trial
from core.part.downskin import find_patches
from core.refusal import Refusal
from core.run_job import estimate_of, load_placed_part
from core.run_trial import run_trial
from core.run_window import ledge
from core.sink.build_sink import build_sink
from core.sink.sink_choice import SinkChoice

LAYER = Job().laser.layer_mm
BLOCK = replace(Job(), sink=SinkChoice(kind="block"))
NO_TRIALS = Path(__file__).parent / "no-such-folder"
BRACKET = Path(__file__).resolve().parents[2] / "sample_parts" / "sensor-bracket.stl"


def rise_k(job: Job, patch_height_mm: float, gap_um: int, angle_deg: float = 30.0) -> float:
    at = replace(job, gap=GapChoice(gap_mm=gap_um / 1000))
    return estimate_of(at, ledge(angle_deg, patch_height_mm, LAYER)).rise_with_k.nominal


def trials(folder: Path, limit_mm: float) -> Path:
    """Five of each gap at 30°, free above a limit but for one cell on each side of it; kept in a library there."""
    lines = ["gap_mm,angle_deg,result,alloy,layer_mm,power_w,built_on"]
    for um in range(100, 501, 50):
        results = ["free" if um / 1000 > limit_mm else "stuck"] * 5
        if abs(um / 1000 - limit_mm) < 0.05:
            results[0] = "stuck" if results[0] == "free" else "free"
        lines += [f"{um / 1000},30,{result},316L,{LAYER},{Job().laser.power_w:g},2026-11-20" for result in results]
    (folder / "trials.csv").write_text("\n".join(lines))
    run_trial(folder / "trials.csv", keep=True, library=folder / "library")
    return folder / "library"


# Where it lies -----------------------------------------------------------------------------------


def test_with_trials_it_is_their_95_percent_gap_rounded_up_to_a_micrometre(tmp_path: Path) -> None:
    library = trials(tmp_path, 0.27)
    best = best_gap(Job(), ledge(30.0, 12.0, LAYER), library=library)
    kept, _ = kept_trial(Job(), library)
    limit = kept.limit_at(30.0)
    assert best.gap_mm == math.ceil(1000 * limit.gap_mm) / 1000 and best.binds == "free"
    assert best.gap_band_mm == (limit.low_mm, limit.high_mm)
    a, b, c = kept.weights  # the logistic curve by hand: ln(0.95/0.05) at the limit, and just above 95 % at the answer
    assert a + b * limit.gap_mm + c * 30.0 == pytest.approx(math.log(19.0), abs=1e-6)
    assert 0.95 <= best.share_free < 0.95 + b * 0.95 * 0.05 * 1e-3 * 1.01
    low, high = best.share_interval
    assert low < best.share_free < high < 1.0
    assert "from trials of 2026-11-20, n = 45" in best_gap_text(best)


@pytest.mark.parametrize("angle_deg", [0.0, 30.0, 60.0])
def test_without_trials_it_is_the_high_end_of_the_fuse_limit(angle_deg: float, tmp_path: Path) -> None:
    best = best_gap(Job(), ledge(angle_deg, 12.0, LAYER), library=tmp_path)
    high_mm = best.window.estimate.fuse_limit_mm.high
    assert high_mm <= best.gap_mm < high_mm + 0.001
    chance = chance_of(Job(), best.patch, None)
    assert chance(high_mm) == pytest.approx(0.95, abs=1e-9)
    # The middle of a normal is an even chance; the rule of four layers and one stands above it here at every angle.
    assert chance(best.window.estimate.fuse_limit_mm.low - 0.001) == 0.0
    assert ("too good" in best_gap_text(best)) == (angle_deg < 20)


def test_where_the_melt_reaches_less_than_two_layers_the_layers_hold_it(tmp_path: Path) -> None:
    """Trials that came free down to 0.10 mm leave a limit near 0.1 mm; layers of 0.06 mm allow no gap below 0.12."""
    library = trials(tmp_path, 0.12)
    limit_mm = kept_trial(Job(), library)[0].limit_at(30.0).gap_mm
    best = best_gap(Job(), ledge(30.0, 12.0, LAYER), library=library)
    assert best.gap_mm == max(math.ceil(1000 * limit_mm), math.ceil(2000 * LAYER - 1e-6)) / 1000


def test_least_metal_goes_to_the_heat_limit_with_a_sink_no_heavier_than_the_jobs_own(tmp_path: Path) -> None:
    patch, job = ledge(30.0, 12.0, LAYER), Job()
    cool, light = (best_gap(job, patch, goal, tmp_path) for goal in ("rise", "mass"))
    own = replace(job, sink=light.sink)
    um = round(1000 * light.gap_mm)
    assert light.binds == "heat" and light.mass_g < cool.mass_g and light.keeps_both
    assert rise_k(own, 12.0, um) <= job.rise_allowed_k < rise_k(own, 12.0, um + 1)
    for sink in sinks_to_try(job.sink, patch, cool.gap_mm):  # none that is lighter at its own limit was missed
        other = replace(job, sink=sink)
        if rise_k(other, 12.0, round(1000 * cool.gap_mm)) <= job.rise_allowed_k:
            assert sink_mass_g(sink, patch, light.gap_mm, 7957.0) >= light.mass_g * (1 - 0.1)


def test_the_mass_before_building_is_within_a_tenth_of_the_sink_built() -> None:
    """Against the volume measured on the finished body; a block is plan area times height by hand."""
    job = new_job(BRACKET)
    part = load_placed_part(job)
    patch = next(p for p in find_patches(part, job.max_angle_deg, LAYER) if p.id == 1)
    bodies = build_sink(part, patch.faces, job.sink, 0.3, name="sink", patch_ids=(1,), layer_mm=LAYER)
    assert sink_mass_g(job.sink, patch, 0.3, 1e6) == pytest.approx(sum(body.volume_mm3 for body in bodies), rel=0.1)
    flat = ledge(0.0, 10.3, LAYER)
    assert sink_mass_g(SinkChoice(kind="block"), flat, 0.3, 8000.0) == pytest.approx(400 * 10 * 8e-3)
    # 1.5 mm walls every 4 mm: 1 mm skin, roofs 1.25 tan 50° high and 1.375/2 full, legs 0.375 full
    roof_mm = 1.25 * math.tan(math.radians(50.0))
    by_hand_mm = 1.0 + 0.6875 * roof_mm + 0.375 * (10.0 - 1.0 - roof_mm)
    assert sink_mass_g(SinkChoice(), flat, 0.3, 8000.0) == pytest.approx(400 * by_hand_mm * 8e-3)


# How it moves ------------------------------------------------------------------------------------


@given(
    gap_um=st.integers(80, 3000),
    wider_um=st.integers(1, 1500),
    angle_deg=st.floats(5.0, 60.0),
    height_mm=st.floats(20.0, 60.0),
)
@settings(max_examples=60, deadline=None)
def test_rise_and_chance_grow_with_the_gap(gap_um: int, wider_um: int, angle_deg: float, height_mm: float) -> None:
    patch = ledge(angle_deg, height_mm, LAYER)
    chance = chance_of(Job(), patch, None)
    assert chance(gap_um / 1000) <= chance((gap_um + wider_um) / 1000)
    narrow, wide = (rise_k(Job(), height_mm, um, angle_deg) for um in (gap_um, gap_um + wider_um))
    highest = column_facts("316L", Job().laser, Job().powder, Job().rise_allowed_k).highest_rise_k
    assert narrow < wide or narrow == wide == highest


@given(power_w=st.floats(150.0, 400.0), allowed_k=st.floats(50.0, 900.0), angle_deg=st.floats(0.0, 60.0))
@settings(max_examples=25, deadline=None)
def test_no_narrower_gap_would_come_free(power_w: float, allowed_k: float, angle_deg: float) -> None:
    job = replace(Job(), laser=replace(Job().laser, power_w=power_w), rise_allowed_k=allowed_k)
    best = best_gap(job, ledge(angle_deg, 12.0, LAYER), library=NO_TRIALS)
    chance = chance_of(job, best.patch, None)
    assert chance(best.gap_mm) >= 0.95 - 1e-9
    assert best.binds == "layers" or chance(best.gap_mm - 0.001) < 0.95
    assert best.keeps_both == (best.rise_k.nominal <= allowed_k)


# What the powder does ----------------------------------------------------------------------------


def column_by_hand(best: BestGap, job: Job, k_w_mk: float) -> float:
    """q / (1/R + h), R = g/k + 2/alpha + H/k_metal of a block; h = 25 W/m²K off the top (as the estimate says)."""
    facts = column_facts(job.metal, job.laser, job.powder, job.rise_allowed_k)
    gap_m = best.gap_mm * 1e-3
    height_m = best.patch.centre_mm[2] * 1e-3 - gap_m / math.cos(math.radians(best.patch.mean_angle_deg))
    resistance = gap_m / k_w_mk + 2 / facts.wall_w_m2k.nominal + height_m / facts.metal_w_mk
    return facts.flux_w_m2.nominal / (1 / resistance + 25.0)


def test_sensitivity_of_a_block_is_that_of_the_plain_column(tmp_path: Path) -> None:
    """dT/dlnk = q/(1/R + h)² · (1/R²) · (-g/k): only the gap's own resistance g/k moves with the powder."""
    best = best_gap(BLOCK, ledge(30.0, 12.0, LAYER), library=tmp_path)
    facts = column_facts("316L", BLOCK.laser, BLOCK.powder, BLOCK.rise_allowed_k)
    k, s = facts.powder_w_mk.nominal, best.sensitivity
    rise = column_by_hand(best, BLOCK, k)
    flux = facts.flux_w_m2.nominal
    resistance = 1 / (flux / rise - 25.0)
    by_hand = -(rise**2) / flux / resistance**2 * best.gap_mm * 1e-3 / k
    assert best.rise_k.nominal == pytest.approx(rise, rel=1e-9)
    assert s.per_ln_k == pytest.approx(by_hand, rel=1e-5)
    assert s.per_ln_k == pytest.approx(
        (column_by_hand(best, BLOCK, 1.01 * k) - column_by_hand(best, BLOCK, 0.99 * k)) / math.log(1.01 / 0.99),
        rel=1e-3,
    )
    for at, share in ((s.less, 0.9), (s.more, 1.1)):
        assert at.rise_k == pytest.approx(column_by_hand(best, BLOCK, share * k), rel=1e-9) and at.gap_mm == best.gap_mm
    assert (s.low.k_w_mk, s.high.k_w_mk) == (facts.powder_w_mk.low, facts.powder_w_mk.high)
    assert s.low.rise_k > s.less.rise_k > best.rise_k.nominal > s.more.rise_k > s.high.rise_k


def test_the_gap_for_least_metal_is_wider_in_powder_that_conducts_better(tmp_path: Path) -> None:
    """At the heat limit g = k (R_allowed - R_rest - 2/alpha): 10 % more k, 10 % more gap; an edge sink is solid."""
    s = best_gap(replace(Job(), sink=SinkChoice(kind="edge")), ledge(30.0, 12.0, LAYER), "mass", tmp_path).sensitivity
    middle = (s.less.gap_mm + s.more.gap_mm) / 2
    assert s.less.gap_mm < s.more.gap_mm
    assert (s.more.gap_mm - s.less.gap_mm) / middle == pytest.approx(0.2, rel=0.02)


# What can't be kept ------------------------------------------------------------------------------


def test_no_gap_keeps_both_says_which_is_broken_and_by_how_much(tmp_path: Path) -> None:
    job, patch = replace(Job(), rise_allowed_k=100.0), ledge(30.0, 12.0, LAYER)
    best = best_gap(job, patch, library=tmp_path)
    over_k = rise_k(job, 12.0, round(1000 * best.gap_mm)) - 100.0
    assert not best.keeps_both and best.comes_free and best.short_k == pytest.approx(over_k) and over_k > 0
    heat_mm = best.window.estimate.heat_limit_mm.nominal
    assert best.short_mm == pytest.approx(best.gap_mm - heat_mm)
    text = best_gap_text(best)
    assert f"No gap keeps both limits: the narrowest that comes free is {over_k:.0f} K above the allowed rise" in text
    light = best_gap(job, patch, "mass", tmp_path)
    assert not light.keeps_both or light.sink.kind != job.sink.kind  # what a block saves is told, not hidden


def test_no_gap_comes_free_where_the_room_is_too_small_and_none_fits_near_the_plate(tmp_path: Path) -> None:
    best = best_gap(Job(), ledge(0.0, 1.2, LAYER), library=tmp_path)
    assert (best.gap_mm, best.binds, best.comes_free) == (0.2, "range", False)
    assert "No gap up to 0.20 mm comes free with 95%" in best_gap_text(best)
    with pytest.raises(Refusal, match="No sink fits below patch 0"):
        best_gap(Job(), ledge(0.0, 0.9, LAYER), library=tmp_path)
