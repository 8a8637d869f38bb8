"""The command orient: what it prints can be given back to it, and bad words get one sentence."""

import csv
import json
from pathlib import Path

import pytest
from PIL import Image

from app.cli import main
from core.export.write_stl import write_stl
from tests.orient.solids import gallows


@pytest.fixture(scope="module")
def part(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = gallows()
    return write_stl(tmp_path_factory.mktemp("orient") / "gallows.stl", made.vertices_mm, made.triangles)


def test_an_orientation_taken_with_rotate_has_the_scores_it_was_shown_with(
    part: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["orient", str(part), "--directions", "100", "--json", "--out", str(tmp_path / "out")]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["now"]["low_angle_mm2"] == pytest.approx(300.0)
    for row in found["front"][:3]:
        assert main(["faces", str(part), f"--rotate={row['rotate']}", "--json"]) == 0
        faces = json.loads(capsys.readouterr().out)
        assert sum(patch["area_mm2"] for patch in faces["patches"]) == pytest.approx(row["low_angle_mm2"], abs=1e-3)
        assert len(faces["patches"]) == row["patches"]
        assert faces["part"]["size_mm"][2] == pytest.approx(row["build_height_mm"], abs=1e-3)
    assert sorted(found["files"]) == sorted(path.name for path in (tmp_path / "out").iterdir())
    rows = list(csv.DictReader((tmp_path / "out" / "orientations.csv").open()))
    assert [row["rotate"] for row in rows[1:]] == [row["rotate"] for row in found["front"]]
    with Image.open(tmp_path / "out" / "orientation-01.png") as picture:
        assert picture.size == (240, 200) and len(picture.getcolors(100_000)) > 20


def test_faces_that_must_not_look_down_are_given_by_number(part: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["orient", str(part), "--directions", "100", "--never", "0-1, 5"]) == 0
    assert "turn one of 3 faces down" in capsys.readouterr().out


@pytest.mark.parametrize("words, said", [
    (["--never", "3-1"], "'3-1' is not a face number"),
    (["--never", "a"], "'a' is not a face number"),
    (["--never", "0-9999"], "the part has only"),
    (["--directions", "7"], "out of range"),
    (["--standing", "x"], "not a number"),
])  # fmt: skip
def test_bad_words_get_one_sentence(
    words: list[str], said: str, part: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["orient", str(part), *words]) == 2
    err = capsys.readouterr().err
    assert said in err and err.count("\n") == 1 and len(err) <= 401
