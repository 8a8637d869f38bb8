"""build: what it writes is checked with tools that aren't ours, and a job builds the same sinks again."""

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import manifold3d
import numpy as np
import pytest
import trimesh

Run = Callable[..., tuple[int, str, str]]
REPORT = {"report.html", "report.pdf", "job.underfin", "result.json"}
FILES = {"sinks.stl", "sink-01.stl", "sink-02.stl", "build.3mf"} | REPORT
ROOT = Path(__file__).parents[2]


def solid(path: Path) -> manifold3d.Manifold:
    """A mesh file as a Manifold, read by trimesh."""
    mesh = trimesh.load(path)
    mesh.merge_vertices()
    whole = manifold3d.Manifold(
        manifold3d.Mesh(np.asarray(mesh.vertices, dtype=np.float32), np.asarray(mesh.faces, dtype=np.uint32))
    )
    assert whole.status() == manifold3d.Error.NoError
    return whole


def test_the_bracket_gets_two_sinks_and_the_files_agree_with_the_result(
    run: Run, samples: Path, tmp_path: Path
) -> None:
    code, out, err = run("build", samples / "sensor-bracket.stl", "--out", tmp_path / "out", "--json")
    assert code == 0 and err == ""
    values = json.loads(out)
    assert {p.name for p in (tmp_path / "out").iterdir()} == FILES == set(values["files"])
    assert json.loads((tmp_path / "out" / "result.json").read_text()) == values
    assert [s["patches"] for s in values["sinks"]] == [[1], [2]]
    for sink in values["sinks"]:
        read = trimesh.load(tmp_path / "out" / f"{sink['name']}.stl")
        assert len(read.faces) == sink["triangles"] and read.is_watertight
        assert read.volume == pytest.approx(sink["volume_mm3"], rel=1e-6)
        assert sink["min_clearance_mm"] >= sink["gap_mm"] == 0.3


def test_the_written_sinks_keep_the_gap_by_an_independent_measure(run: Run, samples: Path, tmp_path: Path) -> None:
    """manifold3d.min_gap works on the files as written, in the part's own coordinates."""
    run("build", samples / "sensor-bracket.stl", "--out", tmp_path / "out", "--gap", "0.4")
    values = json.loads((tmp_path / "out" / "result.json").read_text())
    part = solid(samples / "sensor-bracket.stl")
    for sink in values["sinks"]:
        gap = part.min_gap(solid(tmp_path / "out" / f"{sink['name']}.stl"), 2.0)
        assert gap >= 0.4 - 1e-6
        assert gap == pytest.approx(sink["min_clearance_mm"], abs=1e-5)


def test_a_job_builds_the_same_bytes_again_also_from_another_folder(run: Run, samples: Path, tmp_path: Path) -> None:
    run("build", samples / "sensor-bracket.stl", "--out", tmp_path / "a", "--patch", "2", "--kind", "block")
    code, out, _ = run("build", tmp_path / "a" / "job.underfin", "--out", tmp_path / "deep" / "b", "--json")
    assert code == 0 and [s["kind"] for s in json.loads(out)["sinks"]] == ["block"]
    for name in ("sinks.stl", "sink-01.stl", "build.3mf", "report.html", "report.pdf"):
        assert (tmp_path / "a" / name).read_bytes() == (tmp_path / "deep" / "b" / name).read_bytes()
    hashes = {json.loads((tmp_path / d / "result.json").read_text())["job_sha256"] for d in ("a", "deep/b")}
    assert len(hashes) == 1


def test_options_override_the_job(run: Run, samples: Path, tmp_path: Path) -> None:
    run("build", samples / "sensor-bracket.stl", "--out", tmp_path / "a", "--patch", "1")
    job = tmp_path / "a" / "job.underfin"
    out = run("build", job, "--out", tmp_path / "b", "--patch", "2", "--gap", "0.5", "--layer", "0.03", "--json")[1]
    values = json.loads(out)
    assert [s["patches"] for s in values["sinks"]] == [[2]] and values["sinks"][0]["gap_mm"] == 0.5
    assert values["settings"]["laser"]["layer_mm"] == 0.03


def test_a_changed_part_file_is_a_warning_and_one_without_the_faces_a_refusal(
    run: Run, samples: Path, tmp_path: Path
) -> None:
    part = tmp_path / "part.stl"
    good = (samples / "sensor-bracket.stl").read_bytes()
    part.write_bytes(good)
    run("build", part, "--out", tmp_path / "a", "--patch", "2")
    part.write_bytes(b"X" + good[1:])
    code, out, _ = run("build", tmp_path / "a" / "job.underfin", "--out", tmp_path / "b", "--json")
    assert code == 0 and any("changed since the job was saved" in text for text in json.loads(out)["warnings"])
    trimesh.creation.box(bounds=[[0, 0, 0], [5, 5, 5]]).export(part)
    code, _, err = run("build", tmp_path / "a" / "job.underfin", "--out", tmp_path / "c")
    assert code == 2 and "Pick them again" in err and not (tmp_path / "c").exists()


def test_a_patch_no_sink_can_reach_stops_the_export_and_leaves_findings(
    run: Run, samples: Path, tmp_path: Path
) -> None:
    """The valve body's ceiling has a closed floor below it (known_answers.json: sink_possible false)."""
    for choice in (["--patch", "1"], ["--all"], []):
        code, out, err = run("build", samples / "valve-body.stl", "--out", tmp_path / "out", "--json", *choice)
        values = json.loads(out)
        assert code == 3 and err == "" and values["sinks"] == []
        assert any(f["level"] == "stop" for f in values["findings"])
        assert {p.name for p in (tmp_path / "out").iterdir()} == REPORT


def two_shelves(path: Path) -> Path:
    """A shelf over the plate (a sink can stand) beside a closed box with a ceiling (none can)."""
    block = trimesh.creation.box(bounds=[[0, 0, 0], [30, 20, 30]])
    window = trimesh.creation.box(bounds=[[5, 2, 5], [20, 18, 20]])
    shelf = trimesh.creation.box(bounds=[[25, 0, 22], [45, 20, 30]])
    trimesh.boolean.union([trimesh.boolean.difference([block, window]), shelf], engine="manifold").export(path)
    return path


def test_all_patches_leave_a_blocked_one_as_a_note_but_asking_for_it_is_a_stop(run: Run, tmp_path: Path) -> None:
    part = two_shelves(tmp_path / "two.stl")
    patches = json.loads(run("faces", part, "--json")[1])["patches"]
    blocked = next(p["id"] for p in patches if p["z_min_mm"] < 21)
    code, out, _ = run("build", part, "--out", tmp_path / "all", "--all", "--json")
    values = json.loads(out)
    notes = [f for f in values["findings"] if f["level"] == "note" and f"Patch {blocked}: no sink can" in f["text"]]
    assert code == 0 and len(values["sinks"]) == 1 and len(notes) == 1
    numbers = ",".join(str(p["id"]) for p in patches)
    code, out, _ = run("build", part, "--out", tmp_path / "asked", "--patch", numbers, "--json")
    assert code == 3 and len(json.loads(out)["sinks"]) == 1
    assert not (tmp_path / "asked" / "sinks.stl").exists()
    code, out, _ = run("build", tmp_path / "all" / "job.underfin", "--out", tmp_path / "again", "--json")
    assert (
        code == 0 and (tmp_path / "again" / "sinks.stl").read_bytes() == (tmp_path / "all" / "sinks.stl").read_bytes()
    )


def test_the_table_for_people_names_the_files_and_the_estimate(run: Run, samples: Path, tmp_path: Path) -> None:
    code, out, err = run("build", samples / "sensor-bracket.stl", "--out", tmp_path / "out", "--patch", "2")
    assert code == 0 and err == "" and "sink-01" in out and "estimate, calibrate with the coupon" in out
    assert "build.3mf" in out


def test_plate_border_and_blade_go_into_the_job_and_are_checked(run: Run, samples: Path, tmp_path: Path) -> None:
    """The bracket is 70 by 58 mm: it fits a plate of 80 mm with a border of 4 mm and not with one of 6 mm."""
    bracket = samples / "sensor-bracket.stl"
    options = ["--patch", "2", "--plate", "80,80,90", "--blade", "0", "--thorough", "--json"]
    code, out, _ = run("build", bracket, "--out", tmp_path / "a", "--border", "4", *options)
    plate = json.loads(out)["settings"]["plate"]
    assert code == 0 and (plate["size_mm"], plate["height_mm"]) == ([80.0, 80.0], 90.0)
    assert (plate["border_mm"], plate["blade_deg"]) == (4.0, 0.0)
    found = {f["check"]: f["text"] for f in json.loads(out)["findings"]}
    assert "80 × 80 × 90 mm" in found["envelope"] and "necks" in found["powder pockets"]
    code, out, _ = run("build", bracket, "--out", tmp_path / "b", "--border", "6", *options)
    stops = [f["text"] for f in json.loads(out)["findings"] if f["level"] == "stop"]
    assert code == 3 and any("1.00 mm into the 6 mm border" in text for text in stops)
    code, out, _ = run("build", tmp_path / "a" / "job.underfin", "--out", tmp_path / "c", "--json")
    assert code == 0 and json.loads(out)["settings"]["plate"] == plate


def test_every_stop_and_note_has_a_line_and_what_is_well_one_per_check(
    run: Run, samples: Path, tmp_path: Path
) -> None:
    _, out, _ = run("build", samples / "sensor-bracket.stl", "--out", tmp_path / "out")
    findings = json.loads((tmp_path / "out" / "result.json").read_text())["findings"]
    lines = out.splitlines()
    notes = [f for f in findings if f["level"] == "note"]
    assert sum(line.startswith("note ") for line in lines) == len(notes)
    assert all(any(f["text"] in line and f["remedy"] in line for line in lines) for f in notes)
    assert sum(line.startswith("ok ") for line in lines) == len({f["check"] for f in findings if f["level"] == "ok"})
    assert any(line.startswith("ok   solid: sink-01") and line.endswith("And 1 more like it.") for line in lines)


@pytest.mark.parametrize("after_s", [0.0, 1.0, 2.0])
def test_ctrl_c_ends_with_130_and_writes_nothing(samples: Path, tmp_path: Path, after_s: float) -> None:
    """Exit code 128 + signal number, as shells count it (POSIX)."""
    arguments = ["build", str(samples / "impeller-shroud.stl"), "--out", str(tmp_path / "out")]
    code = f"import sys; from app import cli; print('ready', flush=True); sys.exit(cli.main({arguments!r}))"
    work = subprocess.Popen(
        [sys.executable, "-c", code], cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    assert work.stdout is not None and work.stdout.readline() == "ready\n"
    time.sleep(0.05 + after_s)
    os.kill(work.pid, signal.SIGINT)
    out, err = work.communicate(timeout=120)
    assert work.returncode == 130 and out == "" and err == "Stopped; nothing was written.\n"
    assert list(tmp_path.iterdir()) == []
