"""How far below the downskin the sink stays."""

import math
from dataclasses import dataclass

from core.refusal import Refusal


@dataclass(frozen=True, kw_only=True)
class GapChoice:
    """The powder gap, measured normal to the face (the shortest way from sink to part)."""

    gap_mm: float = 0.3

    def __post_init__(self) -> None:
        if not math.isfinite(self.gap_mm) or not 0.02 <= self.gap_mm <= 5.0:
            raise Refusal(f"A gap of {self.gap_mm:g} mm can't be built; set one between 0.02 and 5 mm.")


def check_gap_against_layer(gap_mm: float, layer_mm: float) -> None:
    """Refuse a gap of less than two layers (common practice, no source): it may sinter shut."""
    if gap_mm < 2 * layer_mm - 1e-9:
        raise Refusal(
            f"A gap of {gap_mm:g} mm is less than two layers of {layer_mm:g} mm and may fuse shut; "
            f"set at least {2 * layer_mm:g} mm."
        )
