"""The gap window: from the fuse limit, below which the melt reaches the sink, to the heat limit above it."""

import math
from dataclasses import dataclass
from typing import Literal

GapClass = Literal["not recommended", "fuses", "may fuse", "comes free"]
MELT_SPREAD = 0.4
"""Spread of a computed melt depth: conduction models miss published depths by 37 % on average (second-hand)."""
LEAST_LAYERS = 4.0
"""Below this many layers the CoCrMo study saw parts fuse (100 to 150 µm at 50 µm layers: 2 to 3 layers)."""
FLATTEST_DEG = 20.0
"""Flatter than this a sink doesn't save the face: at 15° every specimen of the study failed."""
STUDY = "Çelik, Tekoğlu, Yasa, Sönmez, Materials 15(11):3765 (2022)"


@dataclass(frozen=True, kw_only=True)
class Limit:
    """One end of the gap window in mm, measured normal to the face; 0 and infinity are allowed."""

    low_mm: float
    nominal_mm: float
    high_mm: float


def vertical_gap_mm(normal_gap_mm: float, angle_deg: float) -> float:
    """The gap along the build direction, where the laser goes: normal gap / cos(angle from the plate)."""
    return normal_gap_mm / math.cos(math.radians(angle_deg))


def normal_gap_mm(vertical_mm: float, angle_deg: float) -> float:
    """The shortest way across the gap: vertical gap * cos(angle from the plate)."""
    return vertical_mm * math.cos(math.radians(angle_deg))


def reach_mm(melt_depth_mm: float, layer_mm: float) -> float:
    """How far below the face, vertically, the melt may reach: the depth less its own layer, at least four layers."""
    return max(LEAST_LAYERS * layer_mm, melt_depth_mm - layer_mm)


def fuse_limit(melt_depth_mm: float, layer_mm: float, angle_deg: float) -> Limit:
    """Smallest gap that should come free, for melt depths 40 % less, as computed, and 40 % more.

    melt_depth_mm: melt depth over powder, from the top of the layer. One layer is added because face and sink are
    both cut into layers, which may bring them one layer nearer. Estimate; calibrate with the coupon.
    """
    low, nominal, high = (
        normal_gap_mm(reach_mm(share * melt_depth_mm, layer_mm) + layer_mm, angle_deg)
        for share in (1.0 - MELT_SPREAD, 1.0, 1.0 + MELT_SPREAD)
    )
    return Limit(low_mm=low, nominal_mm=nominal, high_mm=high)


def classify_gap(gap_mm: float, angle_deg: float, *, melt_depth_mm: float, layer_mm: float) -> GapClass:
    """What to expect of a gap normal to a face: 'not recommended' below 20°, else by the fuse limit as computed.

    'fuses' where the melt reaches the sink as drawn, 'may fuse' where it does so when the layers fall badly,
    'comes free' beyond. The melt depth itself is known to ±40 %; fuse_limit gives that band.
    """
    if angle_deg < FLATTEST_DEG:
        return "not recommended"
    reach = normal_gap_mm(reach_mm(melt_depth_mm, layer_mm), angle_deg)
    if gap_mm < reach - 1e-9:
        return "fuses"
    if gap_mm < fuse_limit(melt_depth_mm, layer_mm, angle_deg).nominal_mm - 1e-9:
        return "may fuse"
    return "comes free"


def proposed_gap_mm(fuse: Limit, layer_mm: float) -> float:
    """First gap to try: the computed fuse limit, at least 5.5 layers (the study's free gaps were 5 and 6 layers)."""
    return math.ceil(max(fuse.nominal_mm, 5.5 * layer_mm) * 100.0 - 1e-9) / 100.0


def heat_limit_mm(
    *,
    conductivity_w_mk: float,
    wall_w_m2k: float,
    resistance_allowed_m2k_w: float,
    resistance_rest_m2k_w: float,
    resistance_without_m2k_w: float,
) -> float:
    """Gap at which the column patch to plate just has the resistance allowed: k (R_allowed - R_rest - 2/alpha_w).

    resistance_rest_m2k_w: the sink below the gap. resistance_without_m2k_w: powder all the way down.
    Infinity when the bare powder already suffices, 0 when not even a closed gap would.
    """
    if resistance_without_m2k_w <= resistance_allowed_m2k_w:
        return math.inf
    return max(conductivity_w_mk * (resistance_allowed_m2k_w - resistance_rest_m2k_w - 2.0 / wall_w_m2k) * 1e3, 0.0)


def window_text(fuse: Limit, heat: Limit) -> str:
    """The window in one sentence, for panel and report."""
    start = f"The fuse limit is estimated at {fuse.nominal_mm:.2f} mm ({fuse.low_mm:.2f} to {fuse.high_mm:.2f} mm)"
    if math.isinf(heat.nominal_mm):
        return f"{start}; there is no heat limit, the rise stays below the allowed one even without a sink."
    if heat.nominal_mm <= 0.0:
        return f"{start}; the heat limit can't be reached, even a closed gap leaves more rise than allowed."
    width = f"the heat limit at {heat.nominal_mm:.2f} mm ({heat.low_mm:.2f} to {_text_mm(heat.high_mm)})"
    if heat.nominal_mm < fuse.nominal_mm:
        return f"{start}, {width}: no gap satisfies both; give the sink more metal, or the layer more time."
    return f"{start}, {width}."


def _text_mm(length_mm: float) -> str:
    return "no limit" if math.isinf(length_mm) else f"{length_mm:.2f} mm"
