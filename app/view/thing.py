"""One drawn thing: a mesh with its actor, kept for good."""

import numpy as np
from vtkmodules.util.numpy_support import numpy_to_vtk
from vtkmodules.vtkCommonCore import vtkLookupTable
from vtkmodules.vtkCommonDataModel import vtkPolyData
from vtkmodules.vtkRenderingCore import vtkActor, vtkMapper, vtkPolyDataMapper, vtkRenderer

from app.view.meshes import points_of
from core.units import FloatArray

vtkMapper.SetResolveCoincidentTopologyToPolygonOffset()


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
        self.mesh = vtkPolyData()
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
        self.line_width = line_width
        """In the units of the window, whatever the number of pixels in one."""
        look.SetInterpolationToFlat()
        look.SetAmbient(0.55)
        look.SetDiffuse(0.5)
        look.SetSpecular(0.05)
        if not lit:
            look.LightingOff()
        self.set_colour(colour)
        renderer.AddActor(self.actor)

    def show(self, mesh: vtkPolyData) -> None:
        self.mesh.ShallowCopy(mesh)
        self.mesh.Modified()

    def clear(self) -> None:
        self.show(vtkPolyData())

    def move(self, points_mm: FloatArray) -> None:
        """The same cells with other points, (n, 3), in place."""
        points_of(self.mesh)[:] = points_mm
        self.mesh.GetPoints().GetData().Modified()
        self.mesh.GetPoints().Modified()

    @property
    def empty(self) -> bool:
        return self.mesh.GetNumberOfCells() == 0

    @property
    def ends_mm(self) -> FloatArray:
        """(2, 3) low and high corner of the box round it."""
        return np.array(self.mesh.GetBounds()).reshape(3, 2).T

    @property
    def visible(self) -> bool:
        return bool(self.actor.GetVisibility())

    def set_visible(self, on: bool) -> None:
        self.actor.SetVisibility(on)

    def set_pixel_ratio(self, ratio: float) -> None:
        """Draw lines so many pixels wide that they look the same on fine screens."""
        self.actor.GetProperty().SetLineWidth(ratio * self.line_width)

    def set_colour(self, colour: str) -> None:
        self.actor.GetProperty().SetColor(*(int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)))

    def colour_by(self, values: FloatArray, table: vtkLookupTable) -> None:
        """values: (n_cells,) mapped through the table's own range."""
        column = numpy_to_vtk(np.array(values, dtype=np.float32))  # type: ignore[no-untyped-call]
        column.SetName("value")
        self.mesh.GetCellData().SetScalars(column)
        self.mapper.SetLookupTable(table)
        self.mapper.UseLookupTableScalarRangeOn()
        self.mapper.SetScalarModeToUseCellData()
        self.mapper.ScalarVisibilityOn()
        self.mesh.Modified()

    def colour_plainly(self) -> None:
        """Back to the one colour of the thing."""
        self.mesh.GetCellData().Initialize()
        self.mapper.ScalarVisibilityOff()
        self.mesh.Modified()

    @property
    def coloured(self) -> bool:
        """True when its cells have values to be coloured by."""
        return self.mesh.GetCellData().GetScalars() is not None

    def colour_as(self, other: "Thing") -> None:
        """Colour by the values that came along from another thing's mesh, with its table."""
        if self.mesh.GetCellData().SetActiveScalars("value") >= 0:
            self.mapper.SetLookupTable(other.mapper.GetLookupTable())
            self.mapper.UseLookupTableScalarRangeOn()
            self.mapper.SetScalarModeToUseCellData()
            self.mapper.SetScalarVisibility(other.mapper.GetScalarVisibility())
