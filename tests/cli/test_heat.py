"""heat: what it writes agrees with itself, a stopped run goes on, and a stop leaves nothing but the kept state."""

import csv
import json
import os
import signal
import subprocess
import sys
import time
import xml.etree.ElementTree as ElementTree
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import trimesh
from matplotlib.image import imread

from core.job_file import new_job, save_job
from core.sink.sink_choice import SinkChoice

Run = Callable[..., tuple[int, str, str]]
REPORT = {"heat-report.html", "heat-report.pdf"}
FILES = {"heat.json", "heat-layers.csv", "heat-faces.npz", "heat.png", "heat.svg"} | REPORT
ROOT = Path(__file__).parents[2]
CELL = ("--cell", "2.5")


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample bracket with solid sinks, which cells of 2.5 mm can still tell from powder."""
    path = tmp_path_factory.mktemp("job") / "bracket.underfin"
    bracket = new_job(ROOT / "sample_parts" / "sensor-bracket.stl")
    save_job(replace(bracket, sink=SinkChoice(kind="block")), path)
    return path


@pytest.fixture(scope="module")
def finished(
    job: Path, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Path, subprocess.CompletedProcess[str]]:
    """The job followed by the installed command."""
    folder = tmp_path_factory.mktemp("heat") / "out"
    command = [sys.executable, "-m", "app.cli", "heat", str(job), "--out", str(folder), *CELL, "--json"]
    return folder, subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)


def test_the_files_agree_with_the_printed_result(finished: tuple[Path, subprocess.CompletedProcess[str]]) -> None:
    folder, done = finished
    assert (done.returncode, done.stderr) == (0, "")
    values = json.loads(done.stdout)
    assert {p.name for p in folder.iterdir()} == FILES == set(values["files"])
    written = json.loads((folder / "heat.json").read_text())
    assert written == {key: values[key] for key in written}
    assert values["words"] == "estimate, calibrate with the coupon"
    with open(folder / "heat-layers.csv", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [float(row["z_mm"]) for row in rows] == [1.25 + 2.5 * i for i in range(28)]  # 70 mm high
    hottest = max(float(row["without_max_c"]) for row in rows if row["without_max_c"])
    assert hottest >= max(p["hottest_without_c"] for p in values["patches"]) - 1.0
    with np.load(folder / "heat-faces.npz", allow_pickle=False) as faces:
        difference = faces["without_c"] - faces["with_sinks_c"]
    assert len(difference) == len(trimesh.load(ROOT / "sample_parts" / "sensor-bracket.stl").faces)
    assert difference.max() >= max(p["cooler_by_k"] for p in values["patches"])


def test_every_patch_has_ordered_bands_and_is_cooler_with_its_sink(
    finished: tuple[Path, subprocess.CompletedProcess[str]],
) -> None:
    values = json.loads(finished[1].stdout)
    assert [p["patch"] for p in values["patches"]] == [1, 2]
    for patch in values["patches"]:
        for band in (patch["with_sinks_c"], patch["without_c"]):
            assert 80 < band["low"] <= band["nominal"] <= band["high"]
        assert patch["cooler_by_k"] > 5
        nominal = patch["without_c"]["nominal"] - patch["with_sinks_c"]["nominal"]
        assert patch["cooler_by_k"] == pytest.approx(nominal, abs=0.02)
    assert max(values[run]["imbalance"] for run in ("with_sinks", "without")) <= 1e-6


def test_the_drawing_names_its_axes_and_can_be_opened(
    finished: tuple[Path, subprocess.CompletedProcess[str]],
) -> None:
    folder, _ = finished
    picture = imread(folder / "heat.png")
    assert min(picture.shape[:2]) > 600 and picture[..., :3].std() > 0.05
    text = "".join(ElementTree.parse(folder / "heat.svg").getroot().itertext())  # noqa: S314  written by ourselves
    for words in ("°C", "mm", "with sinks", "without sinks", "Estimate", "patch 1", "patch 2"):
        assert words in text


def test_the_table_for_people_says_that_it_is_an_estimate(run: Run, samples: Path, tmp_path: Path) -> None:
    code, out, err = run("heat", samples / "sensor-bracket.stl", "--out", tmp_path / "out", "--cell", "4")
    assert (code, err) == (0, "")
    assert "estimate, calibrate with the coupon" in out and "cooler K" in out and "heat.json" in out


def test_a_quick_look_writes_one_file_that_holds_what_is_printed(run: Run, job: Path, tmp_path: Path) -> None:
    code, out, err = run("heat", job, "--out", tmp_path / "out", "--quick", "--json")
    assert (code, err) == (0, "")
    values = json.loads(out)
    assert [p.name for p in (tmp_path / "out").iterdir()] == ["heat-quick.json"] == values["files"]
    written = json.loads((tmp_path / "out" / "heat-quick.json").read_text())
    assert written == {key: values[key] for key in written} and values["depth"] == "quick look"
    for patch in values["patches"]:
        for band in (patch["with_sinks_c"], patch["without_c"]):
            assert 80 < band["low"] <= band["nominal"] <= band["high"]
        assert patch["cooler_by_k"] > 5
        assert patch["estimate_without_c"] > patch["without_c"]["nominal"]  # 1-D gives the wall no part in it
    assert "as if layers at that height never ended" in values["notes"][0]


def test_a_card_that_is_not_there_is_said_before_anything_is_built(
    run: Run, job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "cupy", None)
    code, out, err = run("heat", job, "--out", tmp_path / "out", "--machine", "card")
    assert (code, out) == (2, "") and err.count("\n") == 1
    assert "No NVIDIA card" in err and "follow the build on the processor" in err
    assert not (tmp_path / "out").exists()


def test_ctrl_c_keeps_the_state_and_going_on_gives_the_same_bytes(
    finished: tuple[Path, subprocess.CompletedProcess[str]], job: Path, tmp_path: Path
) -> None:
    """130 is 128 + SIGINT, as shells count it (POSIX)."""
    straight, out_dir = finished[0], tmp_path / "out"
    command = ["heat", str(job), "--out", str(out_dir), *CELL]
    code = f"import sys; from app import cli; sys.exit(cli.main({command!r}))"
    work = subprocess.Popen([sys.executable, "-c", code], cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                            text=True)  # fmt: skip
    kept = out_dir / ".heat" / "without-sinks.half"
    for _ in range(6000):
        if kept.exists() or work.poll() is not None:
            break
        time.sleep(0.01)
    os.kill(work.pid, signal.SIGINT)
    out, err = work.communicate(timeout=60)
    assert (work.returncode, out) == (130, "")
    assert err == "Stopped; the state is kept; run again to go on.\n"
    assert [p.name for p in out_dir.iterdir()] == [".heat"] and kept.exists()
    subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, check=True)
    assert {p.name for p in out_dir.iterdir()} == FILES
    for name in FILES:
        assert (out_dir / name).read_bytes() == (straight / name).read_bytes(), name
