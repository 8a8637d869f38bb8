"""The trials in the report: what came of every gap and angle, the gap that comes free, and what that means here."""

import math
import struct
from dataclasses import asdict

from core.export.after_build import TriedGaps
from core.export.report_blocks import Block, Bullets, Cell, Figures, Heading, Table, Verdict, Words, cells
from core.export.report_drawing import Drawing, Photo
from core.export.report_tables import digits
from core.export.result import JobResult
from core.trial.kept_trial import Tried, tried_of
from core.trial.trial_columns import SETTINGS
from core.trial.trial_fit import SHARE_FREE, GapLimit, class_of_share

PLOT_IN = 5.0
MM_PER_IN = 25.4
MOST_ANGLES = 6
"""Angles side by side in the table of cells; more go into rows."""
TONE = {"comes free": "ok", "may fuse": "note", "fuses": "stop"}
UNITS = {
    "layer_mm": "mm", "power_w": "W", "speed_mm_s": "mm/s", "hatch_mm": "mm", "spot_mm": "mm", "passes": "passes",
}  # fmt: skip
CAUTION = (
    "Trials speak for the alloy, laser settings, powder and machine they were built with, and for gaps and angles near "
    "those tried; a part's ledge may warm up more than a coupon's cell."
)


def trials_verdict(trials: TriedGaps, result: JobResult) -> Verdict:
    """What to expect of the gaps of this job by the trials."""
    n, day = trials.fit.n, trials.log.built_on
    source = f"{n} cells judged" + (f", built on {day.isoformat()}" if day else "")
    flattest = min(limit.angle_deg for limit in trials.fit.limits)
    flat = list(dict.fromkeys(row[0] for row in _gaps(trials, result) if row[1] < flattest - 0.05))
    known = [_limit_words(limit) for limit in trials.fit.limits if limit.gap_mm is not None]
    tail = f" 95 % of the sinks come free from {'; '.join(known)} ({source})." if known else f" ({source})"
    if flat:
        who = f"Patch {flat[0]} lies" if len(flat) == 1 else f"Patches {_listed(flat)} lie"
        tail += f" {who} flatter than any angle tried."
    if other_settings(trials, result):
        return Verdict(good=None, strong="Trials: built with other settings than this job.", text=tail.strip())
    words = {name: list(dict.fromkeys(r[0] for r in _gaps(trials, result) if r[4] == name)) for name in TONE}
    for name, good in (("fuses", False), ("may fuse", None)):
        if words[name]:
            one = len(words[name]) == 1
            patches = f"the gap of patch {words[name][0]}" if one else f"the gaps of patches {_listed(words[name])}"
            verb = name if one else name.replace("fuses", "fuse")
            return Verdict(good=good, strong=f"Trials: {patches} {verb}.", text=tail.strip())
    good = True if words["comes free"] else None
    strong = "Trials: the gap of every sink comes free." if good else "Trials:"
    return Verdict(good=good, strong=strong, text=tail.strip())


def trials_blocks(trials: TriedGaps, result: JobResult) -> list[Block]:
    """Cells, limits with intervals, the job's own gaps, the plot, and cautions."""
    log, fit = trials.log, trials.fit
    counts = f"{fit.n_free} free, {fit.n_stuck} stuck, {fit.n_lost} lost, {fit.n_open} not judged"
    lines = [
        f"{log.name}: {fit.n} cells judged: {counts}.",
        "The chance to come free is fitted over gap and angle by Firth's logistic regression; intervals are 95 %, "
        "from the profile of the likelihood.",
    ]
    limits = tuple(
        cells(f"{limit.angle_deg:g}°", "none found" if limit.gap_mm is None else digits(limit.gap_mm, 2),
              digits(limit.low_mm, 2), "open" if math.isinf(limit.high_mm) else digits(limit.high_mm, 2))
        for limit in fit.limits
    )  # fmt: skip
    other = other_settings(trials, result)
    cautions = (*((f"{_sentence(other)}",) if other else ()), *fit.notes, CAUTION)
    return [
        Heading(text="Trials and fit"),
        Words(text=" ".join(lines)),
        Figures(drawings=[(_plot(trials), "Chance to come free, the gap that comes free with 95 %, and roughness.")]),
        Words(text="Gap, normal to the face, at which 95 % of the sinks come free:"),
        Table(heads=("Angle", "Gap mm", "At least mm", "At most mm"), rows=limits, widths=(0.25, 0.25, 0.25, 0.25),
              numbers=frozenset({1, 2, 3})),
        *_of_this_job(trials, result),
        Heading(text="Cells of the trials"),
        _cell_table(tried_of(log.trials)),
        Bullets(sentences=cautions),
    ]  # fmt: skip


def other_settings(trials: TriedGaps, result: JobResult) -> list[str]:
    """In which settings the sheet differs from the job, as far as the sheet says them."""
    job = result.job
    own = {"alloy": job.alloy, **asdict(job.downskin_laser)}
    found = []
    for key in SETTINGS:
        tried = trials.log.settings.get(key)
        if tried is None or key not in own or tried == own[key]:
            continue
        if isinstance(tried, float) and isinstance(own[key], (int, float)) and math.isclose(tried, own[key]):
            continue
        unit, name = UNITS.get(key, ""), key.split("_")[0]
        values = (f"{v:g} {unit}" if isinstance(v, (int, float)) else str(v) for v in (tried, own[key]))
        found.append(f"{name} {' instead of '.join(values)}")
    return found


def _sentence(other: list[str]) -> str:
    return f"The trials were built with {', '.join(other)}; they say little about this job."


def _limit_words(limit: GapLimit) -> str:
    high = "open" if math.isinf(limit.high_mm) else f"{limit.high_mm:.2f}"
    return f"{limit.gap_mm:.2f} mm ({limit.low_mm:.2f} to {high}) at {limit.angle_deg:g}°"


def _listed(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _gaps(trials: TriedGaps, result: JobResult) -> list[tuple[str, float, float, float, str]]:
    """Patch, its lowest angle, the gap under it, the chance to come free, and that in a word; a row per patch and sink.

    An angle beyond those tried counts as the nearest one tried.
    """
    angles = [limit.angle_deg for limit in trials.fit.limits]
    by_id = {p.id: p for p in (*result.patches, *result.picked)}
    rows: list[tuple[str, float, float, float, str]] = []
    for sink in result.sinks:
        for patch in (by_id[number] for number in sink.patches if number in by_id):
            at = min(max(patch.lowest_angle_deg, min(angles)), max(angles))
            share = trials.fit.share_free(sink.gap_mm, at)
            rows.append((str(patch.id), patch.lowest_angle_deg, sink.gap_mm, share, class_of_share(share)))
    return rows


def _of_this_job(trials: TriedGaps, result: JobResult) -> list[Block]:
    rows = _gaps(trials, result)
    if not rows or other_settings(trials, result):
        return []
    angles = [limit.angle_deg for limit in trials.fit.limits]
    table = tuple(
        cells(
            patch,
            Cell(text=f"{angle:.1f}°", below="" if min(angles) - 0.05 <= angle <= max(angles) + 0.05 else "not tried"),
            digits(gap_mm),
            f"{100 * share:.0f} %",
            Cell(text=word, tone=TONE[word]),
        )
        for patch, angle, gap_mm, share, word in rows
    )
    words = (
        "Not tried: the angle lies beyond those of the coupon, and the nearest one was taken. Below 20° expect less."
        if any(cell[1].below for cell in table)
        else f"Comes free: the fit gives {100 * SHARE_FREE:.0f} % or more."
    )
    return [
        Words(text="What that means for the sinks of this job:"),
        Table(heads=("Patch", "Lowest angle", "Gap mm", "Chance to come free", "The gap"), rows=table,
              widths=(0.15, 0.2, 0.15, 0.25, 0.25), numbers=frozenset({2})),
        Words(text=words, small=True),
    ]  # fmt: skip


def _cell_table(groups: tuple[Tried, ...]) -> Table:
    """Gaps down, angles across; with many angles a row each."""
    angles = sorted({group.angle_deg for group in groups})
    by_place = {(group.gap_mm, group.angle_deg): group for group in groups}
    if len(angles) > MOST_ANGLES:
        rows = tuple(
            cells(f"{g.angle_deg:g}°", digits(g.gap_mm, 2), *map(str, (g.free, g.stuck, g.lost))) for g in groups
        )
        return Table(heads=("Angle", "Gap mm", "Free", "Stuck", "Lost"), rows=rows, widths=(0.2,) * 5,
                     numbers=frozenset({1, 2, 3, 4}))  # fmt: skip
    gaps = sorted({group.gap_mm for group in groups})
    rows = tuple(
        cells(digits(gap, 2), *(_came_out(by_place.get((gap, angle))) for angle in angles)) for gap in gaps
    )
    width = 0.84 / len(angles)
    return Table(heads=("Gap mm", *(f"at {angle:g}°" for angle in angles)), rows=rows,
                 widths=(0.16, *(width for _ in angles)))  # fmt: skip


def _came_out(group: Tried | None) -> Cell:
    if group is None:
        return Cell(text="–")
    told = [f"{n} {word}" for n, word in ((group.free, "free"), (group.stuck, "stuck"), (group.lost, "lost")) if n]
    tone = "ok" if group.free and not group.stuck else "stop" if group.stuck and not group.free else "note"
    return Cell(text=", ".join(told), tone=tone if group.free or group.stuck else "")


def _plot(trials: TriedGaps) -> Drawing:
    from core.export.trial_drawing import Look, trial_drawing  # loads matplotlib, which most reports don't need

    png, _ = trial_drawing(trials.log, trials.fit, trials.curves, Look(wide_in=PLOT_IN, letters_pt=7.5))
    across, down = struct.unpack(">II", png[16:24])  # the size in pixels, by the PNG specification, 11.2.1
    wide_mm = PLOT_IN * MM_PER_IN
    size = (wide_mm, wide_mm * down / across)
    return Drawing(width_mm=size[0], height_mm=size[1], words="Trials over the gap.",
                   marks=[Photo(at=(0.0, 0.0), size=size, png=png)])  # fmt: skip
