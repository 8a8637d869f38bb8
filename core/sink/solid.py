"""Solids between manifold3d and plain arrays, and the gate every sink passes before it may be written."""

import manifold3d as m3d
import numpy as np

from core.refusal import Refusal
from core.units import FloatArray, IntArray

SIMPLER_MM = 1e-3
"""Welded solids are simplified by this much."""
COLLAPSES_MM = 1e-4
"""Shorter edges may collapse as float32, whose steps are 0.03 µm at 500 mm."""
TRIES = 4
FOLDED_MM2 = 0.005
"""Simplifying may not turn more than this to look down."""
NOTCH_MM = 0.02
"""Half the width of a notch that parts surfaces which touch along a line; far below what is built."""


def to_manifold(vertices_mm: FloatArray, triangles: IntArray) -> m3d.Manifold:
    """A manifold3d solid in double precision from vertices (n, 3) and triangles (m, 3)."""
    return m3d.Manifold(
        m3d.Mesh64(
            np.ascontiguousarray(vertices_mm, dtype=np.float64), np.ascontiguousarray(triangles, dtype=np.uint64)
        )
    )


def to_arrays(solid: m3d.Manifold) -> tuple[FloatArray, IntArray]:
    """Vertices (n, 3) float64 and triangles (m, 3) int32 of a solid."""
    mesh = solid.to_mesh64()
    return np.asarray(mesh.vert_properties)[:, :3].copy(), np.asarray(mesh.tri_verts).astype(np.int32)


def gated(solid: m3d.Manifold) -> tuple[FloatArray, IntArray, list[m3d.Manifold]]:
    """Vertices and triangles of one body that survive being written as float32 and welded again; what was parted.

    Where the welded surface touches itself along an edge, a slim notch parts it there and the largest piece goes
    on; where simplifying folded a face over, less is simplified. Tried at most TRIES times; raises Refusal when that
    doesn't settle it.
    """
    apart: list[m3d.Manifold] = []
    simpler_mm, hung = SIMPLER_MM, hanging_mm2(*to_arrays(solid))
    for _ in range(TRIES):
        settled, vertices, triangles = _settled(solid, simpler_mm)
        if settled.status() == m3d.Error.NoError and settled.num_tri() == len(triangles) and closed(triangles):
            if hanging_mm2(vertices, triangles) <= hung + FOLDED_MM2:
                return vertices, triangles, apart
            simpler_mm *= 0.1
            continue
        pieces = _parted(solid if settled.is_empty() else settled, vertices[pinched(triangles)])
        if not pieces:
            break
        *others, solid = sorted(pieces, key=lambda piece: piece.volume())
        apart += others
    raise Refusal("The sink can't be written as a clean solid; change the margin, the gap or the fin pitch a little.")


def _settled(solid: m3d.Manifold, simpler_mm: float) -> tuple[m3d.Manifold, FloatArray, IntArray]:
    """The solid rounded to float32, welded, rid of collapsed triangles and simplified, until it stays so."""
    # edges that rounding would collapse go first, in double precision, where that can't fold anything over
    slim = solid.simplify(COLLAPSES_MM)
    vertices, triangles = _rounded(*to_arrays(solid if slim.is_empty() else slim))
    for _ in range(4):
        again = to_manifold(vertices, triangles)
        if again.status() != m3d.Error.NoError or again.is_empty():
            return m3d.Manifold(), vertices, triangles
        simpler = again.simplify(simpler_mm)
        vertices, triangles = _rounded(*to_arrays(simpler if not simpler.is_empty() else again))
        final = to_manifold(vertices, triangles)
        if closed(triangles) and final.num_tri() == len(triangles):
            break
    return final, vertices, triangles


def hanging_mm2(vertices_mm: FloatArray, triangles: IntArray) -> float:
    """Area of what looks down flatter than 44.5° and isn't on the plate."""
    corners = vertices_mm[triangles]
    cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    double = np.linalg.norm(cross, axis=1)
    hangs = (-cross[:, 2] > np.cos(np.radians(44.5)) * double) & (corners[:, :, 2].max(axis=1) > 1e-3)
    return float(double[hangs].sum() / 2)


def pinched(triangles: IntArray) -> IntArray:
    """(k, 2) vertex numbers of edges that don't have just two of the triangles (m, 3) beside them."""
    sides = np.stack([triangles, np.roll(triangles, -1, axis=1)], axis=2).astype(np.int64)
    edges = np.sort(sides.reshape(-1, 2), axis=1)
    code = edges @ np.array([int(triangles.max()) + 1 if len(triangles) else 1, 1])
    _, first, count = np.unique(code, return_index=True, return_counts=True)
    return np.asarray(edges[first[count != 2]])


def _parted(solid: m3d.Manifold, lines_mm: FloatArray) -> list[m3d.Manifold]:
    """The pieces of a solid once notches are cut along lines (k, 2, 3); a notch's own roofs are 60° steep."""
    turns = 0.3 + np.arange(5) * 2 * np.pi / 5
    ring = np.column_stack([np.cos(turns), np.sin(turns), np.zeros(5)])
    spindle = NOTCH_MM * np.concatenate([ring, [[0.0, 0.0, 2.0], [0.0, 0.0, -2.0]]])
    notches = [m3d.Manifold.hull_points((line[:, None] + spindle).reshape(-1, 3)) for line in lines_mm]
    if notches:
        solid = solid - m3d.Manifold.batch_boolean(notches, m3d.OpType.Add)
    return solid.decompose()


def _rounded(vertices: FloatArray, triangles: IntArray) -> tuple[FloatArray, IntArray]:
    single = vertices.astype(np.float32) + np.float32(0)  # turns -0 into 0
    unique, number = np.unique(single.view([("", np.float32)] * 3).ravel(), return_inverse=True)
    triangles = number[triangles]
    a, b, c = triangles.T
    kept = triangles[(a != b) & (b != c) & (c != a)]
    used, renumbered = np.unique(kept, return_inverse=True)
    welded = unique.view(np.float32).reshape(-1, 3)[used].astype(np.float64)
    return welded, renumbered.reshape(-1, 3).astype(np.int32)


def closed(triangles: IntArray) -> bool:
    """True when every directed edge is met exactly once by its reverse: watertight, oriented, 2-manifold in edges."""
    start = triangles.astype(np.int64)
    end = np.roll(start, -1, axis=1)
    n = int(triangles.max()) + 1 if len(triangles) else 1
    there, back = np.sort((start * n + end).ravel()), np.sort((end * n + start).ravel())
    return bool(len(there) and np.array_equal(there, back) and (np.diff(there) > 0).all())


def volume_mm3(vertices_mm: FloatArray, triangles: IntArray) -> float:
    """Volume by the divergence theorem."""
    a, b, c = (vertices_mm[triangles[:, i]] - vertices_mm.mean(axis=0) for i in range(3))
    return float(np.einsum("ij,ij->", np.cross(a, b), c) / 6)
