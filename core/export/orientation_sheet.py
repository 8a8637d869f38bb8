"""An orientation study as JSON, as a table for a spreadsheet, and as a folder with pictures."""

import csv
import io
from pathlib import Path
from typing import Any

from core.export.orientation_pictures import thumbnail
from core.export.orientation_study import LIMITS, Orientation, OrientationStudy
from core.export.result_json import json_text, number
from core.job_file import job_hash
from core.progress import GoesOn, never_stop, report
from core.version import PROGRAM, VERSION
from core.write_whole import could_not_write, write_together

RESULT, TABLE = "orientations.json", "orientations.csv"


def orientation_values(study: OrientationStudy) -> dict[str, Any]:
    """What `orient --json` prints; the front with the most even one first."""
    return {
        "program": PROGRAM,
        "version": VERSION,
        "job_sha256": job_hash(study.job),
        "part": {"file": study.part.name, "triangles": study.part.n_faces},
        "max_angle_deg": study.job.max_angle_deg,
        "directions": study.tried_count,
        "forbidden": study.n_forbidden,
        "too_high": study.n_too_high,
        "never_downskin_faces": sum(last - first + 1 for first, last in study.job.never_downskin),
        "now": _values(study.now),
        "front": [{"number": n, **_values(one)} for n, one in enumerate(study.front, start=1)],
        "notes": list(LIMITS),
        "warnings": list(study.part.warnings),
    }


def _values(one: Orientation) -> dict[str, Any]:
    return {
        "rotate_deg": list(one.rotate_deg),
        "rotate": rotate_words(one),
        "low_angle_mm2": number(one.low_angle_mm2, 6),
        "patches": one.patches,
        "sink_g": number(one.sink_g, 4),
        "sink_height_mm": number(one.sink_mm, 4),
        "removable": one.removable,
        "stuck_mm2": number(one.stuck_mm2, 4),
        "islands": one.islands,
        "build_height_mm": number(one.height_mm, 6),
        "rise_k": number(one.rise_k, 4),
        "on_plate_mm2": number(one.rest_mm2, 6),
        "never_downskin_kept": one.never_down,
        "fits_height": one.fits,
    }


def rotate_words(one: Orientation) -> str:
    """The turn as the option --rotate takes it."""
    return ",".join(f"{angle:g}" for angle in one.rotate_deg)


def orientation_rows(study: OrientationStudy) -> list[list[Any]]:
    """A row of names, one for the part as it stands (number 0), then the front."""
    rows = [{"number": 0, **_values(study.now)}, *orientation_values(study)["front"]]
    names = [name for name in rows[0] if name != "rotate_deg"]
    return [names, *([row[name] for name in names] for row in rows)]


def table_text(study: OrientationStudy, delimiter: str = ",") -> str:
    """The rows for a spreadsheet."""
    text = io.StringIO()
    csv.writer(text, delimiter=delimiter, lineterminator="\n").writerows(orientation_rows(study))
    return text.getvalue()


def write_orientations(study: OrientationStudy, folder: Path, goes_on: GoesOn = never_stop) -> tuple[str, ...]:
    """Write table, a picture of every orientation of the front, and last orientations.json; returns their names.

    Raises Refusal when the folder can't be written to; Stopped, before anything is written.
    """
    files = {TABLE: table_text(study).encode()}
    for n, one in enumerate(study.front, start=1):
        report(goes_on, (n - 1) / len(study.front))
        files[f"orientation-{n:02d}.png"] = thumbnail(study.part, one, study.job.max_angle_deg)
    names = [*files, RESULT]
    values = orientation_values(study) | {"files": names}
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise could_not_write(folder, problem) from problem
    write_together(folder, files | {RESULT: json_text(values).encode()})
    return tuple(names)
