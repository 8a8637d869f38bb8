"""Write a coupon for the machine and the bench: bodies read back and compared, the sheet, the page and the values."""

import tempfile
from dataclasses import asdict
from pathlib import Path
from typing import Any

from core.export.body import Body
from core.export.coupon_sheet import cell_values, coupon_report, sheet_csv
from core.export.read_back import check_3mf, check_solid, check_stl
from core.export.report_html import report_html
from core.export.report_pdf import report_pdf
from core.export.result_json import json_text, number
from core.export.write_3mf import write_3mf
from core.export.write_job import check_out_dir
from core.export.write_stl import joined, write_stl
from core.progress import GoesOn, never_stop, report
from core.refusal import Refusal
from core.trial.coupon import Coupon
from core.version import PROGRAM, VERSION
from core.write_whole import could_not_write, write_together

PARTS, SINKS, PACKAGE = "coupon-parts.stl", "coupon-sinks.stl", "build.3mf"
SHEET, HTML, PDF, RESULT = "trials.csv", "sheet.html", "sheet.pdf", "coupon.json"
FILES = (PARTS, SINKS, PACKAGE, SHEET, HTML, PDF, RESULT)


def check_coupon_dir(out_dir: Path) -> None:
    """Refuse a folder that can't be written to, or that holds a trial sheet: what was recorded stays."""
    check_out_dir(out_dir)
    if (out_dir / SHEET).exists():
        raise Refusal(f"'{out_dir / SHEET}' is a trial sheet already and may be filled in; choose another folder.")


def write_coupon(coupon: Coupon, out_dir: Path, goes_on: GoesOn = never_stop) -> tuple[str, ...]:
    """Write everything into a folder and return the names; all of it appears or nothing does.

    Raises Refusal when a body is no clean solid, reads back differently, or the folder can't be written to.
    """
    check_coupon_dir(out_dir)
    solids = _solids(coupon, goes_on)
    report(goes_on, 0.6)
    page = coupon_report(coupon, FILES)
    texts = {
        SHEET: sheet_csv(coupon).encode(),
        HTML: report_html(page).encode(),
        PDF: report_pdf(page),
        RESULT: json_text(coupon_values(coupon, FILES)).encode(),
    }
    report(goes_on, 0.9)
    try:
        out_dir.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise could_not_write(out_dir, problem) from problem
    write_together(out_dir, solids | texts)
    return FILES


def coupon_bodies(coupon: Coupon) -> tuple[list[Body], list[Body]]:
    """Parts with the marks, and sinks, each a body of its own with a name."""
    parts = [
        Body(name=c.name, vertices_mm=c.part.vertices_mm, triangles=c.part.triangles, object_type="model")
        for c in coupon.cells
    ]
    parts += [
        Body(name=m.name, vertices_mm=m.vertices_mm, triangles=m.triangles, object_type="model")
        for m in coupon.marks
    ]
    sinks = [
        Body(name=sink.name, vertices_mm=sink.vertices_mm, triangles=sink.triangles)
        for cell in coupon.cells
        for sink in cell.sinks
    ]
    return parts, sinks


def _solids(coupon: Coupon, goes_on: GoesOn) -> dict[str, bytes]:
    """The files of the solids, each body closed, each file read back by the readers that check a real build."""
    parts, sinks = coupon_bodies(coupon)
    for k, body in enumerate([*parts, *sinks]):
        report(goes_on, 0.3 * k / len(parts + sinks))
        check_solid(body.name, body.vertices_mm[body.triangles])
    with tempfile.TemporaryDirectory(prefix="underfin-") as folder:
        found = {}
        for name, bodies in ((PARTS, parts), (SINKS, sinks)):
            vertices, triangles = joined([(body.vertices_mm, body.triangles) for body in bodies])
            path = write_stl(Path(folder) / name, vertices, triangles)
            check_stl(path, vertices, triangles)
            found[name] = path.read_bytes()
        report(goes_on, 0.4)
        path = write_3mf(Path(folder) / PACKAGE, [*parts, *sinks])
        check_3mf(path, [*parts, *sinks])
        found[PACKAGE] = path.read_bytes()
    return found


def coupon_values(coupon: Coupon, files: tuple[str, ...]) -> dict[str, Any]:
    """What `coupon --json` prints; x and y from the middle of the plate."""
    choice = coupon.choice
    return {
        "program": PROGRAM,
        "version": VERSION,
        "alloy": choice.alloy,
        "gaps_mm": list(choice.gaps_mm),
        "angles_deg": list(choice.angles_deg),
        "replicates": choice.replicates,
        "seed": choice.seed,
        "laser": asdict(choice.laser),
        "plate": asdict(choice.plate),
        "sink": asdict(choice.sink),
        "cells": [
            {key: number(v) if isinstance(v, float) else v for key, v in cell_values(coupon, cell).items()}
            | {
                "sinks": [
                    {
                        "name": sink.name,
                        "gap_mm": sink.gap_mm,
                        "min_clearance_mm": number(sink.min_clearance_mm),
                        "volume_mm3": number(sink.volume_mm3),
                        "watertight": sink.watertight,
                        "on_plate": sink.on_plate,
                    }
                    for sink in cell.sinks
                ]
            }
            for cell in coupon.cells
        ],
        "marks": [{"name": mark.name, "x_mm": mark.at_mm[0], "y_mm": mark.at_mm[1]} for mark in coupon.marks],
        "notes": list(coupon.notes),
        "files": list(files),
    }
