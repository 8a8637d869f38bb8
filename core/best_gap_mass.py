"""What a sink weighs before it is built, and which others are tried in its place."""

import math
from collections.abc import Iterator
from dataclasses import replace

from core.gap.gap_window import vertical_gap_mm
from core.heat.sink_resistance import LEAST_DOOR_M, leg_share
from core.part.patch import Patch
from core.sink.sink_choice import SinkChoice

PITCHES_MM = (6.0, 8.0)
THICKNESSES_MM = (1.0, 0.8)
"""Tried beside the job's own; 0.8 mm is the least wall that service bureaus advise above 10 mm of height."""
SLENDEREST = 15.0
"""Height over thickness of a wall at most (common practice, no source)."""


def sink_mass_g(sink: SinkChoice, patch: Patch, gap_mm: float, density_kg_m3: float) -> float:
    """Estimate before anything is built: plan area times the metal in a column of the mean height, times density.

    Skin, roofs (half full between the legs) and legs, as in core.heat.sink_resistance; margin, necks and drains are
    left out. An edge sink is its width times the lowest edge, at most the patch.
    """
    height_mm = max(_height_mm(patch, gap_mm), 0.0)
    area_mm2 = patch.plan_area_mm2
    if sink.kind == "edge" and patch.lowest_edge_mm > 0:
        area_mm2 = min(area_mm2, sink.edge_width_mm * patch.lowest_edge_mm)
    roof_mm = max(sink.wall_pitch_mm - sink.fin_thickness_mm, 0.0) / 2 * math.tan(math.radians(sink.roof_deg))
    legs_mm = height_mm - sink.skin_mm - roof_mm
    metal_mm = height_mm
    if roof_mm > 0.0 and legs_mm >= LEAST_DOOR_M * 1e3:
        share = leg_share(sink)
        foot_mm = min(sink.foot_mm, legs_mm)
        metal_mm = sink.skin_mm + (1 + share) / 2 * roof_mm + share * legs_mm + (1 - share) * foot_mm
    return density_kg_m3 * 1e-6 * area_mm2 * metal_mm


def sinks_to_try(own: SinkChoice, patch: Patch, gap_mm: float) -> Iterator[SinkChoice]:
    """The job's own, a few lighter ones that can be built, and a block for want of heat; an edge sink stays one."""
    yield own
    if own.kind == "edge":
        return
    height_mm = _height_mm(patch, gap_mm)
    for kind in ("fins", "plate"):
        for pitch_mm in (own.fin_pitch_mm, *(p for p in PITCHES_MM if p > own.fin_pitch_mm)):
            for wall_mm in (own.fin_thickness_mm, *(t for t in THICKNESSES_MM if t < own.fin_thickness_mm)):
                slender = wall_mm < own.fin_thickness_mm and height_mm > SLENDEREST * wall_mm
                if not slender and not (own.neck_mm and own.neck_mm > wall_mm):
                    yield replace(own, kind=kind, fin_pitch_mm=pitch_mm, fin_thickness_mm=wall_mm)
    yield replace(own, kind="block")


def _height_mm(patch: Patch, gap_mm: float) -> float:
    """Of the sink below the middle of the patch, as the estimate takes it."""
    return patch.centre_mm[2] - vertical_gap_mm(gap_mm, min(patch.mean_angle_deg, 80.0))
