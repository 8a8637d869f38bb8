"""The chance of coming free against the gap, angle by angle, with its band: what a plot of trials shows."""

from dataclasses import dataclass

import numpy as np

from core.progress import GoesOn, never_stop, report
from core.trial.free_profile import FreeProfile
from core.trial.trial_log import TrialLog
from core.units import FloatArray

N_GAPS = 21
BEYOND = 0.08
"""How far a curve goes on beyond the gaps tried, as a share of their range."""


@dataclass(frozen=True, kw_only=True, eq=False)
class FreeCurve:
    """At one angle: gap_mm (n,) normal to the face, share (n,) that comes free, low and high (n,) of its 95 % band.

    The band is the profile's, point by point, so it crosses 95 % exactly where the limit's interval ends.
    """

    angle_deg: float
    gap_mm: FloatArray
    share: FloatArray
    low: FloatArray
    high: FloatArray


def free_curves(log: TrialLog, goes_on: GoesOn = never_stop) -> tuple[FreeCurve, ...]:
    """One curve per angle tried; none where only one gap was tried. Raises Stopped when told to stop."""
    judged = log.judged
    gaps = [trial.gap_mm for trial in judged if trial.gap_mm is not None]
    if len(set(gaps)) < 2:
        return ()
    profile = FreeProfile.of(judged)
    more_mm = BEYOND * (max(gaps) - min(gaps))
    gap_mm = np.linspace(max(min(gaps) - more_mm, 0.0), max(gaps) + more_mm, N_GAPS)
    angles = sorted({trial.angle_deg for trial in judged})
    curves = []
    for number, angle_deg in enumerate(angles):
        rows = []
        for k, gap in enumerate(gap_mm):
            report(goes_on, (number + k / N_GAPS) / len(angles))
            rows.append(profile.shares_at(float(gap), angle_deg))
        share, low, high = np.array(rows).T
        curves.append(FreeCurve(angle_deg=angle_deg, gap_mm=gap_mm, share=share, low=low, high=high))
    return tuple(curves)
