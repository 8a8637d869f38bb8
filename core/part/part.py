"""A part as the rest of the program sees it: triangles in mm, with what is known of its health."""

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from core.units import BoolArray, FloatArray, IntArray


@dataclass(frozen=True, kw_only=True)
class MeshHealth:
    """What is wrong with a mesh, in numbers; `buildable` is False when no sink may be built on it."""

    open_edges: int = 0
    nonmanifold_edges: int = 0
    flipped_faces: int = 0
    duplicate_faces: int = 0
    degenerate_faces: int = 0
    self_crossings: int = 0
    bodies: int = 1
    repaired: tuple[str, ...] = ()
    """Sentences on what was repaired while reading."""
    problems: tuple[str, ...] = ()
    """Sentences on what is still wrong; empty when the part can be built on."""

    @property
    def watertight(self) -> bool:
        """True when every edge joins two faces and no face cuts another."""
        return not (self.open_edges or self.nonmanifold_edges or self.self_crossings)

    @property
    def buildable(self) -> bool:
        return not self.problems


@dataclass(frozen=True, kw_only=True)
class PartBody:
    """One of several parts put together on one plate: its name, and where its triangles and vertices begin.

    shift_mm: how far it was moved in x and y from where its file, once turned, has it.
    """

    name: str
    first_face: int
    first_vertex: int
    shift_mm: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, kw_only=True, eq=False)
class Part:
    """The body the customer wants, in mm; z points away from the build plate.

    vertices_mm: (n_vertices, 3) float64. triangles: (n_faces, 3) int32, outward by the right-hand rule.
    brep_face: (n_faces,) int32 number of the STEP face each triangle came from, or None.
    open_edge_points_mm: (n, 2, 3) ends of the open edges, to be shown.
    """

    name: str
    file_format: str
    units: str
    vertices_mm: FloatArray
    triangles: IntArray
    brep_face: IntArray | None = None
    health: MeshHealth = MeshHealth()
    open_edge_points_mm: FloatArray = field(default_factory=lambda: np.zeros((0, 2, 3)))
    warnings: tuple[str, ...] = ()
    bodies: tuple[PartBody, ...] = ()
    """The parts put together on one plate, in order; empty for a part alone."""

    @cached_property
    def corners_mm(self) -> FloatArray:
        """(n_faces, 3, 3) the three corners of every triangle."""
        return np.asarray(self.vertices_mm[self.triangles])

    @cached_property
    def boxes_mm(self) -> FloatArray:
        """(2, n_faces, 3) low and high corners of every triangle's box."""
        a, b, c = (self.corners_mm[:, i] for i in range(3))
        return np.stack([np.minimum(np.minimum(a, b), c), np.maximum(np.maximum(a, b), c)])

    @cached_property
    def _cross_mm2(self) -> FloatArray:
        a, b, c = (self.vertices_mm[self.triangles[:, i]] for i in range(3))
        return np.asarray(np.cross(b - a, c - a))

    @cached_property
    def areas_mm2(self) -> FloatArray:
        """(n_faces,) triangle areas."""
        return np.asarray(0.5 * np.linalg.norm(self._cross_mm2, axis=1))

    @cached_property
    def normals(self) -> FloatArray:
        """(n_faces, 3) outward unit normals; zero for a triangle without area."""
        length = np.linalg.norm(self._cross_mm2, axis=1, keepdims=True)
        return np.asarray(self._cross_mm2 / np.where(length > 0, length, 1.0))

    @cached_property
    def volume_mm3(self) -> float:
        """Enclosed volume by the divergence theorem; meaningless for an open mesh."""
        a, b, c = (self.vertices_mm[self.triangles[:, i]] - self.low_mm for i in range(3))
        return float(np.einsum("ij,ij->", np.cross(a, b), c) / 6.0)

    @cached_property
    def low_mm(self) -> FloatArray:
        """(3,) lower corner of the bounding box."""
        return np.asarray(self.vertices_mm.min(axis=0))

    @cached_property
    def high_mm(self) -> FloatArray:
        """(3,) upper corner of the bounding box."""
        return np.asarray(self.vertices_mm.max(axis=0))

    @property
    def size_mm(self) -> FloatArray:
        """(3,) edge lengths of the bounding box."""
        return self.high_mm - self.low_mm

    @property
    def n_faces(self) -> int:
        return len(self.triangles)


def face_mask(n_faces: int, faces: IntArray) -> BoolArray:
    """(n_faces,) True at the given face numbers."""
    mask = np.zeros(n_faces, dtype=bool)
    mask[faces] = True
    return mask
