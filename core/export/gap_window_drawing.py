"""A small drawing of one patch's gap window for the job sheet."""

import math

from core.heat.estimate import Estimate

WIDTH, HEIGHT = 620, 66
LEFT, RIGHT, TOP, BAR = 10, 10, 22, 14


def gap_window_svg(estimate: Estimate, gap_mm: float) -> str:
    """SVG text: fuse and heat limits with their bands, the window between, and the chosen gap; axis in mm."""
    fuse, heat = estimate.fuse_limit_mm, estimate.heat_limit_mm
    known = [v for v in (fuse.high, heat.nominal, heat.high, gap_mm) if math.isfinite(v)]
    right_mm = _round_up(min(max(known) * 1.1, max(6 * gap_mm, 3 * fuse.nominal, 0.5)))

    def x(value_mm: float) -> float:
        inside = min(max(value_mm, 0.0), right_mm) if not math.isnan(value_mm) else 0.0
        return LEFT + (WIDTH - LEFT - RIGHT) * inside / right_mm

    def box(from_mm: float, to_mm: float, colour: str) -> str:
        width = max(x(to_mm) - x(from_mm), 0.0)
        return f'<rect x="{x(from_mm):.1f}" y="{TOP}" width="{width:.1f}" height="{BAR}" fill="{colour}"/>'

    marks = [
        (
            f"Patch {estimate.patch}: gap window from {fuse.nominal:.2f} to "
            f"{f'{heat.nominal:.2f}' if math.isfinite(heat.nominal) else 'no limit'} mm, gap {gap_mm:g} mm (estimate)"
        )
    ]
    ticks = [right_mm * i / 5 for i in range(6)]
    return "".join(
        [
            f'<svg viewBox="0 0 {WIDTH} {HEIGHT}" width="100%" role="img" aria-label="{marks[0]}">',
            f'<text x="{LEFT}" y="12">{marks[0]}</text>',
            box(0, right_mm, "#e4e8eb"),
            box(fuse.nominal, heat.nominal, "#9fcfca"),
            box(fuse.low, fuse.high, "#c9b458"),
            box(max(heat.low, 0), heat.high, "#6d8fb3") if heat.low < right_mm else "",
            (
                f'<line x1="{x(gap_mm):.1f}" x2="{x(gap_mm):.1f}" y1="{TOP - 4}" y2="{TOP + BAR + 4}" '
                'stroke="#23282d" stroke-width="2"/>'
            ),
            *(
                f'<text x="{x(t):.1f}" y="{TOP + BAR + 16}" text-anchor="{_anchor(i)}">'
                f"{t:.2f}{' mm' if i == 5 else ''}</text>"
                for i, t in enumerate(ticks)
            ),
            (
                '<text x="10" y="64">Ochre: band of the fuse limit. Blue: band of the heat limit. Teal: between them. '
                "Line: chosen gap.</text>"
            ),
            "</svg>",
        ]
    )


def _anchor(tick: int) -> str:
    return "start" if tick == 0 else "end" if tick == 5 else "middle"


def _round_up(value: float) -> float:
    """The next of 1, 2, 2.5, 5 times a power of ten."""
    power = 10.0 ** math.floor(math.log10(max(value, 1e-3)))
    return next(step * power for step in (1.0, 2.0, 2.5, 5.0, 10.0) if step * power >= value - 1e-12)
