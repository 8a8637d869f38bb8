"""Does the sink carry itself while it is built?"""

import numpy as np

from core.checks.finding import Finding, block_instead
from core.sink.sink import Sink

LIMIT_DEG = 45.0
"""Faces steeper than this build without help (common practice, no source; VDI 3405 part 3 from memory)."""
LEAST_AREA_MM2 = 0.01


def low_area_mm2(sink: Sink) -> tuple[float, int]:
    """Area of the sink's own low-angle faces off the plate, and the largest such triangle (-1 for none)."""
    corners = sink.vertices_mm[sink.triangles]
    cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    double = np.linalg.norm(cross, axis=1)
    down = -cross[:, 2] > np.cos(np.radians(LIMIT_DEG - 0.5)) * double
    hanging = down & (corners[:, :, 2].max(axis=1) > 1e-3)
    if not hanging.any():
        return 0.0, -1
    area = np.where(hanging, double / 2, 0.0)
    return float(area.sum()), int(np.argmax(area))


def check_self_support(sink: Sink) -> Finding:
    """The sink's own downskin below the self-supporting angle, the foot on the plate left out."""
    area, worst = low_area_mm2(sink)
    if area <= LEAST_AREA_MM2:
        text = f"{sink.name} carries itself: none of it hangs flatter than {LIMIT_DEG:g}°."
        return Finding(check="self-support", level="ok", text=text)
    x, y, z = sink.vertices_mm[sink.triangles[worst]].mean(axis=0)
    return Finding(
        check="self-support",
        level="stop",
        text=f"{sink.name} has {area:.2f} mm² that hang flatter than {LIMIT_DEG:g}°.",
        remedy="Choose a block, or a steeper roof between the fins.",
        changes=block_instead(sink.kind, sink.patches),
        at_mm=(float(x), float(y), float(z)),
    )
