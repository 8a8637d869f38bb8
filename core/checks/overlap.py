"""Do sink and part share any volume? Surfaces that don't cross leave only one way: one lies inside the other."""

import numpy as np

from core.checks.finding import Finding
from core.part.bodies import number_shells
from core.part.face_neighbours import edge_mates
from core.part.part import Part
from core.part.triangle_tree import TriangleTree
from core.sink.sink import Sink
from core.units import FloatArray, IntArray

ASKED = 25
"""Corners asked per body; all must agree, but a ray that grazes an edge may answer wrongly, so the most win."""


def check_overlap(part_tree: TriangleTree, part: Part, sink: Sink) -> Finding:
    """A stop when the solids share volume; part_tree holds the part's triangles.

    The clearance is exact, so surfaces that cross have none. Else a solid either lies wholly inside the other or
    wholly outside, which is asked of some corners of the sink and of each shell of the part.
    """
    corners = sink.vertices_mm[sink.triangles]
    swallowed = sink.min_clearance_mm <= 0 or lies_inside(part_tree, part.normals, sink.vertices_mm)
    if not swallowed:
        crosses = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        tree = TriangleTree.of(corners)
        box = sink.vertices_mm.min(axis=0), sink.vertices_mm.max(axis=0)
        swallowed = any(lies_inside(tree, crosses, shell) for shell in shells_within(part, *box))
    if swallowed:
        return Finding(
            check="overlap",
            level="stop",
            text=f"{sink.name} and the part share volume.",
            remedy="Build the sink again; if this stays, leave out the faces beside the place shown.",
            at_mm=sink.nearest_mm,
        )
    return Finding(check="overlap", level="ok", text=f"{sink.name} and the part share no volume (0 mm³).")


def shells_within(part: Part, low_mm: FloatArray, high_mm: FloatArray) -> list[FloatArray]:
    """Corners of every shell of the part that lies within a solid's box; others can't be inside that solid."""
    mate, _, _ = edge_mates(part.triangles, len(part.vertices_mm))
    shell = number_shells(part.triangles, mate)
    n = int(shell.max()) + 1
    low, high = np.full((n, 3), np.inf), np.full((n, 3), -np.inf)
    np.minimum.at(low, shell, part.boxes_mm[0])
    np.maximum.at(high, shell, part.boxes_mm[1])
    within = (low >= low_mm).all(axis=1) & (high <= high_mm).all(axis=1)
    return [part.vertices_mm[np.unique(part.triangles[shell == k])] for k in np.flatnonzero(within)]


def lies_inside(tree: TriangleTree, looks: FloatArray, points_mm: FloatArray) -> bool:
    """True where the first face above most of some points looks up, so that they lie in the tree's solid.

    looks: (n_faces, 3) outward directions of the tree's triangles. points_mm: (n, 3), of a surface that doesn't cross
    the solid's.
    """
    picked: IntArray = np.linspace(0, len(points_mm) - 1, min(ASKED, len(points_mm))).astype(int)
    height, face = tree.first_above(points_mm[picked])
    inside = np.isfinite(height) & (looks[face, 2] > 0)
    return bool(2 * inside.sum() > len(inside))
