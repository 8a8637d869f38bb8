"""The commands that take long and go on after a stop: the build followed in 3-D, and sweeps of many cases."""

import argparse
import shutil
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app import cli_heat_tables, cli_tables
from app.cli_commands import DONE, STOP_FINDING, job_of, print_result
from core.export.result import JobResult
from core.export.write_heat import heat_values, quick_values, write_heat, write_quick
from core.export.write_job import check_out_dir
from core.export.write_report import write_heat_report
from core.heat.heat_choice import HeatChoice
from core.heat.machine import card
from core.job import Job
from core.progress import part_of
from core.refusal import Refusal
from core.run_heat import run_heat, run_quick_look
from core.run_job import run_job
from core.run_sweep import CASES, SweepChoice, cases_of, finished_cases, run_sweep, sweep_values, write_sweep

if TYPE_CHECKING:
    from app.cli import StopKey

HALF_DONE = ".heat"
KEPT_TEXT = "Stopped; the state is kept; run again to go on."
SWEEP_KEPT_TEXT = "Stopped; the finished cases are kept; run again to go on."
GRACE_S = 20.0
"""A layer of many cells takes seconds; its state is saved after it."""


def heat(options: argparse.Namespace, stop_key: "StopKey") -> int:
    """Follow the build with and without the sinks, or look at it quickly, and write the comparison."""
    out_dir = Path(options.out)
    check_out_dir(out_dir)
    choice = HeatChoice(cell_mm=options.cell or 0.0, machine=options.machine)
    if choice.machine == "card":
        if options.quick:
            raise Refusal("A quick look needs no card; leave out --machine, or --quick to follow the build.")
        card()  # so that a missing one is said before anything is built
    job = job_of(options.part)
    follow = _look if options.quick else _follow
    result, values = follow(job, choice, out_dir, stop_key)
    stops = [f"{f.check}: {f.text} {f.remedy}" for f in result.findings if f.level == "stop"]
    values |= {"warnings": [*result.warnings, *stops]}
    text = cli_heat_tables.quick_text if options.quick else cli_heat_tables.heat_text
    print_result(values, options.json, lambda v: text(v, str(out_dir)))
    return STOP_FINDING if result.stopped else DONE


def _follow(job: Job, choice: HeatChoice, out_dir: Path, stop_key: "StopKey") -> tuple[JobResult, dict[str, Any]]:
    """Every layer; a stop keeps what is done."""
    half_done = out_dir / HALF_DONE
    nothing = stop_key.text
    stop_key.text = lambda: KEPT_TEXT if any(half_done.glob("*.half")) else nothing()
    result = run_job(job, part_of(stop_key.goes_on, 0.0, 0.05), all_patches=not job.picks)
    stop_key.grace_s = GRACE_S
    comparison = run_heat(result, choice, part_of(stop_key.goes_on, 0.05, 1.0), half_done=half_done)
    stop_key.at_once = False
    files = write_heat(comparison, result, out_dir)
    files += write_heat_report(comparison, result, out_dir, files)
    shutil.rmtree(half_done, ignore_errors=True)
    stop_key.goes_on(1.0)
    return result, heat_values(comparison, result) | {"files": list(files)}


def _look(job: Job, choice: HeatChoice, out_dir: Path, stop_key: "StopKey") -> tuple[JobResult, dict[str, Any]]:
    """Steady heat only."""
    result = run_job(job, part_of(stop_key.goes_on, 0.0, 0.5), all_patches=not job.picks)
    answer = run_quick_look(result, choice, part_of(stop_key.goes_on, 0.5, 1.0))
    stop_key.at_once = False
    files = write_quick(answer, result, out_dir)
    stop_key.goes_on(1.0)
    return result, quick_values(answer, result) | {"files": list(files)}


def sweep(options: argparse.Namespace, stop_key: "StopKey") -> int:
    """Run every combination of the values given and write one table and one drawing."""
    from core.sweep_workers import DaskWorkers, LocalWorkers

    out_dir = Path(options.out)
    check_out_dir(out_dir)
    if options.cell is not None and not options.heat:
        raise Refusal("--cell is the size of the cells for --heat; give both or neither.")
    choice = SweepChoice(
        gap_mm=options.gap or (), kind=options.kind or (), thickness_mm=options.thickness or (),
        pitch_mm=options.pitch or (), power_w=options.power or (), speed_mm_s=options.speed or (),
        rotate_deg=tuple(options.rotate or ()), heat=options.heat, cell_mm=options.cell or 0.0,
    )  # fmt: skip
    cases = cases_of(job_of(options.part), choice)
    already = finished_cases(cases, out_dir)
    sys.stderr.write(f"{len(cases)} cases{f', {already} of them finished earlier' if already else ''}.\n")
    workers = DaskWorkers(options.scheduler) if options.scheduler else LocalWorkers(options.workers or 0)
    nothing = stop_key.text
    stop_key.text = lambda: SWEEP_KEPT_TEXT if any((out_dir / CASES).glob("*.json")) else nothing()
    stop_key.grace_s = GRACE_S
    found = run_sweep(cases, out_dir, workers, stop_key.goes_on)
    stop_key.at_once = False
    values = sweep_values(found, write_sweep(found, out_dir))
    print_result(values, options.json, lambda v: cli_tables.sweep_text(v, str(out_dir)))
    return DONE
