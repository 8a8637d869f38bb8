"""From trials to the gap that comes free with 95 % probability, with its interval, and to roughness against gap."""

import math
from collections.abc import Callable

import numpy as np
from scipy.optimize import brentq
from scipy.stats import chi2, t

from core.refusal import Refusal
from core.trial.firth import firth_fit
from core.trial.trial_fit import SHARE_FREE, GapLimit, RoughnessFit, TrialFit
from core.trial.trial_log import Trial, TrialLog
from core.units import FloatArray

CONFIDENCE = 0.95
LEAST_TRIALS = 6
"""Fewer judged cells give an interval without worth (our own choice)."""
WIDEST_MM = 10.0
"""Beyond this an end of an interval counts as open."""


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
    rows, free = _table(judged, len(angles) > 1, len(gaps) > 1)
    full, best = firth_fit(rows, free)
    weights = (float(full[0]), float(full[1]) if len(gaps) > 1 else 0.0, float(full[-1]) if len(angles) > 1 else 0.0)
    some_limit = 0 < n_free < len(judged) and weights[1] > 0
    limits = tuple(
        _limit(rows, free, best, weights, angle) if some_limit else GapLimit(angle_deg=angle, gap_mm=None)
        for angle in angles
    )
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


def _table(judged: tuple[Trial, ...], with_angle: bool, with_gap: bool) -> tuple[FloatArray, FloatArray]:
    """(n, p) columns 1, gap and angle, those that vary, and (n,) 1 where free."""
    columns = [[1.0] * len(judged)]
    if with_gap:
        columns.append([trial.gap_mm or 0.0 for trial in judged])
    if with_angle:
        columns.append([trial.angle_deg for trial in judged])
    return np.array(columns).T, np.array([float(trial.result == "free") for trial in judged])


def _limit(
    rows: FloatArray, free: FloatArray, best: float, weights: tuple[float, float, float], angle_deg: float
) -> GapLimit:
    """The limit at one angle; its interval holds every gap whose profile lies within chi2/2 of the best fit.

    The profile keeps logit P at exactly logit 0.95 for the gap tried and maximises over the rest (Venzon and
    Moolgavkar, Appl. Stat. 37:87, 1988; with the penalised likelihood Heinze and Schemper, Stat. Med. 21:2409, 2002).
    """
    a, b, c = weights
    target = math.log(SHARE_FREE / (1.0 - SHARE_FREE))
    gap_mm = (target - a - c * angle_deg) / b
    allowed = float(chi2.ppf(CONFIDENCE, 1)) / 2.0
    others = np.eye(rows.shape[1])[:, 1:]

    def beyond(tried_mm: float) -> float:
        direction = others.copy()
        direction[0] = [-tried_mm, -angle_deg][: others.shape[1]]
        start = np.zeros(rows.shape[1])
        start[0] = target
        return best - firth_fit(rows, free, direction, start)[1] - allowed

    low_mm = _crossing(beyond, gap_mm, -1.0, -WIDEST_MM)
    high_mm = _crossing(beyond, gap_mm, 1.0, WIDEST_MM)
    return GapLimit(
        angle_deg=angle_deg,
        gap_mm=gap_mm,
        low_mm=max(low_mm if low_mm is not None else 0.0, 0.0),
        high_mm=high_mm if high_mm is not None else math.inf,
    )


def _crossing(beyond: Callable[[float], float], start_mm: float, side: float, end_mm: float) -> float | None:
    """Where the profile leaves the interval on one side; None when it doesn't before the end."""
    inner, reach = start_mm, 0.02
    while (end_mm - inner) * side > 0:
        outer = start_mm + side * reach
        if beyond(outer) > 0:
            return float(brentq(beyond, inner, outer, xtol=1e-6))
        inner, reach = outer, 1.5 * reach
    return None


def _roughness(log: TrialLog, quantity: str) -> RoughnessFit | None:
    """None where fewer than two more cells than unknowns were measured, or all at one gap."""
    measured = [trial for trial in log.trials if getattr(trial, quantity) is not None]
    with_sink = [trial for trial in measured if trial.gap_mm is not None]
    with_angle = len({trial.angle_deg for trial in with_sink}) > 1
    unknowns = 3 if with_angle else 2
    if len(with_sink) < unknowns + 2 or len({trial.gap_mm for trial in with_sink}) < 2:
        return None
    rows, _ = _table(tuple(with_sink), with_angle, True)
    values = np.array([getattr(trial, quantity) for trial in with_sink])
    found, *_ = np.linalg.lstsq(rows, values, rcond=None)
    freedom = len(values) - unknowns
    spread = float(np.sum((values - rows @ found) ** 2)) / freedom
    error = math.sqrt(spread * np.linalg.pinv(rows.T @ rows)[1, 1]) * float(t.ppf(0.5 + CONFIDENCE / 2, freedom))
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
