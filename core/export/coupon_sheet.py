"""The trial sheet of a coupon: a table to fill in, and a page to print with the plan and what to record."""

import csv
import io
import math
from dataclasses import asdict
from typing import Any

from core.export.report_blocks import Block, Bullets, Figures, Heading, Pairs, Report, Table, Words, cells
from core.export.report_drawing import PART, PLATE, SINK, Drawing, Label, Mark, box, line
from core.export.report_words import SAFETY
from core.trial.coupon import Cell, Coupon
from core.trial.coupon_cell import LENGTH_MM, MARK_MM, REFERENCE, STEM_MM, WIDTH_MM
from core.trial.trial_columns import COLUMNS, WHAT_TO_RECORD
from core.version import PROGRAM, VERSION

PLAN_MM = (178.0, 150.0)
SOFT_SINK = "#9cc9c6"


def sheet_csv(coupon: Coupon) -> str:
    """One row per cell, as a spreadsheet opens it; what is recorded by hand is empty."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for cell in coupon.cells:
        values = cell_values(coupon, cell)
        writer.writerow([_as_text(values.get(column)) for column in COLUMNS])
    return out.getvalue()


def cell_values(coupon: Coupon, cell: Cell) -> dict[str, Any]:
    """What is known of a cell before it is built."""
    laser = coupon.choice.laser
    return {
        "cell": cell.name,
        "gap_mm": cell.gap_mm,
        "angle_deg": cell.angle_deg,
        "replicate": cell.replicate,
        "x_mm": cell.at_mm[0] + LENGTH_MM / 2,
        "y_mm": cell.at_mm[1] + WIDTH_MM / 2,
        "vertical_gap_mm": cell.vertical_gap_mm,
        "clearance_mm": cell.clearance_mm,
        "alloy": coupon.choice.alloy,
        **{key: value for key, value in asdict(laser).items() if key in COLUMNS},
    }


def _as_text(value: Any) -> str:
    if value is None:
        return ""
    return f"{value:.6g}" if isinstance(value, float) else str(value)


def coupon_report(coupon: Coupon, files: tuple[str, ...]) -> Report:
    """The page to print: plan, settings, a line for every cell, what to record."""
    choice = coupon.choice
    blocks: list[Block] = [
        Words(text=_at_a_glance(coupon)),
        Heading(text="Plan of the plate, from above"),
        Figures(drawings=[(plan_drawing(coupon), _plan_words(coupon))]),
        Heading(text="Machine settings"),
        _settings(coupon),
        Heading(text="What to record"),
        Pairs(rows=WHAT_TO_RECORD),
        Heading(text="Before building"),
        Bullets(sentences=(*coupon.notes, f"Places drawn by lot with seed {choice.seed}.")),
        Heading(text="Safety"),
        Bullets(sentences=SAFETY, warning=True),
        Heading(text="Cells", new_page=True),
        _cell_table(coupon),
        Words(text="The same lines are in trials.csv; fill it in and run: underfin-cli fit trials.csv", small=True),
        Heading(text="Files"),
        Words(text=", ".join(files)),
        Heading(text="Signatures"),
        Table(
            heads=("Step", "Name", "Date"),
            rows=tuple(cells(step, "", "") for step in ("Built", "Judged", "Checked")),
            widths=(0.25, 0.5, 0.25),
            tall=True,
        ),
    ]
    title = f"Gap coupon: {choice.alloy}, layer {choice.laser.layer_mm:g} mm"
    return Report(
        title=title, subtitle=f"{PROGRAM} {VERSION} · seed {choice.seed}", foot=f"{PROGRAM} {VERSION} · {title}",
        blocks=tuple(blocks),
    )  # fmt: skip


def _at_a_glance(coupon: Coupon) -> str:
    choice = coupon.choice
    gaps = ", ".join(f"{gap:g}" for gap in choice.gaps_mm)
    angles = ", ".join(f"{angle:g}°" for angle in choice.angles_deg)
    often = "each once" if choice.replicates == 1 else f"each {choice.replicates} times"
    nearest = min(cell.clearance_mm - cell.gap_mm for cell in coupon.cells if cell.clearance_mm and cell.gap_mm)
    return (
        f"{len(coupon.cells)} cells: gaps {gaps} mm (normal to the face) at {angles}, and one without a sink per "
        f"angle, {often}. Every sink was measured triangle against triangle: none is nearer "
        f"to its part than its gap, the least spare is {nearest * 1e3:.1f} µm."
    )


def _settings(coupon: Coupon) -> Pairs:
    laser, plate, sink = coupon.choice.laser, coupon.choice.plate, coupon.choice.sink
    return Pairs(
        rows=(
            ("Alloy", coupon.choice.alloy),
            ("Laser power, speed", f"{laser.power_w:g} W, {laser.speed_mm_s:g} mm/s"),
            ("Hatch, layer, spot", f"{laser.hatch_mm:g} mm, {laser.layer_mm:g} mm, {laser.spot_mm:g} mm (D4σ)"),
            ("Passes", f"{laser.passes}"),
            ("Plate temperature", f"{laser.preheat_c:g} °C"),
            ("Build volume", f"{plate.size_mm[0]:g} × {plate.size_mm[1]:g} × {plate.height_mm:g} mm"),
            ("Kind of sink", sink.kind),
            *((f"Middle of {m.name}", f"x {m.at_mm[0]:g} mm, y {m.at_mm[1]:g} mm") for m in coupon.marks),
        )
    )


def _plan_words(coupon: Coupon) -> str:
    bar = coupon.marks[1].name
    return (
        "x to the right, y up, from the plate's middle. Grey: stem; teal: ledge with a sink; white: ledge without. "
        f"Crosses: marks for registering pictures; {bar} has a second bar. Numbers: cell, gap mm, angle."
    )


def plan_drawing(coupon: Coupon) -> Drawing:
    """The block of cells from above with their names, gaps and angles."""
    low, high = _extent(coupon)
    scale = min(PLAN_MM[0] / (high[0] - low[0]), PLAN_MM[1] / (high[1] - low[1]))
    width, height = (scale * (b - a) for a, b in zip(low, high, strict=True))
    marks: list[Mark] = [box(0, 0, width, height, "#f4f5f6", PLATE)]

    def across(x_mm: float) -> float:
        return scale * (x_mm - low[0])

    def down(y_mm: float) -> float:
        return scale * (high[1] - y_mm)

    letters_mm = min(3.6, scale * WIDTH_MM / 4)
    for cell in coupon.cells:
        x, y = cell.at_mm
        fill = "#ffffff" if cell.gap_mm is None else SOFT_SINK
        marks.append(box(across(x), down(y + WIDTH_MM), scale * LENGTH_MM, scale * WIDTH_MM, fill, SINK))
        marks.append(box(across(x), down(y + WIDTH_MM), scale * STEM_MM, scale * WIDTH_MM, PART))
        gap = REFERENCE if cell.gap_mm is None else f"{cell.gap_mm:g}"
        for row, text in enumerate((cell.name, gap, f"{cell.angle_deg:g}°")):
            at = (across(x + LENGTH_MM / 2), down(y + WIDTH_MM) + letters_mm * (1.15 * row + 1.1))
            marks.append(Label(at=at, text=text, size_mm=letters_mm, anchor="middle", bold=row == 0))
    for mark in coupon.marks:
        x, y = across(mark.at_mm[0]), down(mark.at_mm[1])
        arm = scale * MARK_MM / 2
        marks += [line((x - arm, y), (x + arm, y), wide_mm=0.5), line((x, y - arm), (x, y + arm), wide_mm=0.5)]
        if mark is coupon.marks[-1]:
            marks.append(line((x + arm / 2, y - arm / 3), (x + arm / 2, y + arm / 3), wide_mm=0.5))
        marks.append(Label(at=(x + 0.6, y + arm), text=mark.name, size_mm=letters_mm))
    return Drawing(width_mm=width, height_mm=height, marks=marks, words="Plan of the coupon's cells and marks.")


def _extent(coupon: Coupon) -> tuple[tuple[float, float], tuple[float, float]]:
    corners = [cell.at_mm for cell in coupon.cells] + [
        (m.at_mm[0] - LENGTH_MM / 2, m.at_mm[1] - WIDTH_MM / 2) for m in coupon.marks
    ]
    low = tuple(math.floor(min(c[i] for c in corners) - 2) for i in (0, 1))
    high = tuple(max(c[i] for c in corners) + size + 2 for i, size in ((0, LENGTH_MM), (1, WIDTH_MM)))
    return (float(low[0]), float(low[1])), (float(high[0]), float(high[1]))


def _cell_table(coupon: Coupon) -> Table:
    rows = tuple(
        cells(
            cell.name,
            "none" if cell.gap_mm is None else f"{cell.gap_mm:g}",
            f"{cell.angle_deg:g}",
            "" if cell.clearance_mm is None else f"{cell.clearance_mm:.4f}",
            "no sink" if cell.gap_mm is None else "free  ·  stuck  ·  lost",
            *("",) * 5,
        )
        for cell in coupon.cells
    )
    heads = ("Cell", "Gap mm", "Angle °", "Nearest mm", "Result", "Force N", "Ra µm", "Sa µm", "Edge mm", "Remark")
    widths = (0.07, 0.07, 0.08, 0.1, 0.2, 0.08, 0.08, 0.08, 0.08, 0.16)
    return Table(heads=heads, rows=rows, widths=widths, numbers=frozenset({1, 2, 3}))

