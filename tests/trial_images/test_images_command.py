"""images: what is written agrees with what is printed, and every wrong call ends with 2 and one clear line."""

import csv
import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import tifffile
from matplotlib.image import imread
from scipy import ndimage

from core.job import pick_of
from core.job_file import new_job, save_job
from core.part.downskin import find_patches
from core.part.part import Part
from core.run_images import place_of_images
from tests.trial_images.invented import BRACKET, Stack, camera, pairs_of, write_pairs

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture(scope="module")
def job(bracket: Part, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The bracket with its first patch picked, so that the others count as without a sink."""
    path = tmp_path_factory.mktemp("job") / "invented.underfin"
    first = min(find_patches(bracket, 45.0, 0.04), key=lambda p: p.id)
    save_job(replace(new_job(BRACKET), picks=(pick_of(first.faces),)), path)
    return path


@pytest.fixture(scope="module")
def inputs(stack: Stack, bracket: Part, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """A folder of invented TIFF images with one hot spot in layer 11, and the table of pairs."""
    folder = tmp_path_factory.mktemp("invented-images")
    values = np.clip(stack.images, 0, 255).astype(np.uint8)
    row, column = np.argwhere(ndimage.binary_erosion(stack.solid[10], iterations=8))[0]
    values[10, row - 2 : row + 3, column - 2 : column + 3] = 250
    for i, image in enumerate(values):
        tifffile.imwrite(folder / f"layer-{i + 1}.tif", image, photometric="minisblack")
    pairs = write_pairs(tmp_path_factory.mktemp("pairs") / "points.csv", pairs_of(stack.seen_by, bracket))
    return folder, pairs


def test_the_files_agree_with_what_is_printed(run: Run, job: Path, inputs: tuple[Path, Path], tmp_path: Path) -> None:
    folder, points = inputs
    arguments = ("images", job, folder, "--points", points, "--layer", 1, "--out", tmp_path / "out", "--json")
    code, out, err = run(*arguments)
    assert (code, err) == (0, "")
    values = json.loads(out)
    assert json.loads((tmp_path / "out" / "images.json").read_text()) == values
    assert {p.name for p in (tmp_path / "out").iterdir()} == set(values["files"])
    with open(tmp_path / "out" / "hot-spots.csv", newline="") as file:
        spots = list(csv.DictReader(file))
    assert len(spots) == values["hot_spots"] == sum(values["hot_spots_by_patch"].values()) >= 1
    assert spots[0]["layer"] == "11" == str(values["hottest"][0]["layer"])
    assert values["images"] == 70 and values["place"]["mirrored"] and values["place"]["rms_px"] < 1e-5
    assert [p["with_sink"] for p in values["patches"]].count(True) == 1
    low, high = values["difference"]["low"], values["difference"]["high"]
    assert low <= values["difference"]["mean"] <= high
    for name in values["files"]:
        if name.endswith(".png"):
            assert imread(tmp_path / "out" / name).ndim == 3
    with np.load(tmp_path / "out" / "image-faces.npz", allow_pickle=False) as faces:
        assert np.isfinite(faces["score"]).mean() > 0.3
    again = run(*arguments)
    assert json.loads(again[1]) == values  # seeded
    code, out, _ = run(*arguments[:-1])
    assert code == 0 and "Hot spots" in out and "mirrored" in out


def test_two_marks_of_a_coupon_place_the_images(bracket: Part, tmp_path: Path) -> None:
    seen_by = camera(12.0, 0.2, mirrored=False, middle_mm=np.zeros(2))
    marks = np.array([[-40.0, -30.0], [45.0, 38.0]])
    rows = np.hstack([seen_by.pixels(marks), marks]).tolist()
    table = "mark,column_px,row_px,x_mm,y_mm\n" + "\n".join(
        f"{letter}," + ",".join(map(str, row)) for letter, row in zip("AB", rows, strict=True)
    )
    (tmp_path / "marks.csv").write_text(table)
    place = place_of_images(tmp_path / "marks.csv")
    assert place.kind == "similarity" and place.mm_per_px == pytest.approx((0.2, 0.2))
    assert np.abs(place.to_px / place.to_px[2, 2] - seen_by.to_px).max() < 1e-6


def test_predicted_temperatures_are_correlated_and_must_be_the_parts_own(
    run: Run, job: Path, inputs: tuple[Path, Path], bracket: Part, tmp_path: Path
) -> None:
    """Invented temperatures in the form in which 'heat' writes them."""
    heat = tmp_path / "heat"
    heat.mkdir()
    head = "z_mm,with_mean_c,with_max_c,without_mean_c,without_max_c"
    (heat / "heat-layers.csv").write_text("\n".join([head, *(f"{z + 0.5},{80 + z},,," for z in range(70))]))
    np.savez(heat / "heat-faces.npz", with_sinks_c=np.zeros(bracket.n_faces))
    folder, points = inputs
    arguments = ("images", job, folder, "--points", points, "--layer", 1, "--heat", heat, "--out", tmp_path / "out")
    code, out, err = run(*arguments, "--json")
    assert (code, err) == (0, "")
    values = json.loads(out)["heat"]
    assert values["layers"]["n"] == 70 and abs(values["layers"]["spearman"]) < 0.5  # grey values don't rise
    assert values["faces"] is None
    np.savez(heat / "heat-faces.npz", with_sinks_c=np.zeros(5))
    code, out, err = run(*arguments)
    assert code == 2 and "5 faces" in err


WRONG: list[tuple[list[str], str]] = [
    (["images", "JOB"], "FOLDER"),
    (["images", "JOB", "FOLDER", "--out", "d"], "--points"),
    (["images", "JOB", "FOLDER", "--points", "none.csv", "--out", "d"], "none.csv"),
    (["images", "JOB", "FOLDER", "--points", "few.csv", "--out", "d"], "'few.csv': 3 point pairs"),
    (["images", "JOB", "FOLDER", "--points", "word.csv", "--out", "d"], "row 3 has 'word'"),
    (["images", "JOB", "none", "--points", "POINTS", "--out", "d"], "none"),
    (["images", "JOB", "empty", "--points", "POINTS", "--out", "d"], "no layer images"),
    (["images", "JOB", "few.csv", "--points", "POINTS", "--out", "d"], "no file of layer images"),
    (["images", "JOB", "bad", "--points", "POINTS", "--out", "d"], "'layer-1.png' can't be read"),
    (["images", "JOB", "FOLDER", "--points", "POINTS", "--out", "FOLDER"], "another folder"),
    (["images", "JOB", "FOLDER", "--points", "POINTS", "--out", "d", "--layer", "0"], "layer of 0 mm"),
    (["images", "JOB", "FOLDER", "--points", "POINTS", "--out", "d", "--h5", "a"], "--h5"),
    (["images", "JOB", "FOLDER", "--points", "POINTS", "--out", "d", "--first-layer", "500"], "--first-layer"),
    (["images", "JOB", "FOLDER", "--points", "POINTS", "--out", "d", "--with-sink", "99"], "no patch 99"),
    (["images", "JOB", "FOLDER", "--points", "POINTS", "--out", "d", "--heat", "empty"], "heat-layers.csv"),
    (["images", "JOB", "FOLDER", "--points", "POINTS", "--out", "d", "--z-limit", "1"], "set 2 to 50"),
]


@pytest.mark.parametrize(("arguments", "words"), WRONG)
def test_wrong_calls(run: Run, job: Path, inputs: tuple[Path, Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
                     arguments: list[str], words: str) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)
    (tmp_path / "empty").mkdir()
    (tmp_path / "bad").mkdir()
    (tmp_path / "bad" / "layer-1.png").write_bytes(b"not a picture")
    head = "column_px,row_px,x_mm,y_mm\n"
    (tmp_path / "few.csv").write_text(head + "1,2,3,4\n5,6,7,9\n9,1,2,3\n")
    (tmp_path / "word.csv").write_text(head + "1,2,3,4\n5,word,7,9\n")
    names = {"JOB": job, "FOLDER": inputs[0], "POINTS": inputs[1]}
    code, out, err = run(*[names.get(word, word) for word in arguments])
    assert (code, out) == (2, "")
    assert words in err and err.count("\n") == 1
    assert not (tmp_path / "d").exists()
