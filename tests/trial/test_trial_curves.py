"""Curves of the chance of coming free: their band and the limit's interval say the same, and the files hold both."""

import csv
import json
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest

from core.trial.fit_trial import fit_trials
from core.trial.free_profile import FreeProfile
from core.trial.trial_curves import free_curves
from core.trial.trial_log import TrialLog, read_trials

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def log(tmp_path: Path) -> TrialLog:
    """Two angles that overlap: at each gap so many of four come free, one is lost, roughness grows by 20 µm a mm."""
    lines = ["cell,gap_mm,angle_deg,result,ra_um,alloy,layer_mm"]
    for angle, counts in ((20, (0, 1, 2, 3, 4)), (45, (0, 2, 3, 4, 4))):
        for gap, n_free in zip((0.1, 0.2, 0.3, 0.4, 0.5), counts, strict=True):
            for k in range(4):
                result = "free" if k < n_free else "stuck"
                lines.append(f"C{len(lines)},{gap},{angle},{result},{5 + 20 * gap:g},316L,0.04")
    lines.append(f"C{len(lines)},0.5,45,lost,,316L,0.04")
    path = tmp_path / "trials.csv"
    path.write_text("\n".join(lines))
    return read_trials(path)


def test_the_band_crosses_95_percent_where_the_limits_interval_ends(log: TrialLog) -> None:
    """Both are one profile cut across and along (Venzon and Moolgavkar, Appl. Stat. 37:87, 1988)."""
    profile = FreeProfile.of(log.judged)
    for limit in fit_trials(log).limits:
        share, low, high = profile.shares_at(limit.gap_mm, limit.angle_deg)
        assert share == pytest.approx(0.95, abs=1e-9) and low < 0.95 < high
        assert profile.shares_at(limit.high_mm, limit.angle_deg)[1] == pytest.approx(0.95, abs=2e-4)
        assert profile.shares_at(limit.low_mm, limit.angle_deg)[2] == pytest.approx(0.95, abs=2e-4)


def test_curves_rise_with_the_gap_inside_their_band_over_all_gaps_tried(log: TrialLog) -> None:
    curves = free_curves(log)
    assert [curve.angle_deg for curve in curves] == [20.0, 45.0]
    for curve in curves:
        assert curve.gap_mm[0] < 0.1 and curve.gap_mm[-1] > 0.5
        assert (np.diff(curve.share) > 0).all()
        assert (curve.low < curve.share).all() and (curve.share < curve.high).all()


def test_one_gap_gives_no_curve(log: TrialLog) -> None:
    one = TrialLog(name=log.name, sha256="", settings={}, trials=tuple(t for t in log.trials if t.gap_mm == 0.3))
    assert free_curves(one) == ()
    share, low, high = FreeProfile.of(one.judged).shares_at(0.3, 20.0)
    assert low < share < high


def test_the_command_line_writes_what_was_fitted(run: Run, log: TrialLog, tmp_path: Path) -> None:
    out = tmp_path / "out"
    code, text, _ = run("fit", tmp_path / log.name, "--out", out)
    assert code == 0 and "fit.png" in text
    assert {file.name for file in out.iterdir()} == {
        "fit.json", "fit-curves.csv", "fit-cells.csv", "fit.png", "fit.svg"
    }  # fmt: skip
    assert json.loads((out / "fit.json").read_text())["n"] == 40
    cells = list(csv.DictReader((out / "fit-cells.csv").open()))
    assert [(c["cell"], float(c["gap_mm"]), c["result"]) for c in cells] == [
        (t.cell, t.gap_mm, t.result) for t in log.trials
    ]
    curve = [row for row in csv.DictReader((out / "fit-curves.csv").open()) if row["angle_deg"] == "45"]
    at_limit = np.interp(0.95, [float(r["free"]) for r in curve], [float(r["gap_mm"]) for r in curve])
    assert at_limit == pytest.approx(fit_trials(log).limits[1].gap_mm, abs=0.01)
    words = " ".join(ElementTree.parse(out / "fit.svg").getroot().itertext())  # noqa: S314 (our own file)
    for label in ("powder gap, normal to the face, mm", "chance that a sink comes free", "roughness Ra, µm", "lost"):
        assert label in words
