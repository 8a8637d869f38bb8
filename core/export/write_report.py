"""The job sheet: one self-contained HTML page that prints on A4."""

import base64
import datetime
import math
from dataclasses import dataclass
from html import escape
from pathlib import Path

from core.checks.finding import LEVELS
from core.export.gap_window_drawing import LEGEND, gap_window_svg
from core.export.report_words import LIMITS, SAFETY, STYLE
from core.export.result import JobResult
from core.export.result_json import ESTIMATE_WORDS
from core.export.write_3mf import xml_characters
from core.heat.estimate import Band
from core.job import Job
from core.refusal import Refusal
from core.version import PROGRAM, VERSION

MOST_DRAWINGS = 12
LEVEL_WORDS = {"stop": "Stop", "note": "Note", "ok": "In order"}


@dataclass(frozen=True, kw_only=True, eq=False)
class Picture:
    """A view for the job sheet: a caption and PNG bytes."""

    caption: str
    png: bytes

    def __post_init__(self) -> None:
        if not self.png.startswith(b"\x89PNG\r\n\x1a\n"):
            raise Refusal(f"The picture '{self.caption}' is not a PNG image.")


def report_html(
    result: JobResult,
    files: tuple[str, ...],
    pictures: tuple[Picture, ...] = (),
    made_on: datetime.date | None = None,
) -> str:
    """The whole page as text; everything that comes from files or the user is escaped.

    files: names written beside the report. made_on: printed date; today when None.
    """
    date = (made_on or datetime.date.today()).isoformat()
    name = _text(Path(result.job.part_file).name or result.part.name)
    parts = [
        "<!DOCTYPE html>",
        '<html lang="en"><head><meta charset="utf-8">',
        (
            '<meta http-equiv="Content-Security-Policy" content="default-src \'none\'; img-src data:; '
            "style-src 'unsafe-inline'\">"
        ),
        f"<title>Job sheet: {name}</title><style>{STYLE}</style></head><body>",
        f"<header><h1>Job sheet: {name}</h1>",
        f'<p class="small">{PROGRAM} {VERSION} · {date} · job {result.hash}</p></header>',
        _verdict(result),
        _pictures(pictures),
        _findings(result),
        _part(result),
        _settings(result.job),
        _patches(result),
        _sinks(result),
        _estimates(result),
        _list("What these numbers don't promise", LIMITS),
        _list("Warnings", result.warnings) if result.warnings else "",
        _list("Safety", SAFETY),
        _list("Files", files),
        _signed(),
        "</body></html>\n",
    ]
    return "\n".join(part for part in parts if part)


def _text(text: str) -> str:
    return escape(xml_characters(text), quote=True)


def _n(value: float, digits: int = 3) -> str:
    """A number with so many decimals; a dash for an infinite or unknown one."""
    return f"{value:,.{digits}f}".replace(",", "\u202f") if math.isfinite(value) else "–"


def _band(band: Band, digits: int) -> str:
    low, high = _n(band.low, digits), _n(band.high, digits)
    return f'{_n(band.nominal, digits)}<span class="band">{low} to {high}</span>'


def _limit(band: Band) -> str:
    """A heat limit: no limit when it is infinite, out of reach when it is 0."""

    def word(value: float) -> str:
        return "no limit" if math.isinf(value) else "out of reach" if value <= 0 else _n(value, 2)

    low, nominal, high = (word(value) for value in (band.low, band.nominal, band.high))
    return f'{nominal}<span class="band">{f"{low} to {high}" if low != high else ""}</span>'


def _pairs(title: str, rows: list[tuple[str, str]]) -> str:
    """A two-column table; values are escaped here."""
    body = "".join(f"<tr><th>{_text(key)}</th><td>{_text(value)}</td></tr>" for key, value in rows)
    return f'<h2>{_text(title)}</h2><table class="pairs"><tbody>{body}</tbody></table>'


def _table(title: str, heads: list[str], rows: list[list[str]], words: str = "") -> str:
    """A table whose first column is text and whose others are numbers; the cells are HTML already."""
    head = "".join(f"<th{'' if i == 0 else _NUMBER}>{_text(h)}</th>" for i, h in enumerate(heads))
    body = "".join(
        "<tr>" + "".join(f"<td{'' if i == 0 else _NUMBER}>{c}</td>" for i, c in enumerate(row)) + "</tr>"
        for row in rows
    )
    note = f'<p class="small">{_text(words)}</p>' if words else ""
    return f"<h2>{_text(title)}</h2>{note}<table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"


_NUMBER = ' class="n"'


def _list(title: str, sentences: tuple[str, ...]) -> str:
    return f"<h2>{_text(title)}</h2><ul>{''.join(f'<li>{_text(s)}</li>' for s in sentences)}</ul>"


def _verdict(result: JobResult) -> str:
    stops = sum(f.level == "stop" for f in result.findings)
    notes = sum(f.level == "note" for f in result.findings)
    if result.stopped:
        word = "finding forbids" if stops == 1 else "findings forbid"
        return f'<p class="verdict stop"><b>Not for building.</b> {stops} {word} export; no solids were written.</p>'
    remark = f" {notes} {'note' if notes == 1 else 'notes'} to read first." if notes else ""
    sinks = f"{len(result.sinks)} {'sink' if len(result.sinks) == 1 else 'sinks'}"
    return f'<p class="verdict ok"><b>{sinks} ready for slicing.</b> No check forbids export.{remark}</p>'


def _pictures(pictures: tuple[Picture, ...]) -> str:
    return "".join(
        f'<figure><img alt="{_text(p.caption)}" src="data:image/png;base64,{base64.b64encode(p.png).decode()}">'
        f"<figcaption>{_text(p.caption)}</figcaption></figure>"
        for p in pictures
    )


def _findings(result: JobResult) -> str:
    rows = []
    for finding in sorted(result.findings, key=lambda f: LEVELS.index(f.level)):
        place = "" if finding.at_mm is None else " (at " + ", ".join(_n(v, 2) for v in finding.at_mm) + " mm)"
        rows.append(
            f'<tr><td class="level">{LEVEL_WORDS[finding.level]}</td><td>{_text(finding.check)}</td>'
            f"<td>{_text(finding.text)}{place} {_text(finding.remedy)}</td></tr>"
        )
    head = "<thead><tr><th>Level</th><th>Check</th><th>Finding and remedy</th></tr></thead>"
    body = "".join(rows) or '<tr><td colspan="3">No check ran.</td></tr>'
    return f"<h2>Findings</h2><table>{head}<tbody>{body}</tbody></table>"


def _part(result: JobResult) -> str:
    part = result.part
    size = " × ".join(_n(v, 3) for v in part.size_mm.tolist())
    closed = "closed, no face cuts another" if part.health.watertight else "not closed"
    return _pairs(
        "Part",
        [
            ("File", Path(result.job.part_file).name),
            ("Format and unit", f"{part.file_format}, {part.units}"),
            ("Size", f"{size} mm"),
            ("Volume", f"{_n(part.volume_mm3, 1)} mm³"),
            ("Triangles", f"{part.n_faces}, {closed}"),
            ("SHA-256", result.job.part_sha256 or "not known"),
        ],
    )


def _settings(job: Job) -> str:
    turn = ", ".join(f"{v:g}°" for v in job.pose.rotate_deg)
    sink, laser, powder = job.sink, job.laser, job.powder
    fins = "" if sink.kind == "block" else f", walls {sink.fin_thickness_mm:g} mm every {sink.fin_pitch_mm:g} mm"
    known = "" if powder.conductivity_w_mk is None else f", {powder.conductivity_w_mk:g} W/mK as measured"
    return _pairs(
        "Settings",
        [
            ("Turned about X, Y, Z", turn + (", dropped to the plate" if job.pose.drop else "")),
            (
                "Build plate",
                f"{job.plate.size_mm[0]:g} × {job.plate.size_mm[1]:g} mm, height {job.plate.height_mm:g} mm",
            ),
            ("Low-angle limit", f"{job.max_angle_deg:g}° from the build plate"),
            ("Powder gap", f"{job.gap.gap_mm:g} mm, normal to the face"),
            ("Sink", f"{sink.kind}, margin {sink.margin_mm:g} mm{fins}, top {sink.skin_mm:g} mm"),
            ("Alloy", job.alloy),
            (
                "Laser",
                (
                    f"{laser.power_w:g} W, {laser.speed_mm_s:g} mm/s, hatch {laser.hatch_mm:g} mm, "
                    f"layer {laser.layer_mm:g} mm, spot {laser.spot_mm:g} mm, "
                    f"{laser.passes} {'pass' if laser.passes == 1 else 'passes'}, "
                    f"absorptivity {laser.absorptivity:g}, {laser.layer_time_s:g} s a layer, "
                    f"plate at {laser.preheat_c:g} °C"
                ),
            ),
            ("Powder", f"{powder.gas}, {powder.diameter_um:g} µm, porosity {powder.porosity:g}{known}"),
            ("Rise allowed", f"{job.rise_allowed_k:g} K"),
        ],
    )


def _patches(result: JobResult) -> str:
    with_sink = {patch: sink.name for sink in result.sinks for patch in sink.patches}
    heads = ["Patch", "Area mm²", "Lowest °", "Mean °", "From z mm", "To z mm", "Step mm", "Sink"]
    rows = [
        [
            f"{p.id}{', island' if p.is_island else ''}",
            _n(p.area_mm2, 1),
            _n(p.lowest_angle_deg, 1),
            _n(p.mean_angle_deg, 1),
            _n(p.z_min_mm, 2),
            _n(p.z_max_mm, 2),
            _n(p.overhang_step_mm),
            _text(with_sink.get(p.id, "none")),
        ]
        for p in result.patches
    ]
    words = "Angles from the build plate: 0° is a flat ceiling. Step: how far each layer hangs over powder."
    return _table("Patches, worst first", heads, rows, words)


def _sinks(result: JobResult) -> str:
    heads = ["Sink", "Patch", "Kind", "Gap mm", "Nearest mm", "Error p99 µm", "Covers", "Volume mm³"]
    rows = [
        [
            _text(s.name),
            ", ".join(map(str, s.patches)),
            _text(s.kind),
            _n(s.gap_mm),
            _n(s.min_clearance_mm, 4),
            _n(s.gap_error_p99_um, 1),
            f"{100 * s.covered_area_mm2 / s.patch_area_mm2:.0f} %" if s.patch_area_mm2 > 0 else "–",
            _n(s.volume_mm3, 1),
        ]
        for s in result.sinks
    ]
    if not rows:
        return "<h2>Sinks</h2><p>None could be built.</p>"
    return _table("Sinks", heads, rows, "Nearest: shortest distance to the whole part, triangle against triangle.")


def _estimates(result: JobResult) -> str:
    if not result.estimates:
        return ""
    heads = ["Patch", "Conductance W/m²K", "Rise with sink K", "Rise without K", "Fuse limit mm", "Heat limit mm"]
    rows = [
        [
            str(e.patch),
            _band(e.conductance_w_m2k, 0),
            _band(e.rise_with_k, 0),
            _band(e.rise_without_k, 0),
            _band(e.fuse_limit_mm, 2),
            _limit(e.heat_limit_mm),
        ]
        for e in result.estimates
    ]
    words = (
        f"All values: {ESTIMATE_WORDS}. Nominal, and below it the band it is known to. Below the fuse limit the melt "
        "reaches the sink; above the heat limit the sink stops helping enough."
    )
    gap_mm = {patch: sink.gap_mm for sink in result.sinks for patch in sink.patches}
    drawings = "".join(gap_window_svg(e, gap_mm[e.patch]) for e in result.estimates[:MOST_DRAWINGS])
    figure = f"<figure>{drawings}<figcaption>{_text(LEGEND)}</figcaption></figure>"
    return _table("Heat", heads, rows, words) + figure + _estimate_notes(result)


def _estimate_notes(result: JobResult) -> str:
    """Notes said of every patch once, the others with their patch."""
    common = [n for n in result.estimates[0].notes if all(n in e.notes for e in result.estimates)]
    own = [f"Patch {e.patch}: {n}" for e in result.estimates for n in e.notes if n not in common]
    return _list("Notes on the estimates", tuple(own + common)) if own or common else ""


def _signed() -> str:
    row = "".join(f"<tr><td>{who}</td><td></td><td></td></tr>" for who in ("Prepared", "Checked", "Released"))
    head = "<thead><tr><th>Step</th><th>Name</th><th>Date</th></tr></thead>"
    return f'<h2>Signatures</h2><table class="signed">{head}<tbody>{row}</tbody></table>'
