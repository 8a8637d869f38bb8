"""The commands around trials: a coupon to build, and the fit of what came out of it."""

import argparse
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.cli_arguments import LASER_OPTIONS
from app.cli_commands import DONE, print_result
from app.cli_own import with_library
from app.cli_tables import table
from core.job import Job
from core.kept_trials import kept_named, settings_of, trial_history, use_kept
from core.part.place_on_plate import Plate
from core.refusal import Refusal
from core.run_coupon import run_coupon
from core.run_trial import run_trial
from core.sink.sink_choice import SinkChoice
from core.trial.coupon_choice import CouponChoice
from core.trial.trial_library import NONE, differing, remove_trial

if TYPE_CHECKING:
    from app.cli import StopKey


MARK = 8
"""Characters of a sheet's checksum by which kept trials are named."""


def coupon(options: argparse.Namespace, stop_key: "StopKey") -> int:
    """Build the coupon and write it with its trial sheet."""
    job = with_library(Job(), options)
    laser = replace(job.laser, **_laser_given(options))
    plate = Plate()
    if options.plate is not None:
        plate = replace(plate, size_mm=options.plate[:2], height_mm=options.plate[2])
    if options.border is not None:
        plate = replace(plate, border_mm=options.border)
    sink = SinkChoice(kind=options.kind)
    choice = CouponChoice(alloy=job.alloy, own_alloy=job.own_alloy, laser=laser, plate=plate, sink=sink)
    given = {"gaps_mm": options.gaps, "angles_deg": options.angles, "replicates": options.replicates}
    given |= {"seed": options.seed}
    choice = replace(choice, **{key: value for key, value in given.items() if value is not None})
    _, values = run_coupon(choice, Path(options.out), stop_key.goes_on)
    print_result(values, options.json, lambda v: coupon_text(v, options.out))
    return DONE


def fit(options: argparse.Namespace, stop_key: "StopKey") -> int:
    """Fit a filled sheet; with --keep it goes into the library, with --out tables and drawing into a folder."""
    folder = None if options.out is None else Path(options.out)
    _, _, values = run_trial(Path(options.trials), keep=options.keep, out_dir=folder)
    print_result(values, options.json, fit_text)
    return DONE


def trials(options: argparse.Namespace, stop_key: "StopKey") -> int:
    """List the kept trials of an alloy and laser setting; --use puts one or none in force, --remove takes one out."""
    job = with_library(Job(), options)
    job = replace(job, laser=replace(job.laser, **_laser_given(options)))
    removed = None
    if options.remove is not None:
        removed = kept_named(trial_history(job), options.remove)
        remove_trial(removed.sha256)
    if options.use is not None:
        use_kept(job, None if options.use == NONE else kept_named(trial_history(job), options.use))
    history = trial_history(job)
    if history.problem:
        raise Refusal(history.problem)
    values: dict[str, Any] = {
        "settings": settings_of(job),
        "removed": None if removed is None else {"mark": removed.sha256[:MARK], "sheet": removed.source},
        "trials": [
            {
                "mark": kept.sha256[:MARK],
                "in_force": kept == history.used,
                "built_on": kept.built_on,
                "kept_on": kept.kept_on,
                "sheet": kept.source,
                "n": kept.n,
                "limits": [{"angle_deg": limit.angle_deg, "gap_mm": limit.gap_mm} for limit in kept.limits],
                "differs_in": list(differing(kept, settings_of(job))),
            }
            for kept in history.entries
        ],
    }
    print_result(values, options.json, trials_text)
    return DONE


def trials_text(values: dict[str, Any]) -> str:
    """The list, and what is in force."""
    settings = values["settings"]
    lines = [f"Kept trials for {settings['alloy']}, layer {settings['layer_mm']:g} mm"]
    if values["removed"] is not None:
        lines.append(
            f"Removed: {values['removed']['mark']}; fit {values['removed']['sheet']} with --keep to have it back."
        )
    rows = [
        [
            "in force" if kept["in_force"] else "",
            kept["mark"],
            kept["built_on"],
            str(kept["n"]),
            ", ".join(
                f"{limit['angle_deg']:g}°: " + ("none" if limit["gap_mm"] is None else f"{limit['gap_mm']:.2f}")
                for limit in kept["limits"]
            ),
            ", ".join(kept["differs_in"]),
        ]
        for kept in values["trials"]
    ]
    if rows:
        lines.append(table(["", "mark", "built on", "n", "95 % free from mm", "other setting"], rows))
    if not any(kept["in_force"] for kept in values["trials"]):
        lines.append("In force: none; the gap window is the model's estimate.")
    return "\n".join(lines) + "\n"


def fit_text(values: dict[str, Any]) -> str:
    """The limits, the roughness and the notes."""
    told = ", ".join(f"{key} {value}" for key, value in values["settings"].items())
    day = values["built_on"] or "an unnamed day"
    title = f"Trials of {day}, n = {values['n']} judged cells ({told or 'no settings'})"
    counts = f"{values['n_free']} free, {values['n_stuck']} stuck, {values['n_lost']} lost"
    rows = [
        [
            f"{limit['angle_deg']:g}",
            "none" if limit["gap_mm"] is None else f"{limit['gap_mm']:.3f}",
            "" if limit["gap_mm"] is None else f"{limit['low_mm']:.3f}",
            "" if limit["gap_mm"] is None else "open" if limit["high_mm"] is None else f"{limit['high_mm']:.3f}",
        ]
        for limit in values["limits"]
    ]
    lines = [title, counts, "", table(["angle °", "free with 95 % from mm", "95 % from", "to"], rows), ""]
    for line in values["roughness"]:
        lines.append(
            f"{line['quantity'][:2].capitalize()}: {line['per_mm']:+.1f} µm per mm of gap (95 %: "
            f"{line['per_mm_low']:+.1f} to {line['per_mm_high']:+.1f}), n = {line['n']}"
        )
    lines += [f"Note: {note}" for note in values["notes"]]
    if "files" in values:
        lines.append("Written: " + ", ".join(values["files"]))
    if "kept_in" in values:
        lines.append(("Kept in " if values["kept_now"] else "Was kept already in ") + values["kept_in"])
    return "\n".join(lines) + "\n"


def _laser_given(options: argparse.Namespace) -> dict[str, Any]:
    """The laser settings that were given, by the names of their fields."""
    units = {"W": "_w", "MM/S": "_mm_s", "MM": "_mm", "S": "_s", "C": "_c"}
    words = ((name.replace("-", "_"), units.get(unit, "")) for name, unit, _ in LASER_OPTIONS)
    return {word + unit: getattr(options, word) for word, unit in words if getattr(options, word) is not None}


def coupon_text(values: dict[str, Any], folder: str) -> str:
    """The cells in a table, the notes, and what was written."""
    rows = [
        [
            c["cell"],
            "none" if c["gap_mm"] is None else f"{c['gap_mm']:g}",
            f"{c['angle_deg']:g}",
            f"{c['x_mm']:g}",
            f"{c['y_mm']:g}",
            "" if c["clearance_mm"] is None else f"{c['clearance_mm']:.4f}",
        ]
        for c in values["cells"]
    ]
    title = f"Gap coupon for {values['alloy']}, layer {values['laser']['layer_mm']:g} mm, {len(rows)} cells"
    heads = ["cell", "gap mm", "angle °", "x mm", "y mm", "nearest mm"]
    notes = [f"Note: {note}" for note in values["notes"]]
    files = f"Written to {folder}: {', '.join(values['files'])}"
    return "\n".join([title, table(heads, rows), "", *notes, files]) + "\n"
