"""The commands that take long and go on after a stop: the build followed in 3-D, and sweeps of many cases."""

import argparse
import shutil
from pathlib import Path
from typing import TYPE_CHECKING

from app import cli_tables
from app.cli_commands import DONE, STOP_FINDING, job_of, print_result
from core.export.write_job import check_out_dir
from core.heat.heat_choice import HeatChoice
from core.progress import part_of
from core.run_heat import heat_values, run_heat, write_heat
from core.run_job import run_job

if TYPE_CHECKING:
    from app.cli import StopKey

HALF_DONE = ".heat"
KEPT_TEXT = "Stopped; the state is kept; run again to go on."
GRACE_S = 20.0
"""A layer of many cells takes seconds; its state is saved after it."""


def heat(options: argparse.Namespace, stop_key: "StopKey") -> int:
    """Follow the build with and without the sinks and write the comparison."""
    out_dir = Path(options.out)
    check_out_dir(out_dir)
    choice = HeatChoice(cell_mm=options.cell or 0.0)
    half_done = out_dir / HALF_DONE
    nothing = stop_key.text
    stop_key.text = lambda: KEPT_TEXT if any(half_done.glob("*.half")) else nothing()
    job = job_of(options.part)
    result = run_job(job, part_of(stop_key.goes_on, 0.0, 0.05), all_patches=not job.picks)
    stop_key.grace_s = GRACE_S
    comparison = run_heat(result, choice, part_of(stop_key.goes_on, 0.05, 1.0), half_done=half_done)
    stop_key.at_once = False
    files = write_heat(comparison, result, out_dir)
    shutil.rmtree(half_done, ignore_errors=True)
    stop_key.goes_on(1.0)
    stops = [f"{f.check}: {f.text} {f.remedy}" for f in result.findings if f.level == "stop"]
    values = heat_values(comparison, result) | {"files": list(files), "warnings": [*result.warnings, *stops]}
    print_result(values, options.json, lambda v: cli_tables.heat_text(v, str(out_dir)))
    return STOP_FINDING if result.stopped else DONE
