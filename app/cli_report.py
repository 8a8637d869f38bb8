"""The command 'report': the job sheet with what is known after the build, as HTML and PDF."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.cli_commands import DONE, STOP_FINDING, job_of, print_result
from core.export.after_build import AfterBuild
from core.export.after_build_files import read_images_seen, read_scan_seen, tried_gaps
from core.export.report_after import after_verdicts
from core.export.write_job import check_out_dir
from core.export.write_report import write_after_report
from core.job_file import job_hash
from core.progress import part_of
from core.run_job import load_placed_part, run_job
from core.trial.trial_log import read_trials
from core.version import PROGRAM, VERSION

if TYPE_CHECKING:
    from app.cli import StopKey


def report(options: argparse.Namespace, stop_key: "StopKey") -> int:
    """Read what is given, build the job's sinks again for its figures, and write the report."""
    out_dir = Path(options.out)
    check_out_dir(out_dir)
    job = job_of(options.part)
    n_faces, whose = load_placed_part(job).n_faces, job_hash(job)
    after = AfterBuild(
        trials=None if options.trials is None else tried_gaps(read_trials(Path(options.trials)), stop_key.goes_on),
        images=None if options.images is None else read_images_seen(Path(options.images), whose, n_faces),
        scan=None if options.scan is None else read_scan_seen(Path(options.scan), whose, n_faces),
    )
    result = run_job(job, part_of(stop_key.goes_on, 0.1, 0.8), all_patches=not job.picks)
    stop_key.at_once = False
    files = write_after_report(result, out_dir, after, goes_on=part_of(stop_key.goes_on, 0.8, 1.0))
    stop_key.goes_on(1.0)
    values = {
        "program": PROGRAM,
        "version": VERSION,
        "job_sha256": result.hash,
        "verdicts": after_verdicts(result, after),
        "files": list(files),
    }
    print_result(values, options.json, lambda v: report_text(v, str(out_dir)))
    return STOP_FINDING if result.stopped else DONE


def report_text(values: dict[str, Any], folder: str) -> str:
    """The verdicts and where the report lies."""
    return "\n".join([*values["verdicts"], "", f"Written to {folder}: {', '.join(values['files'])}"]) + "\n"
