"""What a fit of trials says: limits with their intervals, roughness, and the words for a chance of coming free."""

import math
from dataclasses import dataclass

from core.gap.gap_window import GapClass

SHARE_FREE = 0.95


@dataclass(frozen=True, kw_only=True)
class GapLimit:
    """The gap (normal to the face) that comes free with 95 % probability at one angle, and its 95 % interval.

    gap_mm is None when the trials show none; low_mm is 0 and high_mm infinite where the interval is open.
    """

    angle_deg: float
    gap_mm: float | None
    low_mm: float = 0.0
    high_mm: float = math.inf


@dataclass(frozen=True, kw_only=True)
class RoughnessFit:
    """A straight line of roughness over gap (and angle) by least squares, with a 95 % interval of its slope.

    quantity: 'ra_um' or 'sa_um'. without_sink_um: mean of the cells without a sink, by angle.
    """

    quantity: str
    n: int
    at_zero_um: float
    per_mm: float
    per_mm_low: float
    per_mm_high: float
    per_deg: float
    without_sink_um: dict[float, float]


@dataclass(frozen=True, kw_only=True)
class TrialFit:
    """What a sheet says. weights: of logit P(free) = a + b gap + c angle; c is 0 with a single angle."""

    n: int
    n_free: int
    n_stuck: int
    n_lost: int
    n_open: int
    weights: tuple[float, float, float]
    limits: tuple[GapLimit, ...]
    roughness: tuple[RoughnessFit, ...]
    notes: tuple[str, ...]

    def share_free(self, gap_mm: float, angle_deg: float) -> float:
        """Probability that a sink comes free."""
        a, b, c = self.weights
        return share_of_logit(a + b * gap_mm + c * angle_deg)


def share_of_logit(logit: float) -> float:
    """1 / (1 + exp(-logit)), without running over."""
    return 1.0 / (1.0 + math.exp(-max(min(logit, 700.0), -700.0)))


def class_of_share(share: float) -> GapClass:
    """The words of the gap window: below an even chance 'fuses', from 95 % 'comes free'."""
    return "fuses" if share < 0.5 else "may fuse" if share < SHARE_FREE - 1e-12 else "comes free"
