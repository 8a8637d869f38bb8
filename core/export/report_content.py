"""What the report says, in the order in which it is used: whether to build, how it looks, what to do, and why."""

from pathlib import Path

import numpy as np

from core.export.after_build import AfterBuild
from core.export.gap_window_drawing import LEGEND, gap_window_drawing
from core.export.report_after import after_blocks
from core.export.report_blocks import Block, Bullets, Cell, Figures, Heading, Report, Table, Verdict, Words
from core.export.report_drawing import FEW_NAMES, Drawing, Photo
from core.export.report_order import WayOff, ways_off
from core.export.report_sections import (
    MOST_DETAILS,
    best_cut,
    gap_drawing,
    layer_drawing,
    plate_drawing,
    section_drawing,
)
from core.export.report_tables import (
    digits,
    estimate_table,
    finding_table,
    gaps_asked,
    heat_table,
    machine_pairs,
    part_pairs,
    patch_table,
    sink_table,
    source_table,
)
from core.export.report_views import (
    Build,
    view_from_above,
    view_of_low_angles,
    view_of_values,
    view_of_ways,
    view_through,
)
from core.export.report_words import FLAG_WORDS, LIMITS, REMOVAL_WORDS, SAFETY
from core.export.report_zones import zone_blocks
from core.export.result import JobResult
from core.export.result_json import ESTIMATE_WORDS
from core.heat.compare_heat import HeatComparison
from core.heat.heat_notes import DEPTHS, FULL, cell_notes
from core.version import PROGRAM, VERSION

MOST_WINDOWS = 12
SHORT_HASH = 16
PLOT_MM = 120.0
LOW_ANGLES = "The part alone from below: low-angle faces, and the numbers of those patches that are seen."


def job_report(
    result: JobResult, files: tuple[str, ...], heat: HeatComparison | None = None, after: AfterBuild | None = None
) -> Report:
    """The whole report; the same for the same job and what is given. files: names written beside it.

    heat, after: belong to this result; what is known after the build stands before everything else.
    """
    build = Build.of(result)
    ways = ways_off(result)
    blocks: list[Block] = [
        *(after_blocks(result, build, after) if after is not None else []),
        _verdict(result),
        Words(text=_at_a_glance(result)),
        Figures(drawings=_first_views(build)),
        *_to_act_on(result),
        *_sinks(result),
        Heading(text="Safety"),
        Bullets(sentences=SAFETY, warning=True),
        *_removal(build, ways),
        Heading(text="Machine settings"),
        machine_pairs(result.job),
        *_placed(result, build, bool(ways)),
        *_cuts(result),
        *_windows(result),
        *(zone_blocks(result) if after is None else ()),
        *(_heat(result, build, heat) if heat is not None else []),
        Heading(text="What these numbers don't promise"),
        Bullets(sentences=LIMITS),
        *_in_order(result),
        Heading(text="Files"),
        Words(text=", ".join(files)),
        Heading(text="Signatures"),
        Table(
            heads=("Step", "Name", "Date"),
            rows=tuple((Cell(text=who), Cell(text=""), Cell(text="")) for who in ("Prepared", "Checked", "Released")),
            widths=(0.25, 0.5, 0.25),
            tall=True,
        ),
    ]
    name = Path(result.job.part_file).name or result.part.name
    return Report(
        title=f"{'Job sheet' if after is None else 'After the build'}: {name}",
        subtitle=f"{PROGRAM} {VERSION} · job {result.hash}",
        foot=f"{PROGRAM} {VERSION} · {name} · job {result.hash[:SHORT_HASH]}",
        blocks=tuple(blocks),
    )


def _verdict(result: JobResult) -> Verdict:
    stops = sum(f.level == "stop" for f in result.findings)
    notes = sum(f.level == "note" for f in result.findings)
    if result.stopped:
        word = "finding forbids" if stops == 1 else "findings forbid"
        return Verdict(
            good=False, strong="Not for building.", text=f"{stops} {word} export; no solids were written."
        )
    remark = f" {notes} {'note' if notes == 1 else 'notes'} to read first." if notes else ""
    sinks = f"{len(result.sinks)} {'sink' if len(result.sinks) == 1 else 'sinks'}"
    return Verdict(good=True, strong=f"{sinks} ready for slicing.", text=f"No check forbids export.{remark}")


def _first_views(build: Build) -> list[tuple[Drawing, str]]:
    """From above, and through the part to the sinks; without sinks the low-angle faces."""
    above = (view_from_above(build), "As it is built: part (grey), sinks (teal), build plate (slate).")
    if build.result.sinks:
        return [above, (view_through(build), "The same, seen through the part.")]
    return [above, (view_of_low_angles(build), LOW_ANGLES)]


def _at_a_glance(result: JobResult) -> str:
    """What the operator asks first, in one line."""
    laser = result.job.laser
    gaps = sorted({f"{sink.gap_mm:g}" for sink in result.sinks}) or [f"{result.job.gap.gap_mm:g}"]
    size = " × ".join(digits(v, 1) for v in result.part.size_mm.tolist())
    return (
        f"{result.job.alloy} · layer {laser.layer_mm:g} mm, {laser.layer_time_s:g} s each · powder gap "
        f"{' and '.join(gaps) if len(gaps) < 4 else f'{gaps[0]} to {gaps[-1]}'} mm · part {size} mm"
    )


def _to_act_on(result: JobResult) -> list[Block]:
    blocks: list[Block] = []
    if any(f.level != "ok" for f in result.findings):
        blocks += [Heading(text="Read before building"), finding_table(result, ("stop", "note"))]
    if result.warnings:
        blocks += [Heading(text="Warnings"), Bullets(sentences=result.warnings)]
    return blocks


def _in_order(result: JobResult) -> list[Block]:
    if any(f.level == "ok" for f in result.findings):
        return [Heading(text="Checks in order"), finding_table(result, ("ok",))]
    return [] if result.findings else [Heading(text="Checks"), Words(text="No check ran.")]


def _sinks(result: JobResult) -> list[Block]:
    if not result.sinks:
        return [Heading(text="Sinks"), Words(text="None could be built.")]
    words = (
        "Gap: as asked for, normal to the face. Nearest: shortest distance to the whole part, triangle against "
        "triangle. p99: 99 % of the patch keep the gap within this."
    )
    return [Heading(text="Sinks"), sink_table(result), Words(text=words, small=True)]


def _removal(build: Build, ways: tuple[WayOff, ...]) -> list[Block]:
    if not ways:
        return []
    rows = tuple((Cell(text=way.step), Cell(text=way.sink), Cell(text=way.text)) for way in ways)
    order = next((f.text for f in build.result.findings if f.check == "removal order"), "")
    step = ", with its step" if len(ways) <= FEW_NAMES else "; numbers of the sinks"
    caption = f"From below, through the part: the way by which each sink comes off{step}."
    return [
        Heading(text="Taking the sinks off"),
        Words(text=" ".join(text for text in (REMOVAL_WORDS, order) if text)),
        Figures(drawings=[(view_of_ways(build, ways), caption), (view_of_low_angles(build), LOW_ANGLES)]),
        Table(heads=("Step", "Sink", "How it comes off"), rows=rows, widths=(0.09, 0.15, 0.76)),
    ]


def _placed(result: JobResult, build: Build, shown: bool) -> list[Block]:
    """Part and patches; shown: the low-angle faces were to be seen already."""
    words = "Angles from the build plate: 0° is a flat ceiling. Step: how far each layer hangs over powder."
    view = [] if shown or not result.sinks else [Figures(drawings=[(view_of_low_angles(build), LOW_ANGLES)])]
    return [
        Heading(text="Part"),
        part_pairs(result),
        Heading(text="Patches, worst first"),
        *view,
        patch_table(result),
        Words(text=words, small=True),
    ]


def _cuts(result: JobResult) -> list[Block]:
    bodies = [sink.vertices_mm for sink in result.sinks] or [result.part.vertices_mm]
    level = 0.4 * min(float(vertices[:, 2].max()) for vertices in bodies)
    cuts = {"A": best_cut(result, 0.0), "B": best_cut(result, 90.0)}
    plate = plate_drawing(result)
    blocks: list[Block] = [
        Heading(text="Where it stands, and cuts through it"),
        Figures(
            drawings=[
                (plate, "On the build plate, from above; the black line is the recoater blade."),
                (layer_drawing(result, level, cuts), f"Layer at z = {level:.2f} mm, with the lines of the cuts."),
                (section_drawing(result, cuts["A"], "A"), f"A–A at y = {-cuts['A'].depth_mm:.2f} mm, along X."),
                (section_drawing(result, cuts["B"], "B"), f"B–B at x = {cuts['B'].depth_mm:.2f} mm, along Y."),
            ]
        ),
    ]
    details = [
        (
            gap_drawing(result, sink),
            f"{sink.name}: asked {sink.gap_mm:g} mm, nearest anywhere {sink.min_clearance_mm:.3f} mm",
        )
        for sink in result.sinks[:MOST_DETAILS]
    ]
    if details:
        blocks += [Heading(text="The gap close up, under the middle of each patch"), Figures(drawings=details)]
    if len(result.sinks) > MOST_DETAILS:
        blocks.append(Words(text=f"The first {MOST_DETAILS} of {len(result.sinks)} sinks.", small=True))
    return blocks


def _windows(result: JobResult) -> list[Block]:
    if not result.estimates:
        return []
    words = (
        f"All values: {ESTIMATE_WORDS}. Nominal, and below it the band it is known to. Below the fuse limit the melt "
        "reaches the sink; above the heat limit the sink stops helping enough."
    )
    gap_mm = gaps_asked(result)
    windows = [
        (gap_window_drawing(e, gap_mm.get(e.patch, result.job.gap.gap_mm)), "") for e in result.estimates[:MOST_WINDOWS]
    ]
    return [
        Heading(text="Gap windows"),
        Words(text=words),
        estimate_table(result),
        Figures(drawings=windows),
        Words(text=LEGEND, small=True),
        *_notes(result),
        Heading(text=f"Where the numbers of {result.job.alloy} come from"),
        source_table(result.job),
        Words(text=FLAG_WORDS, small=True),
    ]


def _notes(result: JobResult) -> list[Block]:
    """Notes said of every patch once, the others with their patch."""
    common = [n for n in result.estimates[0].notes if all(n in e.notes for e in result.estimates)]
    own = [f"Patch {e.patch}: {n}" for e in result.estimates for n in e.notes if n not in common]
    return [Bullets(sentences=(*own, *common))] if own or common else []


def _heat(result: JobResult, build: Build, heat: HeatComparison) -> list[Block]:
    """The build followed layer by layer, with the sinks and without."""
    from core.export.heat_drawing import layer_drawing as heat_over_height  # only a report with heat plots

    patches = [face for patch in result.picked for face in patch.faces.tolist()]
    faces = np.zeros(result.part.n_faces, dtype=bool)
    faces[patches] = True
    runs = (("with the sinks", heat.with_sinks), ("without", heat.without))
    values = [np.where(faces, run.face_between_c, np.nan) for _, run in runs]
    known = np.concatenate([v[np.isfinite(v)] for v in values])
    low, high = (float(known.min()), float(known.max())) if len(known) else (0.0, 1.0)
    title = "Between layers, °C"
    views = [
        (
            view_of_values(build, v, low, max(high, low + 1.0), title, f"Temperatures {name}."),
            f"Patches from below, {name}.",
        )
        for v, (name, _) in zip(values, runs, strict=True)
    ]
    png, _ = heat_over_height(heat, result.picked)
    plot = Drawing(
        width_mm=PLOT_MM, height_mm=PLOT_MM, words="Temperature over height.",
        marks=[Photo(at=(0.0, 0.0), size=(PLOT_MM, PLOT_MM), png=png)],
    )  # fmt: skip
    notes = cell_notes(heat.patches, heat.cell_mm, [s.choice for s in result.sinks], result.job.laser.preheat_c)
    return [
        Heading(text="Heat of the build, followed in 3-D"),
        Words(text=f"{ESTIMATE_WORDS[:1].upper()}{ESTIMATE_WORDS[1:]}. {DEPTHS[FULL]} Cells of "
              f"{digits(heat.cell_mm, 2)} mm."),
        heat_table(heat.patches),
        Words(text="Temperatures of the patch between layers: mean, and its hottest face. Cells: how far larger cells "
              "would move what the sinks gain.", small=True),
        Figures(drawings=[*views, (plot, "What a layer has cooled to before the next one.")]),
        *([Bullets(sentences=tuple(notes))] if notes else []),
    ]  # fmt: skip

