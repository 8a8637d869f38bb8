"""A patch: connected low-angle faces treated together."""

from dataclasses import dataclass

from core.units import IntArray


@dataclass(frozen=True, kw_only=True, eq=False)
class Patch:
    """Low-angle downskin with what an engineer asks about it.

    faces: (n,) int32 triangle numbers, ascending. Angles are from the build plate: 0 is a flat ceiling.
    overhang_step_mm: t / tan(lowest angle), the width each layer of thickness t hangs over powder;
    infinite for a flat ceiling. risk: 0 to 1, larger is worse; only its order means something.
    """

    id: int
    faces: IntArray
    area_mm2: float
    plan_area_mm2: float
    lowest_angle_deg: float
    mean_angle_deg: float
    z_min_mm: float
    z_max_mm: float
    overhang_step_mm: float
    lowest_edge_mm: float
    """Length of the outline that no solid below supports: where the first track is laid on powder."""
    is_island: bool
    """True when the patch's lowest layer starts on powder, joined to no earlier layer."""
    risk: float
    centre_mm: tuple[float, float, float]
