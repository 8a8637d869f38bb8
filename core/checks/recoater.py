"""Do the sink's walls face the recoater blade all at once?"""

from collections.abc import Sequence

import numpy as np

from core.checks.finding import Change, Finding
from core.sink.sink import Sink
from core.units import FloatArray

PARALLEL_DEG = 5.0
"""Walls within this of the blade's direction are met along their whole length at once (common practice, no source)."""
ASIDE_DEG = 15.0
UPRIGHT_DEG = 80.0
"""Faces steeper than this count as walls."""
LARGE_SHARE = 0.35
"""Share of the wall area from which it is worth a word; the ends of walls lie across them and don't reach it."""


def parallel_share(sink: Sink, blade_deg: float = 90.0) -> tuple[float, FloatArray]:
    """Share of the sink's upright wall area that runs along the blade, and the middle (3,) of the largest such face.

    blade_deg: plan direction of the blade from the X axis; 90 is a blade along Y that travels along X.
    """
    corners = sink.vertices_mm[sink.triangles]
    cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    double = np.linalg.norm(cross, axis=1)
    wall = np.abs(cross[:, 2]) < np.cos(np.radians(UPRIGHT_DEG)) * double
    if not wall.any():
        return 0.0, corners[0].mean(axis=0)
    blade = np.array([np.cos(np.radians(blade_deg)), np.sin(np.radians(blade_deg))])
    level = np.linalg.norm(cross[wall, :2], axis=1)
    along = np.abs(cross[wall, :2] @ blade) <= np.sin(np.radians(PARALLEL_DEG)) * level
    area = np.where(along, double[wall], 0.0)
    return float(area.sum() / double[wall].sum()), np.asarray(corners[wall][np.argmax(area)].mean(axis=0))


def check_turned(sinks: Sequence[Sink]) -> Finding | None:
    """One note on all sinks whose walls were turned off the slope to keep off the blade; None where none was."""
    turned = [sink for sink in sinks if abs(sink.turned_deg) > 0.05]
    if not turned:
        return None
    upto = "up to " if len(turned) > 1 else ""
    most = max(abs(sink.turned_deg) for sink in turned)
    names = " and ".join(sink.name for sink in turned[:3]) + (" and others" if len(turned) > 3 else "")
    return Finding(
        check="recoater",
        level="note",
        text=f"The walls of {names} were turned by {upto}{most:.0f}° so that they don't run along the recoater blade.",
        remedy="Set the blade's direction if it differs from the job's, or the walls' own if they must run otherwise.",
        at_mm=turned[0].nearest_mm,
    )


def _aside(sink: Sink, blade_deg: float) -> tuple[Change, ...]:
    """Walls whose direction was set go to 15° off the blade, to the nearer side; others chose theirs for a reason."""
    set_deg = sink.choice.direction_deg
    if set_deg is None or sink.choice.kind not in ("fins", "plate"):
        return ()
    off = (set_deg - blade_deg + 90.0) % 180.0 - 90.0
    direction_deg = (blade_deg + (ASIDE_DEG if off >= 0 else -ASIDE_DEG)) % 180.0
    return (Change(values=(("sink.direction_deg", round(direction_deg, 6)),), patches=sink.patches),)


def check_recoater(sink: Sink, blade_deg: float = 90.0) -> Finding:
    """A note when much of the wall area runs along the blade."""
    share, (x, y, z) = parallel_share(sink, blade_deg)
    if share <= LARGE_SHARE:
        text = f"Only {share:.0%} of {sink.name}'s wall area runs along the recoater blade."
        return Finding(check="recoater", level="ok", text=text)
    return Finding(
        check="recoater",
        level="note",
        text=f"{share:.0%} of {sink.name}'s wall area runs along the recoater blade, which may catch on it.",
        remedy=f"Turn the {'part' if sink.turned_deg else 'walls or the part'} by 5° to 15° about the vertical.",
        changes=_aside(sink, blade_deg),
        at_mm=(float(x), float(y), float(z)),
    )
