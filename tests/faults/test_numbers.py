"""Every result says what it came from and holds no number that is none; the same job gives the same bytes."""

import hashlib
import json
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from core.export.result import JobResult
from core.export.result_json import json_text, result_values
from core.export.write_heat import heat_values, quick_values
from core.heat.compare_heat import HeatComparison
from core.heat.heat_choice import HeatChoice
from core.job import Job
from core.job_file import job_hash, job_text, open_job, save_job
from core.run_heat import run_quick_look
from core.run_sweep import SweepChoice, cases_of
from core.sweep_case import run_case
from core.version import VERSION

ROOT = Path(__file__).resolve().parents[2]
MAY_BE_NULL = re.compile(
    r"patches\[\d+\]\.overhang_step_mm"  # infinite under a flat ceiling
    r"|findings\[\d+\]\.at_mm"  # a finding about the whole build has no place
    r"|settings\.(units|plate\.part_at_mm|powder\.conductivity_w_mk|sink\.direction_deg|zone\.\w+)"  # left open
    r"|settings\.(own_alloy|machine)"  # none chosen
)
SAME = (
    "sinks.stl",
    "sink-01.stl",
    "sink-02.stl",
    "build.3mf",
    "report.html",
    "report.pdf",
    "result.json",
    "job.underfin",
)
HEAT_SAME = ("heat.json", "heat-layers.csv", "heat-faces.npz", "heat.svg", "heat.png", "heat-report.html")


def leaves(value: Any, place: str = "") -> Iterator[tuple[str, Any]]:
    """Every value in a document with its place, as patches[0].area_mm2."""
    if isinstance(value, dict):
        for key, below in value.items():
            yield from leaves(below, f"{place}.{key}" if place else key)
    elif isinstance(value, list | tuple):
        for number, below in enumerate(value):
            yield from leaves(below, f"{place}[{number}]")
    else:
        yield place, value


def none_of_these(text: str) -> float:
    raise AssertionError(f"the file holds {text}")


def strictly_read(values: dict[str, Any]) -> dict[str, Any]:
    return dict(json.loads(json_text(values), parse_constant=none_of_these))


def test_every_number_of_a_build_is_finite_and_only_what_may_be_unknown_is_null(result: JobResult) -> None:
    values = strictly_read(result_values(result, (), Path("/out")))
    nulls = [place for place, value in leaves(values) if value is None]
    assert [place for place in nulls if not MAY_BE_NULL.fullmatch(place)] == []
    words = ("nan", "inf", "-inf", "NaN", "Infinity")
    assert [place for place, value in leaves(values) if value in words] == []
    texts = " ".join(value for _, value in leaves(values) if isinstance(value, str))
    assert not re.search(r"\b(nan|inf)\b", texts)


def test_every_number_of_the_heat_is_finite(result: JobResult, comparison: HeatComparison) -> None:
    quick = quick_values(run_quick_look(result, HeatChoice(cell_mm=2.0)), result)
    for values in (heat_values(comparison, result), quick):
        read = strictly_read(values)
        nulls = [place for place, value in leaves(read) if value is None]
        assert [place for place in nulls if not MAY_BE_NULL.fullmatch(place)] == []
    for run in (comparison.with_sinks, comparison.without):
        assert np.isfinite(run.face_between_c).all()


def test_a_number_that_is_none_stops_the_writing() -> None:
    """json(RFC 8259) knows no NaN; the writer refuses rather than writing one."""
    for bad in (float("nan"), float("inf"), -float("inf")):
        with pytest.raises(ValueError, match="JSON compliant"):
            json_text({"gap_mm": bad})


def test_every_result_says_its_version_its_job_and_its_settings(
    tmp_path: Path, job: Job, result: JobResult, comparison: HeatComparison
) -> None:
    quick = quick_values(run_quick_look(result, HeatChoice(cell_mm=2.0)), result)
    built = result_values(result, (), tmp_path)
    for values in (built, heat_values(comparison, result), quick):
        assert values["version"] == VERSION and values["job_sha256"] == job_hash(result.job)
        # the settings are a whole job: saved beside the part, they open as the job that was run
        (tmp_path / "again.underfin").write_text(json.dumps(values["settings"]))
        assert job_hash(open_job(tmp_path / "again.underfin")) == job_hash(result.job)
    assert (
        heat_values(comparison, result)["heat_settings"]["cell_mm"] == 3.0 and quick["heat_settings"]["cell_mm"] == 2.0
    )
    case = cases_of(job, SweepChoice(gap_mm=(0.3, 0.4)))[1]
    found = run_case(case)
    assert found["version"] == VERSION and found["job_sha256"] == job_hash(job) and found["settings"]["gap_mm"] == 0.4


def digests(folder: Path, names: tuple[str, ...]) -> dict[str, str]:
    return {name: hashlib.sha256((folder / name).read_bytes()).hexdigest() for name in names}


def outcome(job: Job, folder: Path, command: str, threads: str, *words: str) -> Path:
    """Run a command in a process of its own, with its own seed of hashes and number of threads."""
    folder.mkdir()
    save_job(job, folder / "a.underfin")
    settings = dict(os.environ) | {"PYTHONHASHSEED": threads, "OMP_NUM_THREADS": threads, "NUMBA_NUM_THREADS": threads}
    arguments = [sys.executable, "-m", "app.cli", command, str(folder / "a.underfin"), "--out", str(folder / "out")]
    done = subprocess.run([*arguments, *words], cwd=ROOT, env=settings, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return folder / "out"


def test_the_same_job_gives_the_same_bytes_in_another_process(tmp_path: Path, job: Job) -> None:
    """Whatever the seed of Python's hashes and the number of threads; both folders lie equally deep."""
    first, second = (digests(outcome(job, tmp_path / name, "build", name, "--all"), SAME) for name in ("1", "2"))
    assert {name for name in SAME if first[name] != second[name]} == set()


def test_the_same_build_followed_twice_gives_the_same_bytes(tmp_path: Path, job: Job) -> None:
    words = ("--cell", "3")
    first, second = (digests(outcome(job, tmp_path / name, "heat", name, *words), HEAT_SAME) for name in ("1", "2"))
    assert {name for name in HEAT_SAME if first[name] != second[name]} == set()


def test_another_setting_gives_another_hash_and_other_bytes(tmp_path: Path, job: Job) -> None:
    other = replace(job, gap=replace(job.gap, gap_mm=0.5))
    assert job_hash(other) != job_hash(job)
    first, second = (outcome(j, tmp_path / n, "build", n, "--all") for n, j in (("1", job), ("2", other)))
    assert digests(first, SAME)["sinks.stl"] != digests(second, SAME)["sinks.stl"]
    assert job_text(job, tmp_path) != job_text(other, tmp_path)
