"""A plane that cuts the picture: what is kept, and which stretch of a line of sight is still seen."""

from dataclasses import dataclass

import numpy as np

from core.units import BoolArray, FloatArray


@dataclass(frozen=True, kw_only=True)
class Cut:
    """Takes away what lies farther along a direction than at_mm, or, flipped, what lies nearer."""

    along: tuple[float, float, float] = (0.0, 0.0, 1.0)
    """Unit vector."""
    at_mm: float
    flipped: bool = False

    @property
    def kept_side(self) -> FloatArray:
        """(3,) unit vector from the plane into what is kept."""
        return np.array(self.along) if self.flipped else -np.array(self.along)

    @property
    def origin_mm(self) -> FloatArray:
        """(3,) a point of the plane."""
        return self.at_mm * np.array(self.along)

    def depth_mm(self, points_mm: FloatArray) -> FloatArray:
        """(n,) how far points (n, 3) lie inside what is kept; negative for those taken away."""
        return (points_mm - self.origin_mm) @ self.kept_side

    def keeps(self, points_mm: FloatArray) -> BoolArray:
        """(n,) True for points (n, 3) that are still shown."""
        kept: BoolArray = self.depth_mm(points_mm) >= 0
        return kept

    def stretch(self, start_mm: FloatArray, end_mm: FloatArray) -> tuple[FloatArray, FloatArray] | None:
        """The stretch of a ray, both ends (3,), that lies in what is kept; None when no stretch does."""
        start, end = self.depth_mm(np.array([start_mm, end_mm]))
        if max(start, end) < 0:
            return None
        if min(start, end) >= 0:
            return start_mm, end_mm
        crossing = start_mm + (end_mm - start_mm) * (start / (start - end))
        return (crossing, end_mm) if start < 0 else (start_mm, crossing)


def at_height(height_mm: float | None) -> Cut | None:
    """A level cut that takes away what lies above a height; None for no cut."""
    return None if height_mm is None else Cut(at_mm=height_mm)
