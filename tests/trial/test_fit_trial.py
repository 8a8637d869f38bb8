"""Fits of trial sheets: the published study's classes, intervals that hold the truth, and roughness by scipy."""

import json
import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import minimize
from scipy.stats import linregress

from core.gap.gap_window import classify_gap
from core.refusal import Refusal
from core.trial.firth import firth_fit, penalised_likelihood
from core.trial.fit_trial import fit_trials
from core.trial.trial_fit import TrialFit, class_of_share
from core.trial.trial_log import Trial, TrialLog

Run = Callable[..., tuple[int, str, str]]


def log_of(*rows: tuple[float | None, float, str], ra_um: tuple[float, ...] = ()) -> TrialLog:
    """A sheet of (gap, angle, result)."""
    rough = ra_um or (None,) * len(rows)
    trials = tuple(
        Trial(row=k, cell=f"C{k}", gap_mm=gap, angle_deg=angle, result=result, ra_um=ra)
        for k, ((gap, angle, result), ra) in enumerate(zip(rows, rough, strict=True), start=2)
    )
    return TrialLog(name="trials.csv", sha256="0" * 64, trials=trials, settings={})


STUCK_MM, FREE_MM = (0.100, 0.125, 0.150), (0.250, 0.300)


def celik() -> TrialFit:
    """CoCrMo, 50 µm layers: 100 to 150 µm mainly fused, 250 and 300 µm stayed apart at 25 and 30°, all failed at 15°.

    Çelik, Tekoğlu, Yasa, Sönmez, Materials 15(11):3765 (2022), conclusions; one row per gap and angle named there.
    """
    rows = [(gap, angle, "stuck") for angle in (25.0, 30.0) for gap in STUCK_MM]
    rows += [(gap, angle, "free") for angle in (25.0, 30.0) for gap in FREE_MM]
    return fit_trials(log_of(*rows, *((gap, 15.0, "stuck") for gap in STUCK_MM + FREE_MM)))


def test_the_published_study_falls_into_its_own_classes() -> None:
    fit = celik()
    for angle in (25.0, 30.0):
        assert all(fit.share_free(gap, angle) < 0.5 for gap in STUCK_MM)
        assert all(fit.share_free(gap, angle) > 0.5 for gap in FREE_MM)
        # the model without trials says the same: 219 µm of melt depth, 50 µm layers
        assert {classify_gap(gap, angle, melt_depth_mm=0.219, layer_mm=0.05) for gap in STUCK_MM} == {"fuses"}
    assert all(class_of_share(fit.share_free(gap, 15.0)) == "fuses" for gap in STUCK_MM + FREE_MM)
    by_angle = {limit.angle_deg: limit for limit in fit.limits}
    assert by_angle[15.0].gap_mm > by_angle[25.0].gap_mm > by_angle[30.0].gap_mm > 0.150
    assert by_angle[25.0].low_mm > 0.150  # what fused is below the whole interval


def test_the_limit_is_where_the_curve_reaches_95_percent_and_lies_in_its_interval() -> None:
    fit = celik()
    for limit in fit.limits:
        assert fit.share_free(limit.gap_mm, limit.angle_deg) == pytest.approx(0.95, abs=1e-9)
        assert limit.low_mm < limit.gap_mm < limit.high_mm < math.inf


def test_interval_ends_lie_1_92_below_the_best_fit_by_brute_force() -> None:
    """chi2(0.95, 1)/2 = 1.9207; the rest maximised by Nelder-Mead instead of scoring."""
    rows = np.array([(1.0, gap) for gap in (0.1, 0.15, 0.2, 0.25, 0.3, 0.35)] * 2)
    free = np.array([0, 0, 0, 1, 1, 1] + [0, 0, 1, 0, 1, 1], dtype=float)
    log = log_of(*((gap, 30.0, "free" if won else "stuck") for (_, gap), won in zip(rows, free, strict=True)))
    (limit,) = fit_trials(log).limits
    best = firth_fit(rows, free)[1]
    target = math.log(0.95 / 0.05)

    def worse(slope: np.ndarray, end_mm: float) -> float:
        return -penalised_likelihood(rows, free, np.array([target - slope[0] * end_mm, slope[0]]))

    for end_mm in (limit.low_mm, limit.high_mm):
        held = minimize(worse, [20.0], (end_mm,), "Nelder-Mead", options={"xatol": 1e-8, "fatol": 1e-11})
        assert best + held.fun == pytest.approx(1.9207, abs=2e-3)


def test_intervals_hold_the_truth_about_as_often_as_they_say() -> None:
    """150 sheets drawn from one curve, 36 cells each: 95 % of the intervals should hold it (3 sd: 5 %)."""
    a, b = -6.0, 30.0
    truth = (math.log(19.0) - a) / b
    rng = np.random.default_rng(5)
    gaps = np.repeat([0.1, 0.15, 0.2, 0.25, 0.3, 0.35], 6)
    held = 0
    for _ in range(150):
        free = rng.random(36) < 1 / (1 + np.exp(-(a + b * gaps)))
        log = log_of(*((gap, 30.0, "free" if won else "stuck") for gap, won in zip(gaps, free, strict=True)))
        (limit,) = fit_trials(log).limits
        held += limit.gap_mm is not None and limit.low_mm <= truth <= limit.high_mm
    assert 0.90 <= held / 150 <= 0.995


def test_roughness_over_gap_is_the_regression_line_of_scipy() -> None:
    rng = np.random.default_rng(2)
    gaps = np.repeat([0.2, 0.3, 0.4, 0.5], 3)
    ra = 40.0 - 30.0 * gaps + rng.normal(0, 2, 12)
    rows = [(gap, 30.0, "free") for gap in gaps] + [(None, 30.0, "")] * 2
    fit = fit_trials(log_of(*rows, ra_um=(*ra, 50.0, 54.0)))
    line = linregress(gaps, ra)
    (found,) = fit.roughness
    assert (found.per_mm, found.at_zero_um) == pytest.approx((line.slope, line.intercept), rel=1e-9)
    half = 2.228138852 * line.stderr  # Student's t, 97.5 %, 10 degrees of freedom (any table)
    assert (found.per_mm_low, found.per_mm_high) == pytest.approx((line.slope - half, line.slope + half), rel=1e-6)
    assert found.without_sink_um == {30.0: 52.0}


@pytest.mark.parametrize(
    ("results", "words"),
    [
        (("free",) * 6, "came free down to 0.1 mm"),
        (("stuck",) * 6, "No sink came free up to 0.35 mm"),
        (("free", "free", "free", "stuck", "stuck", "stuck"), "didn't come free more often"),
    ],
)
def test_trials_without_a_limit_say_so(results: tuple[str, ...], words: str) -> None:
    gaps = (0.1, 0.15, 0.2, 0.25, 0.3, 0.35)
    fit = fit_trials(log_of(*((gap, 30.0, result) for gap, result in zip(gaps, results, strict=True))))
    assert [limit.gap_mm for limit in fit.limits] == [None]
    assert any(words in note for note in fit.notes)


def test_too_few_trials_are_refused_and_lost_ones_do_not_count() -> None:
    rows = [(0.2, 30.0, "stuck"), (0.3, 30.0, "free")] * 2 + [(0.3, 30.0, "lost")] * 9
    with pytest.raises(Refusal, match="has 4 cells with a sink that are judged"):
        fit_trials(log_of(*rows))


def test_a_coupon_filled_in_is_fitted_by_the_command_line(run: Run, tmp_path: Path) -> None:
    """From the coupon's own sheet, as a person fills it: everything from 0.25 mm up comes free."""
    run("coupon", "--alloy", "316L", "--gaps", "0.1:0.4:0.1", "--angles", "30,45", "--out", tmp_path / "out")
    head, *rows = (tmp_path / "out" / "trials.csv").read_text().splitlines()
    names = head.split(",")
    filled = []
    for row in rows:
        values = dict(zip(names, row.split(","), strict=True))
        if values["gap_mm"]:
            values["result"] = "free" if float(values["gap_mm"]) > 0.25 else "stuck"
        filled.append(",".join(values[name] for name in names))
    (tmp_path / "filled.csv").write_text("\n".join([head, *filled]))
    code, out, err = run("fit", tmp_path / "filled.csv", "--json")
    values = json.loads(out)
    assert (code, err) == (0, "") and (values["n"], values["n_free"], values["n_stuck"]) == (8, 4, 4)
    assert values["settings"]["alloy"] == "316L" and values["settings"]["layer_mm"] == 0.04
    for limit in values["limits"]:
        assert 0.2 < limit["low_mm"] < limit["gap_mm"]
    classes = {(c["gap_mm"], c["angle_deg"]): c["free"] for c in values["classes"]}
    assert max(classes[0.2, 30.0], classes[0.2, 45.0]) < 0.5 < min(classes[0.3, 30.0], classes[0.3, 45.0])
    code, out, _ = run("fit", tmp_path / "filled.csv")
    assert code == 0 and "n = 8 judged cells" in out
