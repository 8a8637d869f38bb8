"""Plain sentences on answers in 3-D: which depth they have, and what the size of the cells leaves open."""

import math
from collections.abc import Sequence
from typing import Protocol

from core.heat.estimate import Band
from core.heat.heat_result import CellError
from core.sink.sink_choice import SinkChoice

LIVE, QUICK, FULL = "1-D estimate", "quick look", "full build"
DEPTHS = {
    LIVE: "1-D estimate: all heat goes straight down or off the top, as if layers at that height never ended.",
    QUICK: "Quick look: heat spreads in 3-D through part, sinks and powder, as if layers at that height never ended.",
    FULL: "Full build: every layer of cells is followed in time, with all that was built before it.",
}
MOST_SHARE = 0.1
"""Of a patch's rise, that the size of the cells may leave open before a sentence says so."""


class Answer(Protocol):
    """One patch, whatever the depth of the answer."""

    @property
    def patch(self) -> int: ...
    @property
    def without_c(self) -> Band: ...
    @property
    def cells(self) -> CellError: ...


def cell_notes(
    answers: Sequence[Answer], cell_mm: float, sinks: Sequence[SinkChoice], preheat_c: float
) -> tuple[str, ...]:
    """What is to be said of the cells: the patch they are most too coarse for, and sinks whose walls are thinner.

    sinks: what each of them was built with.
    """
    notes = []
    worst = max(answers, key=lambda a: _share(a, preheat_c), default=None)
    if worst is not None and _share(worst, preheat_c) > MOST_SHARE:
        moved_k = max(worst.cells.with_k, worst.cells.without_k)
        much = MOST_SHARE / _share(worst, preheat_c)
        finer_mm = _two_digits(cell_mm * max(much, 0.5))
        gain = "would about halve that" if much < 0.5 else "would bring that below a tenth of its rise"
        notes.append(f"Cells of {cell_mm:g} mm are coarse for patch {worst.patch}: on larger ones it reads about "
                     f"{moved_k:.0f} K differently. Cells of {finer_mm:g} mm {gain}.")  # fmt: skip
    wall_mm = min((_thinnest_mm(sink) for sink in sinks), default=math.inf)
    if cell_mm > wall_mm:
        notes.append(f"Cells of {cell_mm:g} mm are larger than the sinks' thinnest walls of {wall_mm:g} mm, so what "
                     f"they gain may be off by more than that; use cells of at most {wall_mm:g} mm.")  # fmt: skip
    return tuple(notes)


def _thinnest_mm(sink: SinkChoice) -> float:
    if sink.kind == "block":
        return math.inf
    return sink.edge_width_mm if sink.kind == "edge" else min(sink.fin_thickness_mm, sink.skin_mm)


def _share(answer: Answer, preheat_c: float) -> float:
    """How much of the rise without sinks the cells leave open."""
    return max(answer.cells.with_k, answer.cells.without_k) / max(answer.without_c.nominal - preheat_c, 1.0)


def _two_digits(value: float) -> float:
    """Rounded down."""
    step = 10.0 ** (math.floor(math.log10(value)) - 1)
    return round(math.floor(value / step + 1e-9) * step, 9)
