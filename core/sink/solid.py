"""Solids between manifold3d and plain arrays, and the gate every sink passes before it may be written."""

import manifold3d as m3d
import numpy as np

from core.refusal import Refusal
from core.units import FloatArray, IntArray


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


def gated(solid: m3d.Manifold) -> tuple[FloatArray, IntArray]:
    """Vertices and triangles that survive being written as float32 and welded again.

    Rounds to float32, welds equal corners, drops triangles that collapsed, rebuilds the solid, simplifies by
    1 µm, and repeats until nothing collapses any more. Raises Refusal when four rounds don't settle it.
    """
    vertices, triangles = to_arrays(solid)
    for _ in range(4):
        vertices, triangles = _rounded(vertices, triangles)
        again = to_manifold(vertices, triangles)
        if again.status() != m3d.Error.NoError or again.is_empty():
            break
        settled = len(triangles)
        simpler = again.simplify(1e-3)
        if simpler.is_empty():
            break
        vertices, triangles = _rounded(*to_arrays(simpler))
        final = to_manifold(vertices, triangles)
        if final.status() == m3d.Error.NoError and closed(triangles) and final.num_tri() == len(triangles):
            return vertices, triangles
        if settled == 0:
            break
    raise Refusal("The sink can't be written as a clean solid; change the margin, the gap or the fin pitch a little.")


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
