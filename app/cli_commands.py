"""What each subcommand does: options to a job, core functions, and the result as JSON or a table."""

import argparse
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app import cli_tables
from app.cli_own import with_library
from app.cli_parts import with_parts
from app.cli_propose import proposed_result
from app.cli_zone import with_zone, zones_of_picks
from core.export.result_json import json_text, part_values, parts_values, patch_values, result_values
from core.export.write_job import check_out_dir, write_result
from core.gap.gap_choice import GapChoice, check_gap_against_layer
from core.job import Job
from core.job_file import new_job, open_job
from core.part.downskin import find_patches
from core.part.patch import Patch
from core.part.place_on_plate import Pose
from core.progress import part_of
from core.refusal import Refusal
from core.run_job import load_placed_part, patches_of_job, run_job
from core.run_window import gap_windows, ledge, window_values

if TYPE_CHECKING:
    from app.cli import StopKey

JOB_ENDING = ".underfin"
DONE, STOP_FINDING = 0, 3


def faces(options: argparse.Namespace, stop_key: "StopKey") -> int:
    """List the part's low-angle patches, worst first."""
    job = with_parts(_with_reading(job_of(options.part), options), options.also)
    part = load_placed_part(replace(job, picks=()))
    patches = find_patches(part, job.max_angle_deg, job.laser.layer_mm)
    values = {
        "part": part_values(part, Path(job.part_file).name),
        "parts": parts_values(job, part, patches),
        "patches": [patch_values(patch) for patch in patches],
        **zones_of_picks(job, part, patches),
    }
    print_result(values, options.json, cli_tables.faces_text)
    return DONE


def build(options: argparse.Namespace, stop_key: "StopKey") -> int:
    """Build the sinks, check them, and write everything, or only the findings when one forbids export."""
    out_dir = Path(options.out)
    check_out_dir(out_dir)
    given = job_of(options.part)
    job = _with_build(_with_reading(given, options), options)
    moved = job.pose != given.pose or job.units != given.units
    if moved and job.picks and not options.patch and not options.all:
        raise Refusal(
            "The job's faces were picked in another pose or unit; give --patch or --all with --rotate or --units."
        )
    job = with_parts(job, options.also)
    all_patches = options.all or not (options.patch or job.picks)
    if options.propose or options.most_metal is not None:
        result = proposed_result(job, options, part_of(stop_key.goes_on, 0.0, 0.85))
    else:
        result = run_job(
            job,
            part_of(stop_key.goes_on, 0.0, 0.85),
            patch_ids=options.patch or (),
            all_patches=all_patches,
            thorough=options.thorough,
        )
    stop_key.at_once = False
    files = write_result(result, out_dir, sinks_as=options.sinks_as, goes_on=part_of(stop_key.goes_on, 0.85, 1.0))
    stop_key.goes_on(1.0)
    values = result_values(result, files, out_dir.resolve())
    print_result(values, options.json, lambda v: cli_tables.build_text(v, str(out_dir)))
    return STOP_FINDING if result.stopped else DONE


def window(options: argparse.Namespace, stop_key: "StopKey") -> int:
    """Estimate the gap window of a job's patches, or of a plain ledge in one alloy."""
    if (options.job is None) == (options.alloy is None):
        raise Refusal("Give either a job (.underfin) or --alloy NAME to estimate the gap window for.")
    if options.job is not None and (options.angle is not None or options.height is not None):
        raise Refusal("--angle and --height describe a ledge without a job; leave them out beside a job.")
    job = with_library(Job(), options) if options.job is None else _opened(options.job)
    names = {
        "power": "power_w",
        "speed": "speed_mm_s",
        "hatch": "hatch_mm",
        "layer": "layer_mm",
        "spot": "spot_mm",
        "passes": "passes",
        "absorptivity": "absorptivity",
        "layer_time": "layer_time_s",
        "preheat": "preheat_c",
    }
    given = {field: getattr(options, name) for name, field in names.items() if getattr(options, name) is not None}
    laser = replace(job.laser, **given)
    gap = job.gap if options.gap is None else GapChoice(gap_mm=options.gap)
    job = replace(
        job, laser=laser, gap=gap, rise_allowed_k=job.rise_allowed_k if options.rise is None else options.rise
    )
    if options.job is None:
        angle, height = (d if v is None else v for v, d in ((options.angle, 30.0), (options.height, 10.0)))
        patches: tuple[Patch, ...] = (ledge(angle, height, job.laser.layer_mm),)
    else:
        patches = patches_of_job(job, load_placed_part(job))
    print_result(window_values(job, gap_windows(job, patches)), options.json, cli_tables.window_text)
    return DONE


def job_of(path: str) -> Job:
    """A job file opened, or a new job for a part file."""
    return open_job(path) if path.lower().endswith(JOB_ENDING) else new_job(path)


def _opened(path: str) -> Job:
    if not path.lower().endswith(JOB_ENDING):
        raise Refusal(f"'{path}' is not a job; give a file that ends in {JOB_ENDING}, or --alloy NAME.")
    return open_job(path)


def _with_reading(job: Job, options: argparse.Namespace) -> Job:
    """The options on how the part is read and stands; a turned part is set down on the plate."""
    if options.units is not None:
        job = replace(job, units=options.units)
    if options.rotate is not None:
        job = replace(job, pose=Pose(rotate_deg=options.rotate, drop=True))
    if options.max_angle is not None:
        job = replace(job, max_angle_deg=options.max_angle)
    return job


def _with_build(job: Job, options: argparse.Namespace) -> Job:
    """The options on plate, gap, sink, alloy and layer; gap and layer are set together, as they bound each other."""
    job = with_library(job, options)
    plate = job.plate
    if options.plate is not None:
        width, depth, height = options.plate
        plate = replace(plate, size_mm=(width, depth), height_mm=height)
    if options.border is not None:
        plate = replace(plate, border_mm=options.border)
    if options.apart is not None:
        plate = replace(plate, apart_mm=options.apart)
    if options.blade is not None:
        plate = replace(plate, blade_deg=options.blade)
    job = replace(job, plate=plate)
    if options.kind is not None:
        job = replace(job, sink=replace(job.sink, kind=options.kind))
    gap = job.gap if options.gap is None else GapChoice(gap_mm=options.gap)
    laser = job.laser if options.layer is None else replace(job.laser, layer_mm=options.layer)
    check_gap_against_layer(gap.gap_mm, laser.layer_mm)
    return with_zone(replace(job, gap=gap, laser=laser), options)


def print_result(values: dict[str, Any], as_json: bool, as_text: Callable[[dict[str, Any]], str]) -> None:
    """One JSON document or the tables, on stdout; characters the terminal lacks become '?'."""
    text = json_text(values) if as_json else as_text(values)
    encoding = sys.stdout.encoding or "utf-8"
    sys.stdout.write(text.encode(encoding, "replace").decode(encoding))
    sys.stdout.flush()
