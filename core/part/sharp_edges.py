"""The sharp edges of a mesh, which are drawn as lines over it."""

import numpy as np

from core.part.face_neighbours import OPEN, face_neighbours
from core.part.part import Part
from core.units import FloatArray

SHARP_DEG = 30.0


def sharp_edges_mm(part: Part) -> FloatArray:
    """(k, 2, 3) ends of the edges where two faces meet at more than SHARP_DEG, and of the open ones.

    Edges at which more than two faces meet are left out.
    """
    across, triangles, normals = face_neighbours(part).across, part.triangles, part.normals
    face, corner = np.nonzero(across > np.arange(len(across))[:, None])
    cosine = np.einsum("ij,ij->i", normals[face], normals[across[face, corner]])
    sharp = across == OPEN
    sharp[face, corner] = cosine < np.cos(np.radians(SHARP_DEG))
    return np.asarray(part.vertices_mm[np.stack([triangles, np.roll(triangles, -1, axis=1)], axis=2)[sharp]])
