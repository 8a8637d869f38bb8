"""The command line prints the best gap and writes it into a job."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from core.job_file import open_job

Run = Callable[..., tuple[int, str, str]]
BRACKET = Path(__file__).resolve().parents[2] / "sample_parts" / "sensor-bracket.stl"


@pytest.fixture(autouse=True)
def no_trials(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("core.trial.trial_library.library_folder", lambda: tmp_path / "none")


def test_table_json_and_a_job_with_the_gaps(run: Run, tmp_path: Path) -> None:
    out = tmp_path / "best.underfin"
    code, text, _ = run("best-gap", BRACKET, "--out", out)
    assert code == 0 and "Patch 1, 30°: best gap" in text and "d rise / d ln k" in text and "our choice" in text
    code, text, _ = run("best-gap", out, "--json")
    values = json.loads(text)
    job = open_job(out)
    assert code == 0 and [pick.gap.gap_mm for pick in job.picks] == [best["gap_mm"] for best in values["best"]]
    assert all(best["gap_mm"] >= best["fuse_limit_mm"][2] for best in values["best"])
    code, text, _ = run("best-gap", out, "--patch", "1", "--for", "mass", "--json")
    (light,) = json.loads(text)["best"]
    assert light["patch"] == 1 and light["held_by"] == "heat" and light["gap_mm"] > values["best"][0]["gap_mm"]


def test_what_it_refuses(run: Run, tmp_path: Path) -> None:
    code, _, said = run("best-gap", BRACKET, "--out", tmp_path / "best.stl")
    assert code == 2 and "ends in .underfin" in said and not (tmp_path / "best.stl").exists()
    code, _, said = run("best-gap", BRACKET, "--patch", "9")
    assert code == 2 and "There is no patch 9" in said
