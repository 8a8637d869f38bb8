"""From a filled trial sheet to the fitted limits, and on request into the user's library."""

import math
from dataclasses import asdict
from datetime import date
from pathlib import Path
from typing import Any

from core.export.result_json import number
from core.trial.fit_trial import CONFIDENCE, fit_trials
from core.trial.trial_fit import SHARE_FREE, GapLimit, TrialFit, class_of_share
from core.trial.trial_library import keep_trial
from core.trial.trial_log import TrialLog, read_trials
from core.version import PROGRAM, VERSION


def run_trial(
    path: Path, *, keep: bool = False, library: Path | None = None
) -> tuple[TrialLog, TrialFit, dict[str, Any]]:
    """Read and fit a sheet; returns it, the fit, and what `fit --json` prints.

    keep: add the fit to the library (library: a folder in place of the user's). Raises Refusal with the rows that
    can't be used, when there are too few, or when it can't be kept.
    """
    log = read_trials(path)
    fit = fit_trials(log)
    values = trial_values(log, fit)
    if keep:
        file, added = keep_trial(log, fit, date.today(), library)
        values |= {"kept_in": str(file), "kept_now": added}
    return log, fit, values


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
