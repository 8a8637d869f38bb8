"""Sort faces picked together into levels that no column crosses twice; each level gets sinks of its own."""

import numpy as np
import shapely

from core.part.face_neighbours import face_neighbours
from core.part.part import Part, face_mask
from core.part.patches import connected_faces
from core.sink.footprint import plan_outline
from core.units import IntArray


def levels(part: Part, faces: IntArray, gap_mm: float) -> list[IntArray]:
    """The faces in one or more sets, the lowest first, so that connected pieces of a set don't lie above each other.

    Pieces whose plan outlines overlap by no more than a gap's width count as side by side and get one sink.
    """
    group, count = connected_faces(face_neighbours(part).across, face_mask(part.n_faces, faces))
    if count == 1:
        return [faces]
    of = group[faces]
    pieces = [faces[of == k] for k in range(count)]
    pieces.sort(key=lambda piece: float(part.corners_mm[piece, :, 2].min()))
    outlines = [plan_outline(part, piece) for piece in pieces]
    tree = shapely.STRtree(outlines)
    level = np.zeros(count, dtype=int)
    for k, outline in enumerate(outlines):
        below = [j for j in tree.query(outline, predicate="intersects").tolist() if j < k]
        taken = {
            int(level[j]) for j in below
            if not shapely.intersection(outlines[j], outline).buffer(-gap_mm / 2).is_empty
        }  # fmt: skip
        level[k] = next(free for free in range(count) if free not in taken)
    return [
        np.sort(np.concatenate([piece for piece, own in zip(pieces, level, strict=True) if own == k]))
        for k in range(int(level.max()) + 1)
    ]
