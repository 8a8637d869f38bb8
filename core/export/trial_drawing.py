"""Drawing of trials: chance of coming free, the gap that comes free with 95 % and roughness, all against the gap."""

from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from matplotlib import colormaps, rc_context
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.ticker import MaxNLocator

from core.export.heat_drawing import drawing_rules, png_and_svg
from core.trial.kept_trial import tried_of
from core.trial.trial_columns import RESULTS
from core.trial.trial_curves import FreeCurve
from core.trial.trial_fit import SHARE_FREE, RoughnessFit, TrialFit
from core.trial.trial_log import TrialLog

MARKS = {"free": "o", "stuck": "s", "lost": "x"}
DASHES = ("-", "--", "-.", ":")
DOTS = (0, (1, 2))
ROW = 0.075
"""Height of a row of marks above 1 and below 0 of the chance."""
Styles = dict[float, tuple[Any, str]]
"""Colour and dashes by angle."""
QUANTITIES = {"ra_um": "Ra, µm", "sa_um": "Sa, µm"}


@dataclass(frozen=True, kw_only=True)
class Look:
    """wide_in: of the drawing. colours: part of viridis that stands out from the paper."""

    wide_in: float = 7.2
    letters_pt: float = 9.0
    ink: str = "#23272b"
    paper: str = "#ffffff"
    colours: tuple[float, float] = (0.0, 0.68)

    @property
    def mark_pt(self) -> float:
        return 3.6 if self.wide_in > 5.0 else 2.6


PRINTED = Look()


def trial_drawing(
    log: TrialLog, fit: TrialFit, curves: tuple[FreeCurve, ...], look: Look = PRINTED
) -> tuple[bytes, bytes]:
    """PNG and SVG of one sheet; the same bytes each time. curves: of `free_curves`."""
    inked = ("text.color", "axes.edgecolor", "axes.labelcolor", "xtick.color", "ytick.color", "grid.color")
    papered = ("figure.facecolor", "axes.facecolor", "savefig.facecolor")
    inks: dict[Any, Any] = dict.fromkeys(inked, look.ink) | dict.fromkeys(papered, look.paper)
    inks |= {"font.size": look.letters_pt}
    small = look.wide_in / PRINTED.wide_in
    rough = [name for name in QUANTITIES if any(getattr(t, name) is not None for t in log.trials)]
    heights = [3.4 * max(small, 0.75), 0.25 + 0.2 * len(fit.limits), *(2.1 * max(small, 0.8) for _ in rough)]
    with drawing_rules(), rc_context(inks):
        figure = Figure(figsize=(look.wide_in, sum(heights) + 1.2), layout="constrained")
        chance, limits, *below = figure.subplots(len(heights), 1, sharex=True, height_ratios=heights)
        styles = _styles(log, look)
        chance.set_xlim(*_range(log, fit))
        _chance(chance, log, curves, styles, look)
        _limits(limits, fit, styles)
        for axes, name in zip(below, rough, strict=True):
            line = next((line for line in fit.roughness if line.quantity == name), None)
            _roughness(axes, log, name, line, styles, look)
        for axes in (chance, limits, *below):
            axes.grid(alpha=0.2, lw=0.6)
        last = (chance, limits, *below)[-1]
        last.set_xlabel("powder gap, normal to the face, mm")
        last.xaxis.set_major_locator(MaxNLocator(6, steps=[1, 2, 2.5, 5, 10]))
        figure.suptitle(_title(log, fit), fontsize=look.letters_pt)
        columns = max(1, int(look.wide_in / 0.95))
        handles = _legend(styles, look.ink, log, rough)
        figure.legend(handles=handles, loc="outside lower center", ncols=columns, frameon=False,
                      fontsize=0.92 * look.letters_pt, handlelength=2.2, columnspacing=1.0)  # fmt: skip
        return png_and_svg(figure)


def _title(log: TrialLog, fit: TrialFit) -> str:
    what = [str(log.settings["alloy"])] if "alloy" in log.settings else []
    what += [f"layer {log.settings['layer_mm']:g} mm"] if "layer_mm" in log.settings else []
    day = f"Trials of {log.built_on.isoformat()}" if log.built_on else "Trials"
    return f"{day}, n = {fit.n}" + (f"\n{', '.join(what)}" if what else "")


def _styles(log: TrialLog, look: Look) -> Styles:
    angles = sorted({trial.angle_deg for trial in log.trials})
    low, high = look.colours
    return {
        angle: (colormaps["viridis"](low + (high - low) * k / max(len(angles) - 1, 1)), DASHES[k % len(DASHES)])
        for k, angle in enumerate(angles)
    }


def _range(log: TrialLog, fit: TrialFit) -> tuple[float, float]:
    """The gaps tried and the limits, with some room; ends of intervals only as far as they don't stretch the axis."""
    gaps = [trial.gap_mm for trial in log.trials if trial.gap_mm is not None and trial.result]
    wide = max(max(gaps) - min(gaps), 0.1)
    known = [limit.gap_mm for limit in fit.limits if limit.gap_mm is not None]
    ends = [min(gaps), max(gaps), *(min(max(gap, min(gaps) - wide / 2), max(gaps) + wide / 2) for gap in known)]
    return max(min(ends) - 0.1 * wide, 0.0), max(ends) + 0.1 * wide


def _chance(axes: Any, log: TrialLog, curves: tuple[FreeCurve, ...], styles: Styles, look: Look) -> None:
    """Curves with their bands; the cells as marks in rows of their angle, free above, stuck and lost below."""
    for curve in curves:
        colour, dash = styles[curve.angle_deg]
        axes.fill_between(curve.gap_mm, curve.low, curve.high, color=colour, alpha=0.13, lw=0)
        axes.plot(curve.gap_mm, curve.share, color=colour, ls=dash, lw=1.8)
    axes.axhline(SHARE_FREE, color=look.ink, lw=0.8, ls=DOTS)
    groups = tried_of(log.trials)
    gaps = sorted({group.gap_mm for group in groups})
    step_mm = min((b - a for a, b in pairwise(gaps)), default=0.1)
    rows = {angle: 0.6 + number for number, angle in enumerate(styles)}
    lost = any(group.lost for group in groups)
    for group in groups:
        row = rows[group.angle_deg] * ROW
        below = len(styles) * ROW
        for result, height in (("free", 1.0 + row), ("stuck", -row), ("lost", -row - below)):
            n = getattr(group, result)
            apart_mm = min(0.16 * step_mm, 0.7 * step_mm / max(n, 1))
            places = [group.gap_mm + apart_mm * (k - (n - 1) / 2) for k in range(n)]
            colour = styles[group.angle_deg][0]
            axes.plot(places, [height] * n, MARKS[result], color=colour, mfc="none" if result == "free" else colour,
                      ms=look.mark_pt, mew=1.0, ls="none")  # fmt: skip
    axes.set_ylim(-(1 + lost) * len(styles) * ROW - 0.6 * ROW, 1.0 + (len(styles) + 0.6) * ROW)
    axes.set_yticks([0.0, 0.25, 0.5, 0.75, SHARE_FREE], ["0", "0.25", "0.5", "0.75", "0.95"])
    axes.set_ylabel("chance that a sink comes free")


def _limits(axes: Any, fit: TrialFit, styles: Styles) -> None:
    """One row an angle: the gap that comes free with 95 % and its interval; an end beyond the axis has no bar."""
    left_mm, right_mm = axes.get_xlim()
    for number, limit in enumerate(fit.limits):
        colour = styles[limit.angle_deg][0]
        if limit.gap_mm is None:
            continue
        ends = [min(max(end, left_mm), right_mm) for end in (limit.low_mm, limit.high_mm)]
        axes.plot(ends, [number, number], color=colour, lw=1.6)
        for at_mm, mark in ((limit.low_mm, "|"), (limit.high_mm, "|"), (limit.gap_mm, "D")):
            if left_mm <= at_mm <= right_mm:
                axes.plot([at_mm], [number], mark, color=colour, ms=5 if mark == "D" else 7, mew=1.6)
    axes.set_yticks(range(len(fit.limits)), [f"{limit.angle_deg:g}°" for limit in fit.limits])
    axes.set_ylim(len(fit.limits) - 0.4, -0.6)
    axes.set_ylabel("95 %\nfree")


def _roughness(axes: Any, log: TrialLog, name: str, line: RoughnessFit | None, styles: Styles, look: Look) -> None:
    """Measured cells, the fitted line of each angle over the gaps measured, dotted the mean without a sink."""
    for angle, (colour, dash) in styles.items():
        own = [t for t in log.trials if t.angle_deg == angle and getattr(t, name) is not None]
        for result in (*RESULTS, ""):
            told = [(t.gap_mm, getattr(t, name)) for t in own if t.gap_mm is not None and t.result == result]
            if told:
                fill = "none" if result == "free" else colour
                axes.plot(*zip(*told, strict=True), MARKS.get(result, "."), color=colour, ls="none", mfc=fill,
                          ms=look.mark_pt, mew=1.0)  # fmt: skip
        gaps = [t.gap_mm for t in own if t.gap_mm is not None]
        if line is not None and gaps:
            ends = [min(gaps), max(gaps)]
            axes.plot(ends, [line.at_zero_um + line.per_mm * g + line.per_deg * angle for g in ends], color=colour,
                      ls=dash, lw=1.8)  # fmt: skip
        bare = [getattr(t, name) for t in own if t.gap_mm is None]
        if bare:
            axes.axhline(sum(bare) / len(bare), color=colour, lw=1.0, ls=DOTS)
    axes.set_ylim(bottom=0.0)
    axes.set_ylabel(f"roughness {QUANTITIES[name]}")


def _legend(styles: Styles, ink: str, log: TrialLog, rough: list[str]) -> list[Line2D]:
    handles = [Line2D([], [], color=colour, ls=dash, label=f"{angle:g}°") for angle, (colour, dash) in styles.items()]
    for result, mark in MARKS.items():
        if result != "lost" or log.count("lost"):
            fill = "none" if result == "free" else ink
            handles.append(Line2D([], [], color=ink, marker=mark, mfc=fill, ls="none", ms=4, label=result))
    if any(t.gap_mm is None and getattr(t, name) is not None for t in log.trials for name in rough):
        handles.append(Line2D([], [], color=ink, lw=1.0, ls=DOTS, label="no sink"))
    return handles
