"""Solids as read from a file, and the libraries that measure them: python-fcl, manifold3d, VTK, trimesh."""

from dataclasses import dataclass
from pathlib import Path

import fcl
import manifold3d as m3d
import numpy as np
import trimesh
from vtkmodules.util.numpy_support import numpy_to_vtk, numpy_to_vtkIdTypeArray
from vtkmodules.vtkCommonCore import mutable, vtkPoints
from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkGenericCell, vtkPolyData, vtkStaticCellLocator

from core.export.write_stl import write_stl
from core.sink.sink import Sink
from core.units import BoolArray, FloatArray, IntArray
from tests.fcl_object import fcl_object

SAMPLES = 3000


@dataclass(frozen=True, kw_only=True, eq=False)
class Solid:
    """Triangles as read: vertices_mm (n, 3) float64, triangles (m, 3)."""

    vertices_mm: FloatArray
    triangles: IntArray

    @property
    def manifold(self) -> m3d.Manifold:
        return m3d.Manifold(
            m3d.Mesh64(np.ascontiguousarray(self.vertices_mm), np.ascontiguousarray(self.triangles, dtype=np.uint64))
        )


class Locator:
    """Nearest points on a set of triangles, by VTK."""

    def __init__(self, vertices_mm: FloatArray, triangles: IntArray) -> None:
        self._points = np.ascontiguousarray(vertices_mm, dtype=np.float64)
        points = vtkPoints()
        points.SetDataTypeToDouble()
        points.SetData(numpy_to_vtk(self._points, deep=True))
        cells = vtkCellArray()
        offsets = np.arange(0, 3 * len(triangles) + 1, 3, dtype=np.int64)
        cells.SetData(
            numpy_to_vtkIdTypeArray(offsets, deep=True),
            numpy_to_vtkIdTypeArray(np.ascontiguousarray(triangles, dtype=np.int64).ravel(), deep=True),
        )
        self._surface = vtkPolyData()
        self._surface.SetPoints(points)
        self._surface.SetPolys(cells)
        self._locator = vtkStaticCellLocator()
        self._locator.SetDataSet(self._surface)
        self._locator.BuildLocator()

    def distance_mm(self, points_mm: FloatArray) -> FloatArray:
        """(n,) distances of points (n, 3)."""
        cell, at = vtkGenericCell(), [0.0, 0.0, 0.0]
        which, inside, square = mutable(0), mutable(0), mutable(0.0)
        found = np.empty(len(points_mm))
        for i, point in enumerate(points_mm.tolist()):
            self._locator.FindClosestPoint(point, at, cell, which, inside, square)
            found[i] = square.get()
        return np.sqrt(found)

    def clear_below(self, points_mm: FloatArray, down: FloatArray) -> BoolArray:
        """(n,) True where a line down to z = 0, moving by `down` per mm, meets no triangle."""
        clear = np.empty(len(points_mm), dtype=bool)
        share, at, local = mutable(0.0), [0.0, 0.0, 0.0], [0.0, 0.0, 0.0]
        which, cell = mutable(0), mutable(0)
        dx, dy, _ = down.tolist()
        for i, (x, y, z) in enumerate(points_mm.tolist()):
            hit = self._locator.IntersectWithLine(
                (x, y, z), (x + z * dx, y + z * dy, 0.0), 1e-9, share, at, local, which, cell
            )
            clear[i] = hit == 0
        return clear


def reread(sink: Sink, folder: Path) -> tuple[Solid, trimesh.Trimesh]:
    """The sink written as STL and read by trimesh, corners of equal coordinates joined."""
    path = write_stl(folder / f"{sink.name.replace(' ', '-')}.stl", sink.vertices_mm, sink.triangles)
    mesh = trimesh.load_mesh(path, process=False)
    mesh.merge_vertices(digits_vertex=12)
    return Solid(vertices_mm=np.asarray(mesh.vertices, dtype=np.float64), triangles=np.asarray(mesh.faces)), mesh


def fcl_distance_mm(first: Solid, second: Solid) -> float:
    """Least distance of two triangle sets by python-fcl; 0 when they cross."""
    objects = [fcl_object(solid.vertices_mm, solid.triangles) for solid in (first, second)]
    if fcl.collide(*objects, fcl.CollisionRequest(), fcl.CollisionResult()):
        return 0.0
    return max(0.0, float(fcl.distance(*objects, fcl.DistanceRequest(), fcl.DistanceResult())))


def spread_points(solid: Solid, faces: IntArray, n: int = SAMPLES) -> tuple[FloatArray, FloatArray]:
    """(n, 3) random points spread evenly over faces, one per equal slice of the area, and their faces' normals."""
    corners = solid.vertices_mm[solid.triangles[faces]]
    cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    double = np.linalg.norm(cross, axis=1)
    edges = np.cumsum(double)
    rng = np.random.default_rng(5)
    pick = np.minimum(np.searchsorted(edges, (np.arange(n) + rng.random(n)) / n * edges[-1]), len(faces) - 1)
    s, t = np.sqrt(rng.random(n)), rng.random(n)
    weights = np.stack([1 - s, s * (1 - t), s * t], axis=1)
    return np.einsum("nk,nkd->nd", weights, corners[pick]), cross[pick] / double[pick, None]
