"""From trials to the gap that comes free with 95 % probability, with its interval, and to roughness against gap."""

import math

import numpy as np
from scipy.special import stdtrit

from core.refusal import Refusal
from core.trial.free_profile import CONFIDENCE, FreeProfile
from core.trial.trial_fit import SHARE_FREE, GapLimit, RoughnessFit, TrialFit
from core.trial.trial_log import TrialLog

LEAST_TRIALS = 6
"""Fewer judged cells give an interval without worth (our own choice)."""


def fit_trials(log: TrialLog) -> TrialFit:
    """Fit one sheet. Raises Refusal below six judged cells with a sink."""
    judged = log.judged
    if len(judged) < LEAST_TRIALS:
        raise Refusal(
            f"'{log.name}' has {len(judged)} cells with a sink that are judged free or stuck; "
            f"at least {LEAST_TRIALS} are needed for a fit."
        )
    angles = sorted({trial.angle_deg for trial in judged})
    gaps = sorted({trial.gap_mm for trial in judged if trial.gap_mm is not None})
    n_free = log.count("free")
    profile = FreeProfile.of(judged)
    weights = profile.weights
    some_limit = 0 < n_free < len(judged) and weights[1] > 0
    limits = tuple(_limit(profile, angle) if some_limit else GapLimit(angle_deg=angle, gap_mm=None) for angle in angles)
    return TrialFit(
        n=len(judged),
        n_free=n_free,
        n_stuck=log.count("stuck"),
        n_lost=log.count("lost"),
        n_open=log.count(""),
        weights=weights,
        limits=limits,
        roughness=tuple(fit for name in ("ra_um", "sa_um") if (fit := _roughness(log, name)) is not None),
        notes=_notes(log, n_free, weights[1], gaps, limits),
    )


def _limit(profile: FreeProfile, angle_deg: float) -> GapLimit:
    """The limit at one angle; the lower end of its interval is no gap below 0."""
    gap_mm, low_mm, high_mm = profile.gaps_of(SHARE_FREE, angle_deg)
    return GapLimit(angle_deg=angle_deg, gap_mm=gap_mm, low_mm=max(low_mm, 0.0), high_mm=high_mm)


def _roughness(log: TrialLog, quantity: str) -> RoughnessFit | None:
    """None where fewer than two more cells than unknowns were measured, or all at one gap."""
    measured = [trial for trial in log.trials if getattr(trial, quantity) is not None]
    with_sink = [trial for trial in measured if trial.gap_mm is not None]
    with_angle = len({trial.angle_deg for trial in with_sink}) > 1
    unknowns = 3 if with_angle else 2
    if len(with_sink) < unknowns + 2 or len({trial.gap_mm for trial in with_sink}) < 2:
        return None
    rows = np.array([[1.0, t.gap_mm or 0.0, *([t.angle_deg] if with_angle else [])] for t in with_sink])
    values = np.array([getattr(trial, quantity) for trial in with_sink])
    found, *_ = np.linalg.lstsq(rows, values, rcond=None)
    freedom = len(values) - unknowns
    spread = float(np.sum((values - rows @ found) ** 2)) / freedom
    error = math.sqrt(spread * np.linalg.pinv(rows.T @ rows)[1, 1]) * float(stdtrit(freedom, 0.5 + CONFIDENCE / 2))
    bare = [trial for trial in measured if trial.gap_mm is None]
    return RoughnessFit(
        quantity=quantity,
        n=len(values),
        at_zero_um=float(found[0]),
        per_mm=float(found[1]),
        per_mm_low=float(found[1]) - error,
        per_mm_high=float(found[1]) + error,
        per_deg=float(found[2]) if with_angle else 0.0,
        without_sink_um={
            angle: float(np.mean([getattr(trial, quantity) for trial in bare if trial.angle_deg == angle]))
            for angle in sorted({trial.angle_deg for trial in bare})
        },
    )


def _notes(
    log: TrialLog, n_free: int, per_mm: float, gaps: list[float], limits: tuple[GapLimit, ...]
) -> tuple[str, ...]:
    notes = []
    tried = f"the gaps tried, {gaps[0]:g} to {gaps[-1]:g} mm"
    if n_free == len(log.judged):
        notes.append(f"Every sink came free down to {gaps[0]:g} mm: the limit lies below; try narrower gaps.")
    elif n_free == 0:
        notes.append(f"No sink came free up to {gaps[-1]:g} mm: the limit lies above; try wider gaps.")
    elif per_mm <= 0:
        notes.append(f"Wider gaps didn't come free more often over {tried}; look for another cause, or build more.")
    for limit in limits:
        if limit.gap_mm is not None and not gaps[0] <= limit.gap_mm <= gaps[-1]:
            notes.append(f"At {limit.angle_deg:g}° the limit of {limit.gap_mm:.2f} mm lies outside {tried}.")
        if limit.gap_mm is not None and (limit.low_mm <= 0 or math.isinf(limit.high_mm)):
            notes.append(f"At {limit.angle_deg:g}° these trials don't bound the limit; build more cells.")
    if log.count("lost"):
        notes.append(f"{log.count('lost')} lost cells are left out; a lost cell is no sign of a free one.")
    if log.count(""):
        notes.append(f"{log.count('')} cells with a sink aren't judged yet.")
    notes.append("Holds for this alloy, powder, layer and laser setting on this machine only.")
    return tuple(notes)
