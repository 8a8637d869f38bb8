"""How well the trials agree with a chance of coming free that is held fixed at one gap and angle: the profile."""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.special import chdtri

from core.trial.firth import firth_fit, penalised_likelihood
from core.trial.trial_fit import share_of_logit
from core.trial.trial_log import Trial
from core.units import FloatArray

CONFIDENCE = 0.95
WIDEST_MM = 10.0
"""Beyond this an end of an interval of the gap counts as open."""
WIDEST_LOGIT = 20.0
"""Farther than this from the fit, an end of an interval of the chance is 0 or 1."""


@dataclass(frozen=True, kw_only=True, eq=False)
class FreeProfile:
    """The fit of logit P(free) = a + b gap + c angle to judged cells. best: its penalised likelihood.

    rows: (n, p) columns 1, gap and angle, the latter two where they vary; free: (n,) 1 where free; found: (p,).
    """

    rows: FloatArray
    free: FloatArray
    with_gap: bool
    with_angle: bool
    found: FloatArray
    best: float

    @classmethod
    def of(cls, judged: tuple[Trial, ...]) -> "FreeProfile":
        """judged: cells with a sink that came free or stuck, at least one."""
        with_gap, with_angle = (len({getattr(t, name) for t in judged}) > 1 for name in ("gap_mm", "angle_deg"))
        rows = np.array([_place(t.gap_mm or 0.0, t.angle_deg, with_gap, with_angle) for t in judged])
        free = np.array([float(trial.result == "free") for trial in judged])
        found, best = firth_fit(rows, free)
        return cls(rows=rows, free=free, with_gap=with_gap, with_angle=with_angle, found=found, best=best)

    @property
    def weights(self) -> tuple[float, float, float]:
        """a, b, c; 0 for what doesn't vary."""
        rest = iter(self.found[1:].tolist())
        b = next(rest) if self.with_gap else 0.0
        return float(self.found[0]), b, next(rest) if self.with_angle else 0.0

    def beyond(self, gap_mm: float, angle_deg: float, logit: float) -> float:
        """Above 0 where a logit at a gap and angle lies outside the 95 % interval, below inside.

        The profile keeps the logit there and maximises over the rest (Venzon and Moolgavkar, Appl. Stat. 37:87,
        1988; with the penalised likelihood Heinze and Schemper, Stat. Med. 21:2409, 2002).
        """
        place = _place(gap_mm, angle_deg, self.with_gap, self.with_angle)
        start = np.zeros(len(place))
        start[0] = logit
        if len(place) == 1:
            value = penalised_likelihood(self.rows, self.free, start)
        else:
            others = np.eye(len(place))[:, 1:]
            others[0] = [-value for value in place[1:]]
            start += others @ self.found[1:]  # the slopes of the best fit; fewer steps than from none
            value = firth_fit(self.rows, self.free, others, start)[1]
        return self.best - value - float(chdtri(1, 1.0 - CONFIDENCE)) / 2.0

    def gaps_of(self, share: float, angle_deg: float) -> tuple[float, float, float]:
        """The gap with a chance of coming free at an angle, and its interval, an end infinite where it is open.

        The chance must grow with the gap, or fall.
        """
        a, b, c = self.weights
        logit = math.log(share / (1.0 - share))
        gap_mm = (logit - a - c * angle_deg) / b
        low, high = (
            crossing(lambda tried_mm: self.beyond(tried_mm, angle_deg, logit), gap_mm, 0.02 * side, side * WIDEST_MM)
            for side in (-1.0, 1.0)
        )
        return gap_mm, -math.inf if low is None else low, math.inf if high is None else high

    def shares_at(self, gap_mm: float, angle_deg: float) -> tuple[float, float, float]:
        """The chance of coming free at a gap and angle, and its interval."""
        a, b, c = self.weights
        logit = a + b * gap_mm + c * angle_deg
        low, high = (
            crossing(
                lambda tried: self.beyond(gap_mm, angle_deg, tried), logit, side, logit + side * WIDEST_LOGIT, 1e-3
            )
            for side in (-1.0, 1.0)
        )
        return (
            share_of_logit(logit),
            0.0 if low is None else share_of_logit(low),
            (1.0 if high is None else share_of_logit(high)),
        )


def _place(gap_mm: float, angle_deg: float, with_gap: bool, with_angle: bool) -> list[float]:
    return [1.0, *([gap_mm] if with_gap else []), *([angle_deg] if with_angle else [])]


def crossing(
    beyond: Callable[[float], float], start: float, reach: float, end: float, tolerance: float = 1e-6
) -> float | None:
    """Where a function rises above 0, walking from start by growing steps; None when it doesn't before the end."""
    from scipy.optimize import brentq  # for which no build waits

    inner, side = start, math.copysign(1.0, reach)
    while (end - inner) * side > 0:
        outer = start + reach
        if beyond(outer) > 0:
            return float(brentq(beyond, inner, outer, xtol=tolerance))
        inner, reach = outer, 1.5 * reach
    return None
