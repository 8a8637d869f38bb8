"""Which way walls may run in plan so that the recoater blade doesn't meet a whole wall at once."""

NEAR_DEG = 10.0
"""Walls within this of the blade's direction are turned (common practice, no source)."""
CLEAR_DEG = 15.0
"""How far from the blade turned walls end up; parts, too, are set 5° to 15° off the blade (common practice)."""


def ways_off_blade(direction_deg: float, blade_deg: float) -> tuple[float, ...]:
    """Directions 15° to either side of the blade, the nearer first, for walls within 10° of it; none for others.

    All are plan directions of lines, from the X axis in degrees, so 10 and 190 are the same. Walls exactly along
    the blade are turned counter-clockwise first.
    """
    apart = (direction_deg - blade_deg + 90.0) % 180.0 - 90.0
    if abs(apart) >= NEAR_DEG:
        return ()
    side = CLEAR_DEG if apart >= 0 else -CLEAR_DEG
    return direction_deg - apart + side, direction_deg - apart - side
