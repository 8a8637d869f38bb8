"""Meshes of arrays, and a rough stand-in for a large one; made with VTK alone, as pyvista takes as long to load."""

import numpy as np
from vtkmodules.util.numpy_support import numpy_to_vtk, vtk_to_numpy
from vtkmodules.vtkCommonCore import vtkPoints
from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkPolyData
from vtkmodules.vtkFiltersCore import vtkBinnedDecimation

from core.units import FloatArray, IntArray

COARSE_CELLS = 70
"""Boxes along the longest side into which the stand-in for a large part gathers its points."""


def _points(points_mm: FloatArray) -> vtkPoints:
    made = vtkPoints()
    made.SetData(numpy_to_vtk(np.array(points_mm, dtype=np.float32).reshape(-1, 3)))  # type: ignore[no-untyped-call]
    return made


def _cells(corners: IntArray) -> vtkCellArray:
    """corners: (n, k) point numbers of n cells with k corners each."""
    made = vtkCellArray()
    made.SetData(corners.shape[1], numpy_to_vtk(np.array(corners, dtype=np.int64).ravel()))  # type: ignore[no-untyped-call]
    return made


def triangle_mesh(points_mm: FloatArray, triangles: IntArray) -> vtkPolyData:
    """points_mm: (n, 3), kept as float32. triangles: (m, 3)."""
    mesh = vtkPolyData()
    mesh.SetPoints(_points(points_mm))
    mesh.SetPolys(_cells(np.asarray(triangles)))
    return mesh


def line_mesh(segments_mm: FloatArray) -> vtkPolyData:
    """segments_mm: (n, 2, 3) ends."""
    mesh = vtkPolyData()
    if len(segments_mm):
        mesh.SetPoints(_points(segments_mm))
        mesh.SetLines(_cells(np.arange(2 * len(segments_mm)).reshape(-1, 2)))
    return mesh


def points_of(mesh: vtkPolyData) -> FloatArray:
    """(n, 3) float32 points of a mesh, not copied; call Modified on them after a change."""
    points = mesh.GetPoints()
    return vtk_to_numpy(points.GetData()) if points is not None else np.zeros((0, 3), dtype=np.float32)  # type: ignore[no-untyped-call]


def coarse_mesh(mesh: vtkPolyData) -> vtkPolyData:
    """A rough stand-in with some tens of thousands of triangles; values of the cells come along."""
    size = np.ptp(np.reshape(mesh.GetBounds(), (3, 2)), axis=1)
    boxes = np.maximum(np.ceil(COARSE_CELLS * size / max(size.max(), 1e-9)), 2).astype(int)
    rough = vtkBinnedDecimation()
    rough.SetInputData(mesh)
    rough.SetNumberOfDivisions(*boxes.tolist())
    rough.AutoAdjustNumberOfDivisionsOff()
    rough.SetPointGenerationModeToBinAverages()
    rough.ProducePointDataOff()
    rough.ProduceCellDataOn()
    rough.Update()
    return rough.GetOutput()
