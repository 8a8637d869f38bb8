"""The sharp edges of a mesh, which are drawn as lines over it."""

import numpy as np

from core.part.face_neighbours import OPEN, edge_mates
from core.units import FloatArray, IntArray

SHARP_DEG = 30.0


def sharp_edges_mm(vertices_mm: FloatArray, triangles: IntArray) -> FloatArray:
    """(k, 2, 3) ends of the edges where two faces meet at more than SHARP_DEG, and of the open ones.

    vertices_mm: (n, 3); triangles: (m, 3) int32. Edges at which more than two faces meet are left out.
    """
    mate = edge_mates(np.ascontiguousarray(triangles, dtype=np.int32), len(vertices_mm))[0]
    a, b, c = (vertices_mm[triangles[:, i]] for i in range(3))
    cross = np.cross(b - a, c - a)
    length = np.linalg.norm(cross, axis=1, keepdims=True)
    normals = cross / np.where(length > 0, length, 1.0)
    edge = np.flatnonzero(mate > np.arange(len(mate)))
    cosine = np.einsum("ij,ij->i", normals[edge // 3], normals[mate[edge] // 3])
    sharp = np.concatenate([edge[cosine < np.cos(np.radians(SHARP_DEG))], np.flatnonzero(mate == OPEN)])
    face, corner = sharp // 3, sharp % 3
    return np.asarray(vertices_mm[np.stack([triangles[face, corner], triangles[face, (corner + 1) % 3]], axis=1)])
