"""One entry of the user's library: what a trial sheet held, what its fit said, and both as plain values."""

import math
from collections import Counter
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from core.gap.gap_window import GapClass
from core.trial.trial_columns import RESULTS
from core.trial.trial_fit import GapLimit, TrialFit, class_of_share, share_of_logit
from core.trial.trial_log import Trial, TrialLog


@dataclass(frozen=True, kw_only=True)
class Tried:
    """What came of the cells of one gap and angle, by their numbers."""

    gap_mm: float
    angle_deg: float
    free: int
    stuck: int
    lost: int


@dataclass(frozen=True, kw_only=True)
class KeptTrial:
    """One entry: when it was built, how many cells, and what the fit said. settings: of its file.

    trials: the sheet's cells; none in entries written before they were kept.
    """

    built_on: str
    kept_on: str
    source: str
    sha256: str
    n: int
    n_free: int
    weights: tuple[float, float, float]
    limits: tuple[GapLimit, ...]
    settings: dict[str, str | float]
    trials: tuple[Trial, ...] = ()

    @property
    def words(self) -> str:
        """Where a number comes from, as it is shown."""
        return f"from trials of {self.built_on}, n = {self.n}"

    @property
    def log(self) -> TrialLog:
        """The sheet again, to be fitted and drawn."""
        return TrialLog(
            name=self.source,
            sha256=self.sha256,
            trials=self.trials,
            settings=self.settings,
            built_on=date.fromisoformat(self.built_on),
        )

    def tried_near(self, angle_deg: float) -> tuple[Tried, ...]:
        """Cells with a sink at the tried angle nearest to one, by gap; the flatter where two are as near."""
        angles = sorted({t.angle_deg for t in self.trials if t.gap_mm is not None})
        if not angles:
            return ()
        nearest = min(angles, key=lambda tried: abs(tried - angle_deg))
        return tuple(group for group in tried_of(self.trials) if group.angle_deg == nearest)

    def limit_at(self, angle_deg: float) -> GapLimit:
        """The limit at an angle: between the angles tried by a straight line, beyond them that of the nearest one."""
        angle = [limit.angle_deg for limit in self.limits]
        at = min(max(angle_deg, angle[0]), angle[-1])
        upper = next(k for k, own in enumerate(angle) if own >= at)
        high, low = self.limits[upper], self.limits[max(upper - 1, 0)]
        if high.angle_deg == at or high is low:
            return replace(high, angle_deg=angle_deg)
        share = (at - low.angle_deg) / (high.angle_deg - low.angle_deg)

        def between(a: float, b: float) -> float:
            return math.inf if math.inf in (a, b) else (1 - share) * a + share * b

        known = low.gap_mm is not None and high.gap_mm is not None
        return GapLimit(
            angle_deg=angle_deg,
            gap_mm=between(low.gap_mm or 0.0, high.gap_mm or 0.0) if known else None,
            low_mm=between(low.low_mm, high.low_mm),
            high_mm=between(low.high_mm, high.high_mm),
        )

    def verdict(self, gap_mm: float, angle_deg: float) -> GapClass:
        """What to expect of a gap by these trials; angles beyond those tried count as the nearest."""
        angle = min(max(angle_deg, self.limits[0].angle_deg), self.limits[-1].angle_deg)
        a, b, c = self.weights
        return class_of_share(share_of_logit(a + b * gap_mm + c * angle))

    def bounds(self) -> bool:
        """True when it holds a limit at some angle."""
        return any(limit.gap_mm is not None for limit in self.limits)


def tried_of(trials: tuple[Trial, ...]) -> tuple[Tried, ...]:
    """Judged and lost cells with a sink counted by angle and gap, both ascending."""
    counts = Counter((t.angle_deg, t.gap_mm, t.result) for t in trials if t.gap_mm is not None and t.result)
    places = sorted({(angle, gap) for angle, gap, _ in counts})
    return tuple(
        Tried(angle_deg=angle, gap_mm=gap, **{result: counts[angle, gap, result] for result in RESULTS})
        for angle, gap in places
    )


def entry_of(log: TrialLog, fit: TrialFit, today: date) -> dict[str, Any]:
    """An entry as it is written; an open interval's upper end is null."""
    return {
        "built_on": (log.built_on or today).isoformat(),
        "kept_on": today.isoformat(),
        "source": log.name,
        "sha256": log.sha256,
        "n": fit.n,
        "n_free": fit.n_free,
        "weights": list(fit.weights),
        "limits": [
            {
                "angle_deg": limit.angle_deg,
                "gap_mm": limit.gap_mm,
                "low_mm": limit.low_mm,
                "high_mm": limit.high_mm if math.isfinite(limit.high_mm) else None,
            }
            for limit in fit.limits
        ],
        "cells": [[t.cell, t.gap_mm, t.angle_deg, t.result, t.ra_um, t.sa_um] for t in log.trials],
    }


def kept_of(entry: dict[str, Any], settings: dict[str, str | float]) -> KeptTrial:
    """An entry as it was read. Raises ValueError, KeyError or TypeError when it isn't one."""
    weights = [float(weight) for weight in entry["weights"]]
    limits = tuple(
        GapLimit(
            angle_deg=float(limit["angle_deg"]),
            gap_mm=None if limit["gap_mm"] is None else float(limit["gap_mm"]),
            low_mm=float(limit["low_mm"]),
            high_mm=math.inf if limit["high_mm"] is None else float(limit["high_mm"]),
        )
        for limit in entry["limits"]
    )
    numbers = [*weights, *(n for k in limits for n in (k.angle_deg, k.gap_mm or 0.0, k.low_mm))]
    if not limits or len(weights) != 3 or not all(math.isfinite(n) for n in numbers):
        raise ValueError("limits")
    return KeptTrial(
        built_on=date.fromisoformat(entry["built_on"]).isoformat(),
        kept_on=date.fromisoformat(entry["kept_on"]).isoformat(),
        source=str(entry["source"]),
        sha256=str(entry["sha256"]),
        n=int(entry["n"]),
        n_free=int(entry["n_free"]),
        weights=(weights[0], weights[1], weights[2]),
        limits=limits,
        settings=settings,
        trials=tuple(_trial(number, cell) for number, cell in enumerate(entry.get("cells", []), start=2)),
    )


def _trial(row: int, cell: list[Any]) -> Trial:
    name, gap_mm, angle_deg, result, ra_um, sa_um = cell
    if result not in ("", *RESULTS):
        raise ValueError(f"result of cell {row}")
    gap, angle, ra, sa = (None if value is None else float(value) for value in (gap_mm, angle_deg, ra_um, sa_um))
    if angle is None or not all(math.isfinite(value) for value in (gap, angle, ra, sa) if value is not None):
        raise ValueError(f"numbers of cell {row}")
    return Trial(row=row, cell=str(name), gap_mm=gap, angle_deg=angle, result=result, ra_um=ra, sa_um=sa)
