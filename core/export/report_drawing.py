"""Drawings of the report as areas, lines, words and photos in mm on paper; the writers turn them into SVG or PDF."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from core.units import FloatArray

INK, SOFT = "#23282d", "#56606a"
PART, SINK, PLATE, ZONE = "#cfc6b8", "#1b7f79", "#5b6b7a", "#7a4fb0"

FEW_NAMES = 8
"""More names than this don't fit into a picture in full."""

Point = tuple[float, float]


@dataclass(frozen=True, kw_only=True, eq=False)
class Area:
    """A filled area; rings (each (n, 2)) of holes run through it by the even-odd rule."""

    rings: tuple[FloatArray, ...]
    fill: str | None
    edge: str | None = None
    edge_mm: float = 0.15


@dataclass(frozen=True, kw_only=True, eq=False)
class Line:
    """A line through points (n, 2). dashed: 1.2 mm on, 0.8 mm off."""

    points: FloatArray
    colour: str = INK
    wide_mm: float = 0.2
    dashed: bool = False


@dataclass(frozen=True, kw_only=True)
class Label:
    """One line of words; at is its baseline. anchor: start, middle or end. halo: on a white rim."""

    at: Point
    text: str
    size_mm: float = 2.6
    anchor: str = "start"
    colour: str = INK
    bold: bool = False
    halo: bool = False


@dataclass(frozen=True, kw_only=True, eq=False)
class Photo:
    """A PNG that fills a box."""

    at: Point
    size: Point
    png: bytes


Mark = Area | Line | Label | Photo


@dataclass(frozen=True, kw_only=True, eq=False)
class Drawing:
    """width_mm and height_mm on paper; x to the right, y down; what reaches beyond is cut off.

    words: what it shows, for who can't see it.
    """

    width_mm: float
    height_mm: float
    marks: Sequence[Mark] = field(default_factory=tuple)
    words: str = ""


def line(*points: Point, colour: str = INK, wide_mm: float = 0.2, dashed: bool = False) -> Line:
    """A line through single points."""
    return Line(points=np.array(points, dtype=float), colour=colour, wide_mm=wide_mm, dashed=dashed)


def box(x: float, y: float, width: float, height: float, fill: str | None, edge: str | None = None) -> Area:
    """An upright rectangle."""
    corners = np.array([[x, y], [x + width, y], [x + width, y + height], [x, y + height]])
    return Area(rings=(corners,), fill=fill, edge=edge)


def arrow(points: FloatArray, colour: str = INK, wide_mm: float = 0.5, head_mm: float = 2.6) -> list[Mark]:
    """A line (n, 2) with a filled head at its end, on a white rim so that it shows on any ground."""
    points = np.asarray(points, dtype=float)
    along = points[-1] - points[-2]
    length = float(np.linalg.norm(along))
    if length < 1e-9:
        return []
    along /= length
    across = np.array([-along[1], along[0]])
    foot = points[-1] - head_mm * along
    head = np.array([points[-1], foot + 0.4 * head_mm * across, foot - 0.4 * head_mm * across])
    shaft = np.vstack([points[:-1], foot + 0.3 * along])
    return [
        Line(points=shaft, colour="#ffffff", wide_mm=wide_mm + 0.7),
        Area(rings=(head,), fill="#ffffff", edge="#ffffff", edge_mm=0.7),
        Line(points=shaft, colour=colour, wide_mm=wide_mm),
        Area(rings=(head,), fill=colour),
    ]


def scale_bar(at: Point, mm_per_mm: float, longest_mm: float) -> list[Mark]:
    """A bar of a round length. at: its left end; mm_per_mm: mm of the build in a mm on paper."""
    length = round_length(longest_mm * mm_per_mm)
    x, y = at
    end = x + length / mm_per_mm
    return [
        line((x, y), (end, y), wide_mm=0.35),
        line((x, y - 0.9), (x, y + 0.9), wide_mm=0.35),
        line((end, y - 0.9), (end, y + 0.9), wide_mm=0.35),
        Label(at=((x + end) / 2, y - 1.2), text=f"{length:g} mm", size_mm=2.3, anchor="middle", halo=True),
    ]


def round_length(longest: float) -> float:
    """The largest of 1, 2, 5 times a power of ten that is not above a length."""
    power = 10.0 ** np.floor(np.log10(max(longest, 1e-9)))
    return float(next(n * power for n in (5, 2, 1, 0.5) if n * power <= longest * (1 + 1e-9)))


def colour_bar(at: Point, width: float, rgb: FloatArray, marks: Sequence[tuple[float, str]], title: str) -> list[Mark]:
    """A level scale of colours. rgb: (n, 3) 0 to 255 from left to right; marks: share of the width and its words."""
    x, y = at
    steps = len(rgb)
    found: list[Mark] = [
        box(x + width * i / steps, y, width / steps + 0.02, 2.4, hex_colour(colour)) for i, colour in enumerate(rgb)
    ]
    found.append(box(x, y, width, 2.4, None, SOFT))
    found.append(Label(at=(x, y - 1.0), text=title, size_mm=2.3))
    for share, words in marks:
        at_x = x + share * width
        found.append(line((at_x, y + 2.4), (at_x, y + 3.1), colour=SOFT))
        found.append(Label(at=(at_x, y + 5.4), text=words, size_mm=2.3, anchor="middle"))
    return found


def hex_colour(rgb: FloatArray) -> str:
    """#rrggbb of three values, 0 to 255."""
    return "#" + "".join(f"{round(float(value)):02x}" for value in rgb)


def rgb_of(colour: str) -> FloatArray:
    """(3,) values, 0 to 255, of #rrggbb."""
    return np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)], dtype=float)


def picture_names(names: Sequence[str]) -> list[str]:
    """Names as they stand in pictures: where there are many, only what follows the last hyphen."""
    return list(names) if len(names) <= FEW_NAMES else [name.rpartition("-")[2] for name in names]


def text_width(text: str, size_mm: float) -> float:
    """About how wide a label is: on average 0.56 of its size a letter."""
    return 0.56 * size_mm * len(text)
