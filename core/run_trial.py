"""From a filled trial sheet to the fitted limits, and on request into the user's library."""

import math
from dataclasses import asdict, dataclass
from datetime import date
from pathlib import Path
from typing import Any

from core.export.result_json import number
from core.export.write_trial import write_trial
from core.progress import GoesOn, never_stop
from core.trial.fit_trial import fit_trials
from core.trial.free_profile import CONFIDENCE
from core.trial.trial_curves import FreeCurve, free_curves
from core.trial.trial_fit import SHARE_FREE, GapLimit, TrialFit, class_of_share
from core.trial.trial_library import keep_trial
from core.trial.trial_log import TrialLog, read_trials
from core.version import PROGRAM, VERSION


@dataclass(frozen=True, kw_only=True, eq=False)
class TrialStudy:
    """One sheet with all that is said and drawn of it. values: what `fit --json` prints."""

    log: TrialLog
    fit: TrialFit
    curves: tuple[FreeCurve, ...]
    values: dict[str, Any]


def run_trial(
    path: Path, *, keep: bool = False, library: Path | None = None, out_dir: Path | None = None
) -> tuple[TrialLog, TrialFit, dict[str, Any]]:
    """Read and fit a sheet; returns it, the fit, and what `fit --json` prints.

    keep: add the fit to the library (library: a folder in place of the user's). out_dir: write tables and drawing
    there. Raises Refusal with the rows that can't be used, when there are too few, or when it can't be written.
    """
    log = read_trials(path)
    fit = fit_trials(log)
    values = trial_values(log, fit)
    if out_dir is not None:
        values |= {"files": list(write_trial(log, fit, free_curves(log), values, out_dir))}
    if keep:
        file, added = keep_trial(log, fit, date.today(), library)
        values |= {"kept_in": str(file), "kept_now": added}
    return log, fit, values


def study_trial(log: TrialLog, goes_on: GoesOn = never_stop) -> TrialStudy:
    """Fit a sheet and trace its curves. Raises Refusal when there are too few cells, Stopped when told to stop."""
    fit = fit_trials(log)
    return TrialStudy(log=log, fit=fit, curves=free_curves(log, goes_on), values=trial_values(log, fit))


def keep_study(study: TrialStudy, library: Path | None = None) -> tuple[Path, bool]:
    """Add a study to the library, as `fit --keep` does; its file, and False when it was in it. Raises Refusal."""
    return keep_trial(study.log, study.fit, date.today(), library)


def write_study(study: TrialStudy, folder: Path) -> tuple[str, ...]:
    """Write tables and drawing, as `fit --out` does; returns their names. Raises Refusal when that can't be."""
    return write_trial(study.log, study.fit, study.curves, study.values, folder)


def trial_values(log: TrialLog, fit: TrialFit) -> dict[str, Any]:
    """Plain values; an open interval's upper end is null."""
    gaps = sorted({trial.gap_mm for trial in log.judged if trial.gap_mm is not None})
    return {
        "program": PROGRAM,
        "version": VERSION,
        "file": log.name,
        "sha256": log.sha256,
        "built_on": None if log.built_on is None else log.built_on.isoformat(),
        "settings": log.settings,
        "n": fit.n,
        "n_free": fit.n_free,
        "n_stuck": fit.n_stuck,
        "n_lost": fit.n_lost,
        "n_not_judged": fit.n_open,
        "model": {
            "words": "logit P(free) = at_zero + per_mm * gap + per_deg * angle; Firth's logistic regression",
            "at_zero": number(fit.weights[0]),
            "per_mm": number(fit.weights[1]),
            "per_deg": number(fit.weights[2]),
        },
        "share_free": SHARE_FREE,
        "confidence": CONFIDENCE,
        "limits": [_limit_values(limit) for limit in fit.limits],
        "classes": [
            {
                "angle_deg": limit.angle_deg,
                "gap_mm": gap_mm,
                "free": number(share := fit.share_free(gap_mm, limit.angle_deg), 4),
                "gap_is": class_of_share(share),
            }
            for limit in fit.limits
            for gap_mm in gaps
        ],
        "roughness": [
            asdict(line) | {"without_sink_um": {f"{k:g}": number(v, 6) for k, v in line.without_sink_um.items()}}
            for line in fit.roughness
        ],
        "notes": list(fit.notes),
    }


def _limit_values(limit: GapLimit) -> dict[str, Any]:
    return {
        "angle_deg": limit.angle_deg,
        "gap_mm": None if limit.gap_mm is None else number(limit.gap_mm, 6),
        "low_mm": number(limit.low_mm, 6),
        "high_mm": number(limit.high_mm, 6) if math.isfinite(limit.high_mm) else None,
    }
