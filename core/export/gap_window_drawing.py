"""A small drawing of one patch's gap window for the report."""

import math

from core.export.report_blocks import TEXT_MM
from core.export.report_drawing import INK, Drawing, Label, Mark, box
from core.heat.estimate import Estimate

WIDTH_MM, HEIGHT_MM = TEXT_MM, 13.5
SIDE_MM, TOP_MM, BAR_MM = 3.0, 4.4, 4.2
FUSE, HEAT, BETWEEN, GROUND = "#c9b458", "#6d8fb3", "#9fcfca", "#e4e8eb"
LEGEND = (
    "Ochre, above: band of the fuse limit. Blue, below: band of the heat limit. Teal: gap window between the nominal "
    "limits. Black line: chosen gap. Axis in mm, normal to the face."
)


def gap_window_drawing(estimate: Estimate, gap_mm: float) -> Drawing:
    """Fuse and heat limits with their bands, the window between, and the chosen gap; axis in mm."""
    fuse, heat = estimate.fuse_limit_mm, estimate.heat_limit_mm
    known = [v for v in (fuse.high, heat.nominal, heat.high, gap_mm) if math.isfinite(v)]
    right_mm = _round_up(min(max(known) * 1.1, max(6 * gap_mm, 3 * fuse.nominal, 0.5)))

    def x(value_mm: float) -> float:
        return SIDE_MM + (WIDTH_MM - 2 * SIDE_MM) * min(max(value_mm, 0.0), right_mm) / right_mm

    def bar(from_mm: float, to_mm: float, colour: str, top: float = 0.0, high: float = 1.0) -> Mark:
        width = max(x(to_mm) - x(from_mm), 0.0)
        return box(x(from_mm), TOP_MM + top * BAR_MM, width, high * BAR_MM, colour)

    title = f"Patch {estimate.patch}: {window_words(estimate)}; gap {gap_mm:g} mm (estimate)"
    marks: list[Mark] = [
        Label(at=(SIDE_MM, 3.0), text=title, size_mm=2.6),
        bar(0.0, right_mm, GROUND),
        bar(fuse.nominal, heat.nominal, BETWEEN),
        bar(fuse.low, fuse.high, FUSE, 0.0, 0.36),
        bar(heat.low, heat.high, HEAT, 0.64, 0.36),
        box(x(gap_mm) - 0.3, TOP_MM - 0.9, 0.6, BAR_MM + 1.8, INK),
    ]
    for tick in range(6):
        at_mm = right_mm * tick / 5
        anchor = "start" if tick == 0 else "end" if tick == 5 else "middle"
        marks.append(
            Label(at=(x(at_mm), TOP_MM + BAR_MM + 3.6), text=f"{at_mm:.2f}", size_mm=2.4, anchor=anchor)
        )
    return Drawing(width_mm=WIDTH_MM, height_mm=HEIGHT_MM, marks=marks, words=title)


def window_words(estimate: Estimate) -> str:
    """The nominal window in words; a limit can be missing or out of reach."""
    fuse, heat = estimate.fuse_limit_mm.nominal, estimate.heat_limit_mm.nominal
    if heat <= 0:
        return f"fuse limit {fuse:.2f} mm, heat limit out of reach"
    if math.isinf(heat):
        return f"fuse limit {fuse:.2f} mm, no heat limit"
    if heat < fuse:
        return f"fuse limit {fuse:.2f} mm above the heat limit {heat:.2f} mm, no window"
    return f"gap window {fuse:.2f} to {heat:.2f} mm"


def _round_up(value: float) -> float:
    """The next of 1, 2, 2.5, 5 times a power of ten."""
    power = 10.0 ** math.floor(math.log10(max(value, 1e-3)))
    return next(step * power for step in (1.0, 2.0, 2.5, 5.0, 10.0) if step * power >= value - 1e-12)
