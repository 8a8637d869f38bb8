"""The report's tables: part, settings, patches, sinks, estimates and where their numbers come from."""

import math
from pathlib import Path

from core.export.report_blocks import Cell, Pairs, Table, cells
from core.export.result import JobResult
from core.heat.estimate import Band
from core.heat.heat_result import PatchHeat
from core.job import Job
from core.sink.sink_choice import SinkChoice
from core.where_from import alloy_words, machine_words, origins

LEVEL_WORDS = {"stop": "Stop", "note": "Note", "ok": "In order"}


def digits(value: float, places: int = 3) -> str:
    """A number with so many decimals; a dash for an infinite or unknown one."""
    return f"{value:,.{places}f}".replace(",", "\u202f") if math.isfinite(value) else "–"


def band_cell(band: Band, places: int) -> Cell:
    """Nominal, and below it from low to high."""
    return Cell(text=digits(band.nominal, places), below=f"{digits(band.low, places)} to {digits(band.high, places)}")


def limit_cell(band: Band) -> Cell:
    """A heat limit: no limit when it is infinite, out of reach when it is 0."""

    def word(value: float) -> str:
        return "no limit" if math.isinf(value) else "out of reach" if value <= 0 else digits(value, 2)

    low, nominal, high = (word(value) for value in (band.low, band.nominal, band.high))
    return Cell(text=nominal, below=f"{low} to {high}" if low != high else "")


def part_pairs(result: JobResult) -> Pairs:
    """The part as it was read and stands."""
    part, job = result.part, result.job
    size = " × ".join(digits(v, 3) for v in part.size_mm.tolist())
    closed = "closed, no face cuts another" if part.health.watertight else "not closed"
    turn = ", ".join(f"{v:g}°" for v in job.pose.rotate_deg)
    return Pairs(
        rows=(
            ("File", Path(job.part_file).name or part.name),
            *_more_rows(job),
            ("Format and unit", f"{part.file_format}, {part.units}"),
            ("Size in build position", f"{size} mm"),
            ("Volume", f"{digits(part.volume_mm3, 1)} mm³"),
            ("Triangles", f"{part.n_faces}, {closed}"),
            ("Turned about X, Y, Z", turn + (", dropped to the plate" if job.pose.drop else "")),
            ("SHA-256 of the file", job.part_sha256 or "not known"),
        )
    )


def _more_rows(job: Job) -> tuple[tuple[str, str], ...]:
    """Each part beside the first, how far it was moved in x and y, and turned where it was."""
    return tuple(
        (
            f"Also on the plate, part {number}",
            f"{Path(more.part_file).name}, moved by {more.shift_mm[0]:g}, {more.shift_mm[1]:g} mm in X, Y"
            + (f", turned {', '.join(f'{v:g}°' for v in more.pose.rotate_deg)}" if any(more.pose.rotate_deg) else ""),
        )
        for number, more in enumerate(job.more_parts, start=2)
    )


def machine_pairs(job: Job) -> Pairs:
    """Plate, alloy, laser and powder: what is set at the machine."""
    laser, powder, plate = job.laser, job.powder, job.plate
    known = "" if powder.conductivity_w_mk is None else f", {powder.conductivity_w_mk:g} W/mK as measured"
    passes = f"{laser.passes} {'pass' if laser.passes == 1 else 'passes'}"
    return Pairs(
        rows=(
            ("Alloy", alloy_words(job)),
            *((("Machine setting", machine_words(job)),) if job.machine else ()),
            ("Laser power, speed", f"{laser.power_w:g} W, {laser.speed_mm_s:g} mm/s"),
            ("Hatch, layer, spot", f"{laser.hatch_mm:g} mm, {laser.layer_mm:g} mm, {laser.spot_mm:g} mm (D4σ)"),
            ("Passes, energy sent", f"{passes}, {laser.areal_energy_j_mm2:.2f} J/mm² a layer"),
            ("Absorptivity", f"{laser.absorptivity:g}"),
            ("Time from layer to layer", f"{laser.layer_time_s:g} s"),
            ("Plate temperature", f"{laser.preheat_c:g} °C"),
            (
                "Powder and gas",
                f"{powder.diameter_um:g} µm, D90 {powder.d90_um:g} µm, porosity {powder.porosity:g}, "
                f"{powder.gas}{known}",
            ),
            ("Build volume", f"{plate.size_mm[0]:g} × {plate.size_mm[1]:g} × {plate.height_mm:g} mm"),
            ("Recoater blade", f"{plate.blade_deg:g}° from the X axis, travels across itself"),
            ("Low-angle limit", f"{job.max_angle_deg:g}° from the build plate"),
            ("Rise allowed", f"{job.rise_allowed_k:g} K over the plate"),
        )
    )


def sink_words(choice: SinkChoice) -> str:
    """A sink's dimensions in one line, what is left out or does not apply not said."""
    words = [f"margin {choice.margin_mm:g}"] if choice.margin_mm else []
    if choice.kind in ("fins", "plate"):
        direction = "" if choice.direction_deg is None else f" at {choice.direction_deg:g}° from X"
        words.append(f"walls {choice.fin_thickness_mm:g} every {choice.wall_pitch_mm:g}{direction}")
        words += [f"top {choice.skin_mm:g}", f"roofs {choice.roof_deg:g}°"]
        words += [f"foot {choice.foot_mm:g}"] if choice.foot_mm else []
        words += [f"neck {choice.neck_mm:g}"] if choice.neck_mm else []
        words += [f"openings {choice.drain_mm:g} every {choice.drain_pitch_mm:g}"] if choice.drain_pitch_mm else []
    if choice.kind == "edge":
        words.append(f"wall {choice.edge_width_mm:g}")
    return ", ".join(words) or "solid"


def sink_table(result: JobResult) -> Table:
    """Every sink with its own gap and dimensions, and what was measured on it."""
    rows = []
    for sink in result.sinks:
        size = " × ".join(digits(float(v), 1) for v in (sink.vertices_mm.max(axis=0) - sink.vertices_mm.min(axis=0)))
        share = f"{100 * sink.covered_area_mm2 / sink.patch_area_mm2:.0f} %" if sink.patch_area_mm2 > 0 else "–"
        rows.append(
            cells(
                sink.name,
                ", ".join(map(str, sink.patches)),
                Cell(text=sink.kind, below=sink_words(sink.choice)),
                size,
                digits(sink.gap_mm),
                digits(sink.min_clearance_mm, 4),
                digits(sink.gap_error_p99_um, 1),
                share,
                digits(sink.volume_mm3 / 1000.0, 2),
            )
        )
    return Table(
        heads=("Sink", "Patch", "Kind, dimensions mm", "Size mm", "Gap mm", "Nearest mm", "p99 µm", "Covers", "cm³"),
        rows=tuple(rows),
        widths=(0.09, 0.07, 0.265, 0.2, 0.07, 0.09, 0.06, 0.08, 0.075),
        numbers=frozenset({3, 4, 5, 6, 7, 8}),
    )


def patch_table(result: JobResult) -> Table:
    """All low-angle patches, worst first."""
    with_sink: dict[int, list[str]] = {}
    for sink in result.sinks:
        for patch in sink.patches:
            with_sink.setdefault(patch, []).append(sink.name)
    rows = [
        cells(
            f"{p.id}{', island' if p.is_island else ''}",
            digits(p.area_mm2, 1),
            digits(p.lowest_angle_deg, 1),
            digits(p.mean_angle_deg, 1),
            digits(p.z_min_mm, 2),
            digits(p.z_max_mm, 2),
            digits(p.overhang_step_mm),
            ", ".join(with_sink.get(p.id, ["none"])),
        )
        for p in result.patches
    ]
    return Table(
        heads=("Patch", "Area mm²", "Lowest °", "Mean °", "From z mm", "To z mm", "Step mm", "Sinks"),
        rows=tuple(rows),
        widths=(0.13, 0.13, 0.11, 0.1, 0.12, 0.11, 0.1, 0.2),
        numbers=frozenset(range(1, 7)),
    )


def estimate_table(result: JobResult) -> Table:
    """The 1-D estimates with their bands."""
    gap_mm = gaps_asked(result)
    rows = [
        cells(
            str(e.patch),
            digits(gap_mm.get(e.patch, result.job.gap.gap_mm), 2),
            band_cell(e.fuse_limit_mm, 2),
            limit_cell(e.heat_limit_mm),
            band_cell(e.conductance_w_m2k, 0),
            band_cell(e.rise_with_k, 0),
            band_cell(e.rise_without_k, 0),
        )
        for e in result.estimates
    ]
    return Table(
        heads=("Patch", "Gap mm", "Fuse limit mm", "Heat limit mm", "Gap W/m²K", "Rise with sink K", "Rise without K"),
        rows=tuple(rows),
        widths=(0.09, 0.1, 0.15, 0.21, 0.15, 0.15, 0.15),
        numbers=frozenset(range(1, 7)),
    )


def gaps_asked(result: JobResult) -> dict[int, float]:
    """The gap asked for under each patch that has a sink."""
    return {patch: sink.gap_mm for sink in result.sinks for patch in sink.patches}


def heat_table(patches: tuple[PatchHeat, ...]) -> Table:
    """The build followed in 3-D, with sinks and without."""
    rows = [
        cells(
            str(p.patch),
            band_cell(p.with_c, 0),
            band_cell(p.without_c, 0),
            digits(p.cooler_by_k, 0),
            digits(p.hottest_with_c, 0),
            digits(p.hottest_without_c, 0),
            f"± {digits(p.cells.cooler_k, 0)}",
        )
        for p in patches
    ]
    return Table(
        heads=("Patch", "With °C", "Without °C", "Cooler by K", "Hottest with °C", "Hottest without °C", "Cells K"),
        rows=tuple(rows),
        widths=(0.1, 0.17, 0.17, 0.13, 0.15, 0.17, 0.11),
        numbers=frozenset(range(1, 7)),
    )


def source_table(job: Job) -> Table:
    """Where the numbers come from, each with its flag; rows of one source together."""
    return Table(
        heads=("Quantity", "Value", "Flag", "Source"),
        rows=tuple(cells(origin.name, origin.value, origin.flag, origin.source) for origin in origins(job)),
        widths=(0.2, 0.18, 0.14, 0.48),
    )


def finding_table(result: JobResult, levels: tuple[str, ...]) -> Table:
    """Findings of these levels, in their order."""
    rows = []
    for level in levels:
        for finding in (f for f in result.findings if f.level == level):
            place = "" if finding.at_mm is None else "At " + ", ".join(digits(v, 2) for v in finding.at_mm) + " mm"
            words = " ".join(text for text in (finding.text, finding.remedy) if text)
            rows.append(
                (Cell(text=LEVEL_WORDS[level], tone=level), Cell(text=finding.check), Cell(text=words, below=place))
            )
    return Table(heads=("Level", "Check", "Finding and remedy"), rows=tuple(rows), widths=(0.11, 0.17, 0.72))
