"""Words as raised strokes that a laser can build: our own plain letters of straight bars."""

import itertools

import manifold3d as m3d

from core.refusal import Refusal

Stroke = tuple[tuple[float, float], ...]
_BOX: Stroke = ((0, 0), (2, 0), (2, 4), (0, 4), (0, 0))
GLYPHS: dict[str, tuple[Stroke, ...]] = {
    "0": (_BOX,),
    "1": (((0, 3), (1, 4), (1, 0)), ((0, 0), (2, 0))),
    "2": (((0, 4), (2, 4), (2, 2), (0, 2), (0, 0), (2, 0)),),
    "3": (((0, 4), (2, 4), (2, 0), (0, 0)), ((0.5, 2), (2, 2))),
    "4": (((0, 4), (0, 2), (2, 2)), ((2, 4), (2, 0))),
    "5": (((2, 4), (0, 4), (0, 2), (2, 2), (2, 0), (0, 0)),),
    "6": (((2, 4), (0, 4), (0, 0), (2, 0), (2, 2), (0, 2)),),
    "7": (((0, 4), (2, 4), (1, 2), (1, 0)),),
    "8": (_BOX, ((0, 2), (2, 2))),
    "9": (((2, 2), (0, 2), (0, 4), (2, 4), (2, 0), (0, 0)),),
    "C": (((2, 4), (0, 4), (0, 0), (2, 0)),),
    "E": (((2, 4), (0, 4), (0, 0), (2, 0)), ((0, 2), (1.5, 2))),
    "F": (((2, 4), (0, 4), (0, 0)), ((0, 2), (1.5, 2))),
    "R": (((0, 0), (0, 4), (2, 4), (2, 2), (0, 2)), ((1, 2), (2, 0))),
    "-": (((0.4, 2), (1.6, 2)),),
    ".": (((1, 0), (1, 0)),),
    " ": (),
}
"""Strokes on a grid 2 wide and 4 high."""
STROKE_SHARE = 1 / 6
"""Width of a stroke as a share of the height of the letters."""
ADVANCE_SHARE = 5 / 6
"""From letter to letter, as a share of the height: a quarter of it stays free between two."""


def words_width_mm(words: str, height_mm: float) -> float:
    """From the left edge of the first letter to the right edge of the last."""
    letter = 2 * _unit_mm(height_mm) + STROKE_SHARE * height_mm
    return max(len(words) - 1, 0) * ADVANCE_SHARE * height_mm + (letter if words else 0.0)


def words_outline(words: str, height_mm: float) -> m3d.CrossSection:
    """One line of words in plan; the lower left corner of the first letter is at (0, 0).

    Raises Refusal for a letter there is no glyph for.
    """
    half, unit = STROKE_SHARE * height_mm / 2, _unit_mm(height_mm)
    bars = []
    for place, letter in enumerate(words):
        if letter not in GLYPHS:
            raise Refusal(f"There is no raised letter '{letter}'; use {''.join(GLYPHS).strip()}.")
        left = half + place * ADVANCE_SHARE * height_mm
        for stroke in GLYPHS[letter]:
            ends = [(left + unit * x, half + unit * y) for x, y in stroke]
            bars += [_bar(a, b, half) for a, b in itertools.pairwise(ends)]
    return m3d.CrossSection.batch_boolean(bars, m3d.OpType.Add) if bars else m3d.CrossSection()


def raised_words(lines: tuple[str, ...], height_mm: float, line_mm: float, thick_mm: float) -> m3d.Manifold:
    """Lines of words as one solid of a thickness on z = 0; the last line's foot is at y = 0, lines line_mm apart."""
    rows = [
        words_outline(words, height_mm).translate((0.0, line_mm * (len(lines) - 1 - row)))
        for row, words in enumerate(lines)
    ]
    return m3d.CrossSection.batch_boolean(rows, m3d.OpType.Add).extrude(thick_mm)


def _unit_mm(height_mm: float) -> float:
    return (1 - STROKE_SHARE) * height_mm / 4


def _bar(a: tuple[float, float], b: tuple[float, float], half: float) -> m3d.CrossSection:
    """The hull of a square about each end: bars overlap where they meet, so that no two only touch in a point."""
    corners = [(x + sx * half, y + sy * half) for x, y in (a, b) for sx in (-1, 1) for sy in (-1, 1)]
    return m3d.CrossSection.hull_points(corners)
