"""Can the sink leave the part once both are cut from the plate?"""

import numpy as np

from core.checks.finding import Finding
from core.part.part import Part
from core.part.triangle_tree import TriangleTree
from core.sink.sink import Sink


def check_removal(part_tree: TriangleTree, part: Part, sink: Sink) -> Finding:
    """Straight down, away from the part, as a body that rose from the plate should be able to.

    Looks up from below the plate along the vertical through every corner and triangle centre of the sink: no
    part surface may lie below the sink there.
    """
    corners = sink.vertices_mm[sink.triangles]
    points = np.concatenate([sink.vertices_mm, corners.mean(axis=1)])
    start = points.copy()
    start[:, 2] = min(0.0, float(part.low_mm[2])) - 1.0
    height, _ = part_tree.first_above(start)
    caught = height < points[:, 2]
    if not caught.any():
        text = f"{sink.name} comes off straight down once part and sink are cut from the plate."
        return Finding(check="removal", level="ok", text=text)
    x, y, z = points[np.argmax(caught)]
    return Finding(
        check="removal",
        level="stop",
        text=f"{sink.name} can't be taken off downwards: the part reaches below it.",
        remedy="Leave out the faces above the place shown, or turn the part.",
        at_mm=(float(x), float(y), float(z)),
    )
