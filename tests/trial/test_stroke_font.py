"""Raised letters: buildable strokes, letters that differ, and solids without a seam."""

import itertools

import manifold3d as m3d
import pytest
import trimesh

from core.refusal import Refusal
from core.sink.solid import to_arrays
from core.trial.stroke_font import GLYPHS, raised_words, words_outline, words_width_mm

HEIGHT_MM = 2.4


@pytest.mark.parametrize(("letters", "holes"), [("12345 7CEF-.", 0), ("069R", 1), ("8", 2)])
def test_letters_have_the_holes_every_reader_knows(letters: str, holes: int) -> None:
    for letter in letters.replace(" ", ""):
        outline = words_outline(letter, HEIGHT_MM)
        assert len(outline.decompose()) == 1
        assert outline.num_contour() - 1 == holes, letter


def test_no_two_letters_can_be_taken_for_each_other() -> None:
    """At least the free part of a bar differs, as between 0 and 8: 0.4 mm by 1.4 - 2 * 0.4 mm."""
    for a, b in itertools.combinations([letter for letter in GLYPHS if letter != " "], 2):
        one, other = words_outline(a, HEIGHT_MM), words_outline(b, HEIGHT_MM)
        assert (one - other).area() + (other - one).area() >= 0.24 - 1e-6, (a, b)


def test_strokes_are_as_wide_as_a_wall_may_be_and_letters_stand_apart() -> None:
    """0.4 mm is the least wall of design guides for laser powder bed fusion (service bureaus, see VDI 3405-3)."""
    words = words_outline("C08", HEIGHT_MM)
    assert len(words.offset(-0.19, m3d.JoinType.Miter).decompose()) == 3  # not one stroke falls apart
    assert len(words.offset(0.29, m3d.JoinType.Miter).decompose()) == 3  # 0.58 mm of powder between letters
    low_x, low_y, high_x, high_y = words.bounds()
    assert (low_x, low_y) == pytest.approx((0.0, 0.0), abs=1e-9)
    assert high_y == pytest.approx(HEIGHT_MM)
    assert high_x == pytest.approx(words_width_mm("C08", HEIGHT_MM))


def test_a_label_is_a_closed_solid_of_its_area_times_its_height() -> None:
    solid = raised_words(("C12", "0.25", "30"), HEIGHT_MM, 3.0, 0.6)
    mesh = trimesh.Trimesh(*to_arrays(solid), process=False)
    area = sum(words_outline(line, HEIGHT_MM).area() for line in ("C12", "0.25", "30"))
    assert mesh.is_watertight and mesh.volume == pytest.approx(0.6 * area)


def test_a_letter_without_a_glyph_is_refused() -> None:
    with pytest.raises(Refusal, match="no raised letter 'Q'"):
        words_outline("Q1", HEIGHT_MM)
