"""Registration: a known camera is found again, errors are those of the pairs, and what can't be placed is refused."""

from pathlib import Path

import numpy as np
import pytest

from core.refusal import Refusal
from core.trial.register_images import COLUMNS, mapped, register
from core.trial.register_points import read_points
from tests.trial_images.invented import camera

MIDDLE = np.array([12.0, -40.0])
X = [-40.0, 38, 41, -44, 3, -20, 25, 10, -8]
Y = [-35.0, -42, 30, 37, 2, 15, -8, 33, -30]
PLATE = MIDDLE + np.column_stack([X, Y])


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("turn_deg", [0.0, 31.0, 90.0, 180.0, -123.4])
@pytest.mark.parametrize("slant", [(0.0, 0.0), (2e-4, -3e-4)], ids=["straight", "slanted"])
@pytest.mark.parametrize("n", [4, 9])
def test_a_known_camera_is_found(mirrored: bool, turn_deg: float, slant: tuple[float, float], n: int) -> None:
    seen_by = camera(turn_deg, 0.08, mirrored=mirrored, middle_mm=MIDDLE, shape=(1200, 1400), slant=slant)
    kind = "homography" if any(slant) and n == 4 else "auto"
    place = register(seen_by.pixels(PLATE[:n]), PLATE[:n], kind)
    corners = np.array([[0, 0], [1399, 0], [1399, 1199], [0, 1199], [700, 600.0]])
    true_mm = mapped(np.linalg.inv(seen_by.to_px), corners)
    assert np.abs(seen_by.pixels(mapped(place.to_mm, corners)) - corners).max() < 1e-3  # asked: 0.1 px
    assert np.abs(mapped(place.to_mm, corners) - true_mm).max() < 1e-4
    assert place.rms_px < 1e-6 and place.rms_mm < 1e-7
    assert place.kind == ("homography" if any(slant) else "affine")
    assert place.mirrored is mirrored
    if not any(slant):
        assert place.mm_per_px == pytest.approx((0.08, 0.08), rel=1e-9)
        # the camera sees the plate turned by an angle, so its columns run at the opposite one
        assert (place.turned_deg + turn_deg + 180) % 360 - 180 == pytest.approx(0, abs=1e-6)


def test_two_marks_give_shift_turn_and_scale() -> None:
    seen_by = camera(12.0, 0.1, mirrored=False, middle_mm=MIDDLE)
    place = register(seen_by.pixels(PLATE[:2]), PLATE[:2], marks=True)
    assert np.abs(mapped(place.to_mm, seen_by.pixels(PLATE)) - PLATE).max() < 1e-9
    assert "mirrored view" in place.warnings[0]
    with pytest.raises(Refusal, match="at least 4"):
        register(seen_by.pixels(PLATE[:2]), PLATE[:2])


def test_the_error_is_what_least_squares_leaves_of_the_noise() -> None:
    """n points with noise s a coordinate leave s² (n - 3) a coordinate (linear regression with three unknowns)."""
    n, s = 400, 0.5
    random = np.random.default_rng(5)
    plate = random.uniform(-50, 50, (n, 2))
    seen_by = camera(20.0, 0.1, mirrored=False, middle_mm=np.zeros(2))
    place = register(seen_by.pixels(plate) + random.normal(0, s, (n, 2)), plate, "affine")
    expected = s * np.sqrt(2 * (n - 3) / n)
    assert place.rms_px == pytest.approx(expected, rel=4 / np.sqrt(4 * n))  # four standard errors
    assert place.rms_mm == pytest.approx(0.1 * place.rms_px, rel=0.02)


def test_a_mistyped_pair_is_named() -> None:
    seen_by = camera(20.0, 0.1, mirrored=False, middle_mm=MIDDLE)
    plate = PLATE.copy()
    plate[6, 0] += 9.0
    assert "pair 7 misses most" in register(seen_by.pixels(PLATE), plate, "affine").warnings[0]


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ([0, 1, 2], "at least 4"),
        ([0, 1, 2, 2], "pairs 3 and 4"),
    ],
)
def test_too_few_or_doubled_pairs(rows: list[int], words: str) -> None:
    with pytest.raises(Refusal, match=words):
        register(PLATE[rows] * 7, PLATE[rows])


def test_pairs_on_a_line_or_swapped() -> None:
    line = np.column_stack([np.arange(5.0), 2 * np.arange(5.0)])
    with pytest.raises(Refusal, match="one line"):
        register(line, line * 3)
    square = np.array([[0, 0], [1, 0], [1, 1], [0, 1.0]])
    with pytest.raises(Refusal, match="inside out"):
        register(square * 100, square[[0, 2, 1, 3]] * 40, "homography")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("column_px,row_px,x_mm\n1,2,3\n", "row 1 must name"),
        ("column_px,row_px,x_mm,y_mm\n1,2,3,4\n1,2,three,4\n", "row 3 has 'three' as x_mm"),
        ("column_px,row_px,x_mm,y_mm\n1,2,3\n", "row 2 has '' as y_mm"),
        ("column_px,row_px,x_mm,y_mm\n1,2,nan,4\n", "row 2 has 'nan'"),
        ("column_px,row_px,x_mm,y_mm\n1,2,1e9,4\n", "row 2 has '1e9'"),
        ("", "row 1 must name"),
    ],
)
def test_bad_tables_name_file_and_row(tmp_path: Path, text: str, words: str) -> None:
    (tmp_path / "points.csv").write_text(text)
    with pytest.raises(Refusal, match=r"'points\.csv'") as caught:
        read_points(tmp_path / "points.csv", COLUMNS)
    assert words in str(caught.value)


def test_semicolons_and_further_columns_are_read(tmp_path: Path) -> None:
    text = "\ufeffmark;x_mm;y_mm;column_px;row_px\r\nA;1;2;30;40\r\n\r\nB;5;6;70;80\r\n"
    (tmp_path / "p.csv").write_bytes(text.encode())
    points, marks = read_points(tmp_path / "p.csv", COLUMNS)
    assert points.tolist() == [[30, 40, 1, 2], [70, 80, 5, 6]] and marks
