"""One drawn thing: a mesh with its actor, kept for good; and how meshes are made of arrays."""

import numpy as np
import pyvista as pv
from vtkmodules.vtkCommonCore import vtkLookupTable
from vtkmodules.vtkFiltersCore import vtkBinnedDecimation, vtkFeatureEdges
from vtkmodules.vtkRenderingCore import vtkActor, vtkMapper, vtkPolyDataMapper, vtkRenderer

from core.units import FloatArray, IntArray

SHARP_DEG = 30.0
COARSE_CELLS = 70
"""Boxes along the longest side into which the stand-in for a large part gathers its points."""

vtkMapper.SetResolveCoincidentTopologyToPolygonOffset()


def triangle_mesh(points_mm: FloatArray, triangles: IntArray) -> pv.PolyData:
    """points_mm: (n, 3), kept as float32. triangles: (m, 3)."""
    return pv.PolyData.from_regular_faces(np.asarray(points_mm, dtype=np.float32), np.asarray(triangles))


def line_mesh(segments_mm: FloatArray) -> pv.PolyData:
    """segments_mm: (n, 2, 3) ends."""
    mesh = pv.PolyData()
    if len(segments_mm):
        mesh.points = np.asarray(segments_mm, dtype=np.float32).reshape(-1, 3)
        pairs = np.arange(2 * len(segments_mm)).reshape(-1, 2)
        mesh.lines = np.column_stack([np.full(len(segments_mm), 2), pairs]).ravel()
    return mesh


def sharp_edges(mesh: pv.PolyData) -> pv.PolyData:
    """Lines where faces meet at more than SHARP_DEG, and open edges."""
    sharp = vtkFeatureEdges()
    sharp.SetInputData(mesh)
    sharp.SetFeatureAngle(SHARP_DEG)
    sharp.BoundaryEdgesOn()
    sharp.NonManifoldEdgesOff()
    sharp.ColoringOff()
    sharp.Update()
    return pv.wrap(sharp.GetOutput())


def coarse_mesh(mesh: pv.PolyData) -> pv.PolyData:
    """A rough stand-in with some tens of thousands of triangles."""
    size = np.ptp(np.reshape(mesh.bounds, (3, 2)), axis=1)
    boxes = np.maximum(np.ceil(COARSE_CELLS * size / max(size.max(), 1e-9)), 2).astype(int)
    rough = vtkBinnedDecimation()
    rough.SetInputData(mesh)
    rough.SetNumberOfDivisions(*boxes.tolist())
    rough.AutoAdjustNumberOfDivisionsOff()
    rough.SetPointGenerationModeToBinAverages()
    rough.ProducePointDataOff()
    rough.ProduceCellDataOn()
    rough.Update()
    return pv.wrap(rough.GetOutput())


class Thing:
    """`show` replaces what it holds without making a new actor."""

    def __init__(
        self,
        renderer: vtkRenderer,
        colour: str,
        *,
        line_width: float = 1.0,
        towards_eye: float = 0.0,
        lit: bool = True,
    ) -> None:
        self.mesh = pv.PolyData()
        self.mapper = vtkPolyDataMapper()
        self.mapper.SetInputData(self.mesh)
        self.mapper.ScalarVisibilityOff()
        if towards_eye:
            self.mapper.SetRelativeCoincidentTopologyPolygonOffsetParameters(-towards_eye, -towards_eye)
            self.mapper.SetRelativeCoincidentTopologyLineOffsetParameters(-towards_eye, -4 * towards_eye)
        self.actor = vtkActor()
        self.actor.SetMapper(self.mapper)
        self.actor.PickableOff()
        look = self.actor.GetProperty()
        look.SetLineWidth(line_width)
        look.SetInterpolationToFlat()
        look.SetAmbient(0.55)
        look.SetDiffuse(0.5)
        look.SetSpecular(0.05)
        if not lit:
            look.LightingOff()
        self.set_colour(colour)
        renderer.AddActor(self.actor)

    def show(self, mesh: pv.PolyData) -> None:
        self.mesh.copy_from(mesh, deep=False)
        self.mesh.Modified()

    def clear(self) -> None:
        self.show(pv.PolyData())

    @property
    def empty(self) -> bool:
        return self.mesh.n_cells == 0

    @property
    def visible(self) -> bool:
        return bool(self.actor.GetVisibility())

    def set_visible(self, on: bool) -> None:
        self.actor.SetVisibility(on)

    def set_colour(self, colour: str) -> None:
        self.actor.GetProperty().SetColor(*(int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)))

    def colour_by(self, values: FloatArray, table: vtkLookupTable) -> None:
        """values: (n_cells,) mapped through the table's own range."""
        self.mesh.cell_data["value"] = np.asarray(values, dtype=np.float32)
        self.mesh.set_active_scalars("value", preference="cell")
        self.mapper.SetLookupTable(table)
        self.mapper.UseLookupTableScalarRangeOn()
        self.mapper.SetScalarModeToUseCellData()
        self.mapper.ScalarVisibilityOn()
        self.mesh.Modified()

    def colour_as(self, other: "Thing") -> None:
        """Colour by the values that came along from another thing's mesh, with its table."""
        if "value" in self.mesh.cell_data:
            self.mesh.set_active_scalars("value", preference="cell")
            self.mapper.SetLookupTable(other.mapper.GetLookupTable())
            self.mapper.UseLookupTableScalarRangeOn()
            self.mapper.SetScalarModeToUseCellData()
            self.mapper.SetScalarVisibility(other.mapper.GetScalarVisibility())
