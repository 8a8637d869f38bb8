"""What a report is made of: headings, words, tables and figures. Both writers print exactly these."""

from collections.abc import Sequence
from dataclasses import dataclass

from core.export.report_drawing import Drawing


@dataclass(frozen=True, kw_only=True)
class Cell:
    """Text of a table's cell, a smaller line below it, and the tone of a level: 'stop', 'note' or 'ok'."""

    text: str
    below: str = ""
    tone: str = ""


@dataclass(frozen=True, kw_only=True)
class Heading:
    """new_page: begins a page of its own in print."""

    text: str
    new_page: bool = False


@dataclass(frozen=True, kw_only=True)
class Words:
    """A paragraph."""

    text: str
    small: bool = False


@dataclass(frozen=True, kw_only=True)
class Verdict:
    """The one sentence on whether to build, or on what came out; strong is its beginning. good: None says neither."""

    good: bool | None
    strong: str
    text: str


@dataclass(frozen=True, kw_only=True)
class Bullets:
    sentences: tuple[str, ...]
    warning: bool = False
    """Set in a frame, as safety words are."""


@dataclass(frozen=True, kw_only=True)
class Pairs:
    """A table of two columns: what, and its value."""

    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True, kw_only=True)
class Table:
    """heads: with units. widths: shares of the page's width, one per column. numbers: columns set to the right.

    tall: rows high enough to be written in by hand. Heads are repeated on every page the table runs over.
    """

    heads: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    widths: tuple[float, ...]
    numbers: frozenset[int] = frozenset()
    tall: bool = False


@dataclass(frozen=True, kw_only=True, eq=False)
class Figures:
    """Drawings side by side, as many as fit in a row, each above its caption."""

    drawings: Sequence[tuple[Drawing, str]]


Block = Heading | Words | Verdict | Bullets | Pairs | Table | Figures


@dataclass(frozen=True, kw_only=True, eq=False)
class Report:
    """title and subtitle stand on the first page, foot on every one."""

    title: str
    subtitle: str
    foot: str
    blocks: tuple[Block, ...]


PAGE_MM = (210.0, 297.0)
MARGIN_MM = (16.0, 14.0)
"""Left and right, top and bottom; the foot stands in the lower one."""
TEXT_MM = PAGE_MM[0] - 2 * MARGIN_MM[0]
GUTTER_MM = 4.0
HALF_MM = (TEXT_MM - GUTTER_MM) / 2


def cells(*texts: str | Cell) -> tuple[Cell, ...]:
    """A table's row of plain texts and cells."""
    return tuple(text if isinstance(text, Cell) else Cell(text=text) for text in texts)
