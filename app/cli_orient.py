"""The command 'orient': build directions compared, as a table, JSON or files with pictures."""

import argparse
import re
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from app.cli_commands import DONE, job_of, print_result
from app.cli_tables import table, warning_lines
from core.export.orientation_sheet import orientation_values, write_orientations
from core.export.write_job import check_out_dir
from core.job import HIGHEST_FACE, Job, pick_of
from core.part.place_on_plate import Pose
from core.progress import part_of
from core.refusal import Refusal
from core.run_job import load_placed_part
from core.run_orientations import DIRECTIONS, study_orientations

if TYPE_CHECKING:
    from app.cli import StopKey

RUN = re.compile(r"(\d{1,10})(?:-(\d{1,10}))?")


def orient(options: argparse.Namespace, stop_key: "StopKey") -> int:
    """Compare build directions of a part and say which none beats."""
    out_dir = None if options.out is None else Path(options.out)
    if out_dir is not None:
        check_out_dir(out_dir)
    job = _with_options(job_of(options.part), options)
    part = load_placed_part(replace(job, picks=(), more_parts=()))
    study = study_orientations(
        job, part, part_of(stop_key.goes_on, 0.0, 0.8 if out_dir else 1.0),
        directions=options.directions or DIRECTIONS, standing_mm2=options.standing or 0.0,
    )  # fmt: skip
    values = orientation_values(study)
    if out_dir is not None:
        files = write_orientations(study, out_dir, part_of(stop_key.goes_on, 0.8, 1.0))
        values |= {"files": list(files)}
    print_result(values, options.json, lambda v: orient_text(v, options.out))
    return DONE


def _with_options(job: Job, options: argparse.Namespace) -> Job:
    if options.units is not None:
        job = replace(job, units=options.units)
    if options.rotate is not None:
        job = replace(job, pose=Pose(rotate_deg=options.rotate, drop=True))
    if options.max_angle is not None:
        job = replace(job, max_angle_deg=options.max_angle)
    if options.never is not None:
        job = replace(job, never_downskin=face_runs(options.never))
    return job


def face_runs(text: str) -> tuple[tuple[int, int], ...]:
    """Faces such as 0-3,7 as ascending runs; nothing for none. Raises Refusal."""
    runs = []
    for word in re.split(r"[,\s]+", text.strip()) if text.strip() else ():
        match = RUN.fullmatch(word)
        first, last = (int(match[1]), int(match[2] or match[1])) if match else (1, 0)
        if not first <= last <= HIGHEST_FACE:
            raise Refusal(f"--never: '{word[:40]}' is not a face number or a run such as 0-3.")
        runs.append((first, last))
    if not runs:
        return ()
    if sum(last - first + 1 for first, last in runs) > 50_000_000:
        raise Refusal("--never: more than 50 million faces; give those of the part.")
    return pick_of(np.concatenate([np.arange(first, last + 1) for first, last in runs])).runs


def orient_text(values: dict[str, Any], folder: str | None) -> str:
    """One line per orientation of the front, then what was left out and the limits."""
    heads = ["", "--rotate", "low-angle mm²", "patches", "sinks g", "high mm", "removable", "islands", "height mm",
             "rise K", "on plate mm²"]  # fmt: skip
    rows = [
        ["now" if row is values["now"] else str(row["number"]), row["rotate"], f"{row['low_angle_mm2']:.1f}",
         str(row["patches"]), f"{row['sink_g']:.1f}", f"{row['sink_height_mm']:.1f}",
         "yes" if row["removable"] else "no", str(row["islands"]), f"{row['build_height_mm']:.1f}",
         f"{row['rise_k']:.0f}", f"{row['on_plate_mm2']:.1f}"]
        for row in (values["now"], *values["front"])
    ]  # fmt: skip
    lines = [
        f"Orientations of {values['part']['file']} that none of {values['directions']} directions beats in low-angle "
        "area, sink mass, build height and rise; the most even one first",
        table(heads, rows),
        "",
    ]
    if values["forbidden"]:
        lines.append(f"{values['forbidden']} directions turn one of {values['never_downskin_faces']} faces down that "
                     "must not look down, and were left out.")  # fmt: skip
    if values["too_high"]:
        lines.append(f"{values['too_high']} directions are higher than the build volume and were left out.")
    lines += [*(f"Note: {note}" for note in values["notes"]), *warning_lines(values)]
    if folder is not None:
        lines += ["", f"Written to {folder}: {', '.join(values['files'])}"]
    return "\n".join(lines) + "\n"
