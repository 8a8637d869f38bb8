"""The live 1-D answer for one patch, every number with its band."""

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Band:
    """A value that is only known between low and high."""

    low: float
    nominal: float
    high: float


@dataclass(frozen=True, kw_only=True)
class Estimate:
    """Heat through one patch with and without its sink; estimate, calibrate with the coupon.

    conductance_w_m2k: powder gap with both wall resistances. resistance_*_m2k_w: patch to plate.
    rise_*_k: mean rise over the plate temperature per layer cycle. fuse_limit_mm and heat_limit_mm bound
    the gap window (gap measured normal to the face).
    """

    patch: int
    conductance_w_m2k: Band
    powder_conductivity_w_mk: Band
    resistance_with_m2k_w: Band
    resistance_without_m2k_w: Band
    rise_with_k: Band
    rise_without_k: Band
    fuse_limit_mm: Band
    heat_limit_mm: Band
    notes: tuple[str, ...] = ()
    """Plain sentences on what limits this estimate (flat angle, step wider than hatch, short ledge…)."""
