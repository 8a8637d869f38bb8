"""Can the powder leave the gap and the bays?"""

from core.checks.finding import Finding

JAM_GRAINS = 5.0
"""Slots narrower than 3 to 6 D90 jam without vibration (common practice, no source); the middle is taken."""


def check_powder_in_gap(gap_mm: float, d90_um: float) -> Finding:
    """Gap against the coarse end of the powder."""
    grains = gap_mm * 1e3 / d90_um
    if grains >= JAM_GRAINS:
        text = f"The gap is {grains:.1f} times D90 ({d90_um:g} µm), so its powder can run out."
        return Finding(check="powder escape", level="ok", text=text)
    return Finding(
        check="powder escape",
        level="note",
        text=f"The gap is only {grains:.1f} times D90 ({d90_um:g} µm); powder may stay in it until the sink is off.",
        remedy="Take the sink off before cleaning, under the precautions for loose powder, or widen the gap.",
    )
