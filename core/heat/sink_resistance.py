"""What the sink itself resists: closed top, roofs over the bays, legs, one after the other down to the plate."""

import math

import numpy as np

from core.sink.sink_choice import SinkChoice
from core.units import m_from_mm

LEAST_DOOR_M = 0.8e-3
"""Bays with a lower door aren't cut (as in core.sink.bays), the sink stays solid there."""
_LEVELS = (np.arange(64) + 0.5) / 64.0


def leg_share(sink: SinkChoice) -> float:
    """Metal share in plan below the roofs: 1 for a block, else wall over pitch."""
    return sink.fin_thickness_mm / sink.wall_pitch_mm if sink.wall_pitch_mm else 1.0


def sink_resistance_m2k_w(sink: SinkChoice, height_m: float, metal_w_mk: float, powder_w_mk: float) -> float:
    """Resistance of the sink from its top to the plate, per plan area, powder in the bays conducting beside the metal.

    Layer on layer, each level at one temperature; to that comes the gathering: heat that lands over a bay runs
    sideways through a top that thickens like its roofs, q/(k tan b) (L - s/tan b ln(1 + L tan b/s)), L half the
    bay's width, s the skin, b the roof angle. Derived here; a slight overestimate, as the two overlap.
    """
    if height_m <= 0.0:
        return 0.0
    half_bay_m = m_from_mm(max(0.0, sink.wall_pitch_mm - sink.fin_thickness_mm)) / 2.0
    slope = math.tan(math.radians(sink.roof_deg))
    skin_m, roof_m = m_from_mm(sink.skin_mm), half_bay_m * slope
    legs_m = height_m - skin_m - roof_m
    if half_bay_m == 0.0 or legs_m < LEAST_DOOR_M:
        return height_m / metal_w_mk
    share = leg_share(sink)
    roof_share = share + (1.0 - share) * _LEVELS
    roofs = roof_m * float(np.mean(1.0 / (roof_share * metal_w_mk + (1.0 - roof_share) * powder_w_mk)))
    legs = legs_m / (share * metal_w_mk + (1.0 - share) * powder_w_mk)
    gather = (half_bay_m - skin_m / slope * math.log(1.0 + roof_m / skin_m)) / (metal_w_mk * slope)
    return skin_m / metal_w_mk + gather + roofs + legs
