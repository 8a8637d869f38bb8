"""Which way walls may run in plan so that the recoater blade doesn't meet a whole wall at once."""

NEAR_DEG = 10.0
"""Walls within this of the blade's direction are turned (common practice, no source)."""
CLEAR_DEG = 15.0
"""How far from the blade turned walls end up; parts, too, are set 5° to 15° off the blade (common practice)."""


def turned_from_blade(direction_deg: float, blade_deg: float) -> float:
    """The direction of walls, or, where that lies within 10° of the blade, the nearest one 15° away from it.

    Both are plan directions of lines, from the X axis in degrees, so 10 and 190 are the same. A turn is at most 15°;
    walls exactly along the blade are turned counter-clockwise.
    """
    apart = (direction_deg - blade_deg + 90.0) % 180.0 - 90.0
    if abs(apart) >= NEAR_DEG:
        return direction_deg
    return direction_deg - apart + (CLEAR_DEG if apart >= 0 else -CLEAR_DEG)
