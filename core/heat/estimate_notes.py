"""Plain sentences that go with an estimate: what it leaves out and where it stops being true."""

import math

from core.gap.gap_window import FLATTEST_DEG
from core.heat.estimate import Estimate
from core.heat.laser_settings import LaserSettings
from core.heat.ledge_fin import ledge_length_scale_m
from core.part.patch import Patch

ALWAYS = (
    "Estimate; calibrate with the coupon.",
    "The sink lowers the layer-to-layer temperature of the ledge, not the melt pool of the first track over powder.",
    "The sink gives no hold-down against curl.",
)
LEDGE_M = 1e-3
"""Ledge thickness taken for the length scale, for want of a better one."""


def notes_for(
    patch: Patch,
    estimate: Estimate,
    *,
    gap_mm: float,
    laser: LaserSettings,
    calibrated: bool,
    metal_w_mk: float,
    sink_resistance_m2k_w: float,
    no_room: bool,
    highest_rise_k: float,
) -> tuple[str, ...]:
    """The notes of one estimate, the most pressing first. laser: of the first layers over the powder."""
    notes = []
    if no_room:
        notes.append(f"The patch lies nearer to the plate than a gap of {gap_mm:g} mm: no sink fits below it.")
    if patch.lowest_angle_deg < FLATTEST_DEG:
        notes.append(
            f"The face is as flat as {patch.lowest_angle_deg:.0f}°: expect trouble even with a sink. "
            "The one published gap study failed at 15° at every gap."
        )
    if patch.overhang_step_mm > laser.hatch_mm:
        step = "without end" if math.isinf(patch.overhang_step_mm) else f"{patch.overhang_step_mm:.2f} mm wide"
        notes.append(
            f"Each layer's step over powder is {step}, more than the hatch of {laser.hatch_mm:g} mm: "
            "whole tracks are laid on powder."
        )
    notes += _limit_notes(estimate, gap_mm)
    notes += _heat_notes(patch, estimate, metal_w_mk, sink_resistance_m2k_w, highest_rise_k)
    if laser.passes > 1:
        notes.append(f"The fuse limit counts one pass; {laser.passes} passes may melt deeper.")
    if calibrated:
        notes.append("Powder conductivity is a given or fitted value, taken as ±15 %.")
    else:
        notes.append("Powder conductivity comes from a model and is known to a factor, not a percent.")
    return (*notes, *ALWAYS)


def _limit_notes(estimate: Estimate, gap_mm: float) -> list[str]:
    fuse, heat = estimate.fuse_limit_mm, estimate.heat_limit_mm
    notes = []
    if gap_mm < fuse.nominal - 1e-9:
        notes.append(f"The gap of {gap_mm:.2f} mm is below the estimated fuse limit of {fuse.nominal:.2f} mm (±40 %).")
    if math.isinf(heat.nominal):
        notes.append("There is no heat limit: the rise stays below the allowed one even without a sink.")
    elif heat.nominal <= 0.0:
        notes.append("The allowed rise can't be reached: even a closed gap leaves more, as estimated.")
    elif gap_mm > heat.nominal:
        notes.append(f"The gap of {gap_mm:.2f} mm is above the estimated heat limit of {heat.nominal:.2f} mm.")
    return notes


def _heat_notes(
    patch: Patch, estimate: Estimate, metal_w_mk: float, sink_resistance_m2k_w: float, highest_rise_k: float
) -> list[str]:
    notes = []
    off_scale = [
        word
        for word, rise in (("with", estimate.rise_with_k), ("without", estimate.rise_without_k))
        if rise.nominal >= highest_rise_k
    ]
    if off_scale:
        notes.append(
            f"The rise {' and '.join(off_scale)} the sink is off the scale: above solidus. "
            "Heat going sideways into the part is left out."
        )
    if sink_resistance_m2k_w > 1.0 / estimate.conductance_w_m2k.nominal:
        notes.append("The sink's own metal resists more than the gap: more metal helps more than a narrower gap.")
    scale_m = ledge_length_scale_m(metal_w_mk, LEDGE_M, estimate.conductance_w_m2k.nominal)
    length_mm = ledge_length_mm(patch)
    if length_mm < scale_m * 1e3:
        notes.append(
            f"The ledge is about {length_mm:.1f} mm long, shorter than l = {scale_m * 1e3:.1f} mm (ledge 1 mm thick): "
            "the part itself carries the heat away and the sink gains little."
        )
    return notes


def ledge_length_mm(patch: Patch) -> float:
    """Length of the ledge in plan: the run of its slope, at most the side of a square of its plan area."""
    side = math.sqrt(max(patch.plan_area_mm2, 0.0))
    tangent = math.tan(math.radians(min(max(patch.mean_angle_deg, 0.0), 89.0)))
    run = (patch.z_max_mm - patch.z_min_mm) / tangent if tangent > 1e-3 else math.inf
    return min(side, run) if run > 0.0 else side
