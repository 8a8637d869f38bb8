"""Deviations of invented scans: what was added to a patch is read there, with its sign, and nowhere else."""

import csv
import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import trimesh

from core.job import pick_of
from core.job_file import new_job, save_job
from core.part.downskin import find_patches
from core.part.part import Part
from core.trial.scan_compare import compare_scan
from tests.trial_scan.invented import BRACKET, SHIFT_MM, TURN, pairs_of, scanned

Run = Callable[..., tuple[int, str, str]]
SWELLING_MM = 0.2


def swollen(part: Part, by_patch_mm: dict[int, float]) -> Part:
    """The part with its patches moved out along their own normals; invented, in the scanner's coordinates."""
    vertices = part.vertices_mm.copy()
    for patch in find_patches(part, 45.0, 0.04):
        if patch.id in by_patch_mm:
            normal = np.average(part.normals[patch.faces], axis=0, weights=part.areas_mm2[patch.faces])
            corners = np.unique(part.triangles[patch.faces])
            vertices[corners] += by_patch_mm[patch.id] * normal / np.linalg.norm(normal)
    return replace(part, vertices_mm=TURN.apply(vertices) + SHIFT_MM)


def test_swelling_is_read_with_its_sign_on_the_patch_alone(bracket: Part) -> None:
    patches = find_patches(bracket, 45.0, 0.04)
    first, second = sorted(p.id for p in patches)[:2]
    found = compare_scan(swollen(bracket, {first: SWELLING_MM, second: -0.1}), bracket, patches, frozenset({second}))
    by_id = {p.patch: p for p in found.patches}
    assert by_id[first].mean_mm == pytest.approx(SWELLING_MM, abs=0.015)
    assert by_id[first].lowest_edge_mm == pytest.approx(SWELLING_MM, abs=0.03)
    assert by_id[second].mean_mm == pytest.approx(-0.1, abs=0.015)
    assert by_id[first].measured > 0.9
    assert found.difference is not None
    assert found.difference.mean == pytest.approx(-0.3, abs=0.03)
    assert found.difference.low <= found.difference.mean <= found.difference.high < -0.2
    taken = np.zeros(bracket.n_faces, dtype=bool)
    for patch in patches:
        taken[patch.faces] = True
    centres = bracket.corners_mm.mean(axis=1)
    far = ~taken & (np.abs(centres[:, 2] - 30) > 15)
    assert np.nanmedian(np.abs(found.face_mm[far])) < 0.002
    own = found.face_mm[next(p.faces for p in patches if p.id == first)]
    assert np.nanmedian(own) == pytest.approx(SWELLING_MM, abs=0.01)


def test_noise_without_swelling_reads_about_nothing(bracket: Part) -> None:
    patches = find_patches(bracket, 45.0, 0.04)
    found = compare_scan(scanned(bracket, 0.01), bracket, patches, frozenset())
    assert all(abs(p.mean_mm) < 0.01 for p in found.patches)
    assert found.elsewhere_rms_mm < 0.02
    assert found.difference is None and any("only one of the two" in text for text in found.warnings)


def test_a_hole_in_the_scan_is_no_deviation(bracket: Part) -> None:
    """Without the faces of a patch nothing is measured there, instead of the way to the hole's rim."""
    patches = find_patches(bracket, 45.0, 0.04)
    first = min(patches, key=lambda p: p.id)
    kept = np.ones(bracket.n_faces, dtype=bool)
    kept[first.faces] = False
    scan = replace(scanned(bracket, 0.0), triangles=bracket.triangles[kept])
    found = compare_scan(scan, bracket, patches, frozenset(), pairs=pairs_of(bracket))
    hole = next(p for p in found.patches if p.patch == first.id)
    assert hole.measured < 0.3
    assert any(f"half of patch {first.id}" in text for text in found.warnings)


@pytest.fixture(scope="module")
def job(bracket: Part, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("job") / "invented.underfin"
    first = min(find_patches(bracket, 45.0, 0.04), key=lambda p: p.id)
    save_job(replace(new_job(BRACKET), picks=(pick_of(first.faces),)), path)
    return path


@pytest.mark.parametrize("ending", ["stl", "ply"])
def test_the_files_agree_with_what_is_printed(run: Run, job: Path, bracket: Part, tmp_path: Path, ending: str) -> None:
    scan = swollen(bracket, {1: SWELLING_MM})
    trimesh.Trimesh(scan.vertices_mm, scan.triangles, process=False).export(tmp_path / f"invented-scan.{ending}")
    pairs = pairs_of(bracket)
    head = "scan_x_mm,scan_y_mm,scan_z_mm,part_x_mm,part_y_mm,part_z_mm\n"
    (tmp_path / "pairs.csv").write_text(head + "\n".join(",".join(map(str, row)) for row in pairs.tolist()) + "\n")
    arguments = ("scan", job, tmp_path / f"invented-scan.{ending}", "--pairs", tmp_path / "pairs.csv", "--out",
                 tmp_path / "out", "--json")  # fmt: skip
    code, out, err = run(*arguments)
    assert (code, err) == (0, "")
    values = json.loads(out)
    assert json.loads((tmp_path / "out" / "scan.json").read_text()) == values
    assert {p.name for p in (tmp_path / "out").iterdir()} == set(values["files"])
    assert [p["with_sink"] for p in values["patches"]].count(True) == 1
    for patch in values["patches"]:
        with open(tmp_path / "out" / f"scan-patch-{patch['patch']:02d}.csv", newline="") as file:
            offs = [float(row["deviation_mm"]) for row in csv.DictReader(file) if row["deviation_mm"]]
        assert patch["mean_mm"] == pytest.approx(np.mean(offs), abs=1e-4)
        assert patch["p95_mm"] == pytest.approx(np.quantile(offs, 0.95), abs=1e-4)
    with np.load(tmp_path / "out" / "scan-faces.npz", allow_pickle=False) as faces:
        assert faces["deviation_mm"].shape == (bracket.n_faces,)
    code, out, _ = run(*arguments[:-1])
    assert code == 0 and "lowest edge mm" in out and "95 %" in out


def test_the_written_motion_brings_the_scan_onto_the_part(run: Run, job: Path, bracket: Part, tmp_path: Path) -> None:
    scan = scanned(bracket, 0.005)
    trimesh.Trimesh(scan.vertices_mm, scan.triangles, process=False).export(tmp_path / "invented-scan.stl")
    _, out, _ = run("scan", job, tmp_path / "invented-scan.stl", "--out", tmp_path / "out", "--json")
    motion = np.array(json.loads(out)["alignment"]["motion"])
    back = scan.vertices_mm @ motion[:3, :3].T + motion[:3, 3]
    assert np.abs(back - bracket.vertices_mm).max() < 0.005 * 6


WRONG: list[tuple[list[str], str]] = [
    (["scan", "JOB"], "MESH"),
    (["scan", "JOB", "none.stl", "--out", "d"], "none.stl"),
    (["scan", "JOB", "text.stl", "--out", "d"], "text.stl"),
    (["scan", "JOB", "SCAN", "--out", "d", "--pairs", "two.csv"], "'two.csv': 2 point pairs"),
    (["scan", "JOB", "SCAN", "--out", "d", "--pairs", "word.csv"], "'word.csv' row 3 has 'word' as part_z_mm"),
    (["scan", "JOB", "SCAN", "--out", "d", "--units", "in"], "bracket"),
    (["scan", "JOB", "SCAN", "--out", "d", "--reach", "0"], "reach of 0 mm"),
    (["scan", "JOB", "SCAN", "--out", "d", "--with-sink", "77"], "no patch 77"),
    (["scan", "JOB", "SCAN", "--out", "text.stl"], "text.stl"),
]


@pytest.mark.parametrize(("arguments", "words"), WRONG)
def test_wrong_calls(run: Run, job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, arguments: list[str],
                     words: str) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)
    (tmp_path / "text.stl").write_text("no mesh")
    head = "scan_x_mm,scan_y_mm,scan_z_mm,part_x_mm,part_y_mm,part_z_mm\n"
    (tmp_path / "two.csv").write_text(head + "1,2,3,4,5,6\n2,3,4,5,6,9\n")
    (tmp_path / "word.csv").write_text(head + "1,2,3,4,5,6\n1,2,3,4,5,word\n")
    names = {"JOB": job, "SCAN": BRACKET}
    code, out, err = run(*[names.get(word, word) for word in arguments])
    assert (code, out) == (2, "")
    assert words in err and err.count("\n") == 1
    assert not (tmp_path / "d").exists()
