"""A small drawing of one patch's gap window for the job sheet."""

import math

from core.heat.estimate import Estimate

WIDTH, HEIGHT = 620, 46
SIDE, TOP, BAR = 10, 15, 12
FUSE, HEAT, BETWEEN, GROUND, INK = "#c9b458", "#6d8fb3", "#9fcfca", "#e4e8eb", "#23282d"
LEGEND = (
    "Ochre: band of the fuse limit. Blue: band of the heat limit. Teal: gap window between the two nominal limits. "
    "Black line: chosen gap. Axis in mm, normal to the face."
)


def gap_window_svg(estimate: Estimate, gap_mm: float) -> str:
    """SVG text: fuse and heat limits with their bands, the window between, and the chosen gap; axis in mm."""
    fuse, heat = estimate.fuse_limit_mm, estimate.heat_limit_mm
    known = [v for v in (fuse.high, heat.nominal, heat.high, gap_mm) if math.isfinite(v)]
    right_mm = _round_up(min(max(known) * 1.1, max(6 * gap_mm, 3 * fuse.nominal, 0.5)))

    def x(value_mm: float) -> float:
        return SIDE + (WIDTH - 2 * SIDE) * min(max(value_mm, 0.0), right_mm) / right_mm

    def box(from_mm: float, to_mm: float, colour: str) -> str:
        width = max(x(to_mm) - x(from_mm), 0.0)
        return f'<rect x="{x(from_mm):.1f}" y="{TOP}" width="{width:.1f}" height="{BAR}" fill="{colour}"/>'

    def label(at: float, y: int, text: str, anchor: str) -> str:
        return f'<text x="{at:.1f}" y="{y}" font-size="9" fill="{INK}" text-anchor="{anchor}">{text}</text>'

    title = f"Patch {estimate.patch}: {window_words(estimate)}; gap {gap_mm:g} mm (estimate)"
    parts = [
        f'<svg viewBox="0 0 {WIDTH} {HEIGHT}" width="100%" font-family="sans-serif" role="img" aria-label="{title}">',
        label(SIDE, 10, title, "start"),
        box(0, right_mm, GROUND),
        box(fuse.nominal, heat.nominal, BETWEEN),
        box(heat.low, heat.high, HEAT),
        box(fuse.low, fuse.high, FUSE),
        f'<rect x="{x(gap_mm) - 1:.1f}" y="{TOP - 3}" width="2" height="{BAR + 6}" fill="{INK}"/>',
    ]
    for tick in range(6):
        at_mm = right_mm * tick / 5
        anchor = "start" if tick == 0 else "end" if tick == 5 else "middle"
        parts.append(label(x(at_mm), TOP + BAR + 13, f"{at_mm:.2f}", anchor))
    return "".join([*parts, "</svg>"])


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
