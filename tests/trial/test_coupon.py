"""The coupon as written: gaps measured by another library, faces by hand, places by lot, and plain refusals."""

import csv
import json
import math
import zipfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import manifold3d
import numpy as np
import pytest
import trimesh

from core.part.place_on_plate import Plate
from core.refusal import Refusal
from core.trial.coupon import coupon_places, drawn_places
from core.trial.coupon_choice import CouponChoice

Run = Callable[..., tuple[int, str, str]]
CORE = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"
ARGUMENTS = ("coupon", "--alloy", "CoCrMo", "--gaps", "0.15,0.3", "--angles", "20,45", "--layer", "0.05")


@pytest.fixture
def written(run: Run, tmp_path: Path) -> Path:
    code, _, err = run(*ARGUMENTS, "--out", tmp_path / "out")
    assert (code, err) == (0, "")
    return tmp_path / "out"


def bodies_of(package: Path) -> dict[str, tuple[str, trimesh.Trimesh]]:
    """Name to (object type, mesh) of a 3MF file, read as plain XML."""
    with zipfile.ZipFile(package) as file:
        root = ElementTree.fromstring(file.read("3D/3dmodel.model"))  # noqa: S314  written by this test's own run
    found = {}
    for item in root.iter(f"{CORE}object"):
        points = [[float(v.get(axis, "")) for axis in "xyz"] for v in item.iter(f"{CORE}vertex")]
        corners = [[int(t.get(key, "")) for key in ("v1", "v2", "v3")] for t in item.iter(f"{CORE}triangle")]
        found[item.get("name", "")] = (item.get("type", ""), trimesh.Trimesh(points, corners, process=False))
    return found


def solid(mesh: trimesh.Trimesh) -> manifold3d.Manifold:
    whole = manifold3d.Manifold(
        manifold3d.Mesh(np.asarray(mesh.vertices, dtype=np.float32), np.asarray(mesh.faces, dtype=np.uint32))
    )
    assert whole.status() == manifold3d.Error.NoError
    return whole


def test_every_sink_as_written_keeps_its_gap_to_every_part(written: Path) -> None:
    """manifold3d.min_gap measures the written bodies; nearest is the cell's own part, by its gap and not much more."""
    bodies = bodies_of(written / "build.3mf")
    parts = {name: solid(mesh) for name, (kind, mesh) in bodies.items() if kind == "model"}
    rows = list(csv.DictReader((written / "trials.csv").open(encoding="utf-8", newline="")))
    with_sink = [row for row in rows if row["gap_mm"]]
    assert len(rows) == 6 and len(with_sink) == 4
    for row in with_sink:
        kind, mesh = bodies[f"{row['cell']}-sink"]
        assert kind == "solidsupport" and mesh.is_watertight
        gaps = {name: part.min_gap(solid(mesh), 20.0) for name, part in parts.items()}
        own = gaps.pop(row["cell"])
        assert float(row["gap_mm"]) <= own + 1e-6 <= 1.03 * float(row["gap_mm"])
        assert own == pytest.approx(float(row["clearance_mm"]), abs=1e-5)
        assert min(gaps.values()) > 3.0  # no other part and no mark is near


def test_every_cell_has_one_face_of_its_angle_and_its_numbers_on_top(written: Path) -> None:
    """The underside is a rectangle: 12 mm of ledge in plan by 10 mm, over the cosine of the angle."""
    bodies = bodies_of(written / "build.3mf")
    for row in csv.DictReader((written / "trials.csv").open(encoding="utf-8", newline="")):
        angle = float(row["angle_deg"])
        mesh = bodies[row["cell"]][1]
        body = solid(mesh)
        assert mesh.is_watertight and len(body.decompose()) == 1
        down = (mesh.face_normals[:, 2] < -0.01) & (mesh.triangles[:, :, 2].max(axis=1) > 0.01)
        assert np.degrees(np.arccos(-mesh.face_normals[down, 2])) == pytest.approx(angle, abs=1e-3)
        assert mesh.area_faces[down].sum() == pytest.approx(120.0 / math.cos(math.radians(angle)), rel=1e-5)
        letters = body.slice(mesh.bounds[1, 2] - 0.2).decompose()
        words = row["cell"] + (row["gap_mm"] or "REF") + f"{angle:g}"
        assert len(letters) == len(words)
        middle = (mesh.bounds[0] + mesh.bounds[1]) / 2
        assert middle[:2] == pytest.approx((float(row["x_mm"]), float(row["y_mm"])), abs=1e-4)


def test_both_stl_files_hold_the_same_bodies_as_the_package(written: Path) -> None:
    bodies = bodies_of(written / "build.3mf")
    for file, kind in (("coupon-parts.stl", "model"), ("coupon-sinks.stl", "solidsupport")):
        volume = sum(mesh.volume for own, mesh in bodies.values() if own == kind)
        assert trimesh.load(written / file).volume == pytest.approx(volume, rel=1e-6)
    marks = [bodies[name][1] for name in ("mark-A", "mark-B")]
    # two bars of 9 × 1 × 2 mm cross in 1 × 1 × 2; the second mark has 2 × 2 × 1 × 1 mm more
    assert [mark.volume for mark in marks] == pytest.approx([34.0, 38.0], rel=1e-6)
    values = json.loads((written / "coupon.json").read_text())
    for mark, at in zip(marks, values["marks"], strict=True):
        assert mark.bounds.mean(axis=0)[:2] == pytest.approx((at["x_mm"], at["y_mm"]), abs=1e-5)


def test_the_page_names_every_cell_and_what_to_record(written: Path) -> None:
    page = (written / "sheet.html").read_text()
    for word in ("C01", "C06", "stuck", "swelling_mm", "ra_um", "seed 1", "mark-B"):
        assert word in page
    assert (written / "sheet.pdf").read_bytes().startswith(b"%PDF")


def test_the_same_seed_gives_the_same_bytes(run: Run, written: Path, tmp_path: Path) -> None:
    run(*ARGUMENTS, "--out", tmp_path / "again")
    for file in written.iterdir():
        assert (tmp_path / "again" / file.name).read_bytes() == file.read_bytes(), file.name


def test_lots_give_no_gap_a_better_place() -> None:
    """Over 400 seeds the correlation of gap with x and y scatters about 0 as chance says: sd 1/sqrt((n-1) 400)."""
    choice = CouponChoice()
    rs = []
    for seed in range(400):
        lots, _ = drawn_places(replace(choice, seed=seed))
        with_gap = np.array([(x, y, kind[0]) for (x, y), kind in lots if kind[0] is not None])
        rs.append(np.corrcoef(with_gap.T)[2, :2])
    assert np.abs(np.mean(rs, axis=0)).max() < 3.5 / math.sqrt(26 * 400)
    assert np.std(rs) == pytest.approx(1 / math.sqrt(26), rel=0.15)


def test_a_coupon_that_is_too_large_says_how_many_cells_fit_and_those_do() -> None:
    choice = CouponChoice(gaps_mm=(0.3,), angles_deg=(30.0,), plate=Plate(size_mm=(100.0, 60.0)), replicates=9)
    # 96 + 4 mm hold 5 cells of 16 + 4 mm, 56 + 4 mm hold 4 of 10 + 4 mm: 20 places less two marks
    with pytest.raises(Refusal, match=r"18 cells don't fit on a plate of 99 × 60 mm, 14 would"):
        coupon_places(replace(choice, plate=Plate(size_mm=(99.0, 60.0))))
    places, marks = coupon_places(choice)
    assert len(places) == 18 and len(marks) == 2
    for x, y in places:
        assert abs(x + 8.0) <= 40.0 and abs(y + 5.0) <= 23.0


@pytest.mark.parametrize(
    ("extra", "words"),
    [
        (("--alloy", "Unobtainium"), "no alloy 'Unobtainium'"),
        (("--angles", "5,30"), "face of 5° is out of range"),
        (("--gaps", "0.01:0.1:0.01"), "0.01 mm can't be"),
        (("--gaps", "0.03,0.1"), "set one from a layer of 0.04 mm"),
        (("--replicates", "0"), "0 replicates are out of range"),
        (("--replicates", "40"), "would have 1200 cells, at most 400"),
        (("--plate", "30,30,50"), "don't fit on a plate of 30 × 30 mm, 0 would"),
        (("--plate", "250,250,10"), "more than the build height of 10 mm"),
        (("--gaps", "0.2,x"), "'x' is not a number"),
    ],
)
def test_bad_wishes_get_one_sentence_and_nothing_written(
    run: Run, tmp_path: Path, extra: tuple[str, ...], words: str
) -> None:
    code, out, err = run("coupon", "--alloy", "316L", "--out", tmp_path / "out", *extra)
    assert (code, out) == (2, "") and words in err and err.count("\n") == 1
    assert not (tmp_path / "out").exists()


def test_a_sheet_that_may_be_filled_in_is_never_replaced(run: Run, written: Path) -> None:
    (written / "trials.csv").write_text("what was recorded\n")
    code, _, err = run(*ARGUMENTS, "--out", written)
    assert code == 2 and "is a trial sheet already" in err
    assert (written / "trials.csv").read_text() == "what was recorded\n"
