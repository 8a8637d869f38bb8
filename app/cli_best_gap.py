"""The command 'best-gap': the best gap of each patch as a table with sentences, JSON, or a job that has them."""

import argparse
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.cli_commands import DONE, JOB_ENDING, job_of, print_result
from app.cli_own import with_library
from app.cli_tables import table, warning_lines
from core.best_gap import best_gaps, with_best
from core.best_gap_words import best_gap_values
from core.job_file import save_job
from core.job_picks import picked_patches
from core.part.downskin import find_patches
from core.refusal import Refusal
from core.run_job import load_placed_part, with_picks

if TYPE_CHECKING:
    from app.cli import StopKey

STAYS = ("Estimate; calibrate", "The sink lowers", "The sink gives", "Powder conductivity comes")
"""Beginnings of notes that go with every estimate; the JSON has them."""


def best_gap(options: argparse.Namespace, stop_key: "StopKey") -> int:
    """Search for the best gap under each patch asked for, else under the job's picks, else under all."""
    out = None if options.out is None else Path(options.out)
    if out is not None and out.suffix.lower() != JOB_ENDING:
        raise Refusal(f"'{out.name}' is not a job; give --out a name that ends in {JOB_ENDING}.")
    job = with_library(job_of(options.part), options)
    if options.rise is not None:
        job = replace(job, rise_allowed_k=options.rise)
    part = load_placed_part(job)
    patches = find_patches(part, job.max_angle_deg, job.laser.layer_mm)
    every = options.all or not (options.patch or job.picks)
    job, warnings = with_picks(job, patches, options.patch or (), every)
    answers = best_gaps(job, picked_patches(job, part, patches), options.goal)
    values = best_gap_values(job, answers)
    values["warnings"] = [*part.warnings, *warnings]
    if out is not None:
        picks = tuple(with_best(pick, best) for pick, best in zip(job.picks, answers, strict=True))
        save_job(replace(job, picks=picks), out)
        values["job"] = str(out)
    print_result(values, options.json, best_gap_text)
    return DONE


def best_gap_text(values: dict[str, Any]) -> str:
    """A line of numbers per patch, then its sentences and notes."""
    rows = [
        [
            str(b["patch"]),
            f"{b['lowest_angle_deg']:.1f}",
            f"{b['gap_mm']:.3f}",
            "-".join("open" if v is None else f"{v:.3f}" for v in b["gap_band_mm"]),
            b["held_by"],
            f"{100 * b['share_free']:.1f}",
            "{1:.0f} ({0:.0f}-{2:.0f})".format(*b["rise_k"]),
            f"{b['sensitivity']['rise_per_ln_k']:.0f}",
            f"{b['mass_g']:.3g}",
            "yes" if b["keeps_both"] else "NO",
        ]
        for b in values["best"]
    ]
    heads = ["patch", "lowest °", "gap mm", "its band mm", "held by", "free %", "rise K", "dT/dln k K", "metal g",
             "keeps both"]  # fmt: skip
    notes = [f"Patch {b['patch']}: {n}" for b in values["best"] for n in b["notes"] if not n.startswith(STAYS)]
    model = [values["band_words"]] if any(b["from_trials"] is None for b in values["best"]) else []
    lines = [
        f"Best gaps for {values['alloy']}, {values['rise_allowed_k']:g} K allowed: {values['words']}; gaps normal to "
        "the face",
        table(heads, rows),
        "",
        *(b["text"] for b in values["best"]),
        *(f"Note: {note}" for note in (*model, *notes)),
        *warning_lines(values),
    ]
    if "job" in values:
        lines += ["", f"Written: {values['job']}"]
    return "\n".join(lines) + "\n"
