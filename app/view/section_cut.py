"""The section plane on the graphics card, and at rest the cut faces, filled and outlined."""

from vtkmodules.vtkCommonDataModel import vtkPlane, vtkPolyData
from vtkmodules.vtkFiltersCore import vtkAppendPolyData, vtkCleanPolyData, vtkCutter
from vtkmodules.vtkFiltersGeneral import vtkContourTriangulator
from vtkmodules.vtkRenderingCore import vtkRenderer

from app.view.cut_plane import Cut
from app.view.thing import Thing

OUTLINE = "#23272b"
WELD_MM = 1e-4
"""Ends of outline pieces nearer than this are one point."""
FILLED_UP_TO_LINES = 4_000


class SectionCut:
    """One plane for all that is drawn."""

    def __init__(self, renderer: vtkRenderer, colours: tuple[str, ...]) -> None:
        """colours: of the cut faces, one per body handed to `outline`; the last one for all further ones."""
        self.cut: Cut | None = None
        self.plane = vtkPlane()
        self.lines = Thing(renderer, OUTLINE, line_width=2.0, towards_eye=3.0, lit=False)
        self.faces = [Thing(renderer, colour, lit=False) for colour in colours]

    def set(self, cut: Cut | None, things: list[Thing]) -> None:
        """Cut all things by a plane, or none."""
        self.clear()
        if cut is not None:
            self.plane.SetOrigin(*cut.origin_mm)
            self.plane.SetNormal(*cut.kept_side)
        if (cut is None) != (self.cut is None):
            for thing in things:
                thing.mapper.RemoveAllClippingPlanes()
                if cut is not None:
                    thing.mapper.AddClippingPlane(self.plane)
        self.cut = cut

    def clear(self) -> None:
        """Take the outline and the filled faces away; what is cut stays cut."""
        for thing in (self.lines, *self.faces):
            thing.clear()

    def outline(self, bodies: list[list[vtkPolyData]]) -> None:
        """Draw where the plane meets bodies, each of one mesh or of several that close it together."""
        if self.cut is None:
            return
        outlines = [joined([met_by(self.plane, mesh) for mesh in meshes]) for meshes in bodies]
        self.lines.show(joined(outlines))
        last = len(self.faces) - 1
        filled: list[list[vtkPolyData]] = [[] for _ in self.faces]
        for number, outline in enumerate(outlines):
            filled[min(number, last)].append(filled_face(outline))
        for thing, faces in zip(self.faces, filled, strict=True):
            thing.show(joined(faces))


def met_by(plane: vtkPlane, mesh: vtkPolyData) -> vtkPolyData:
    """Lines in which a plane meets a mesh."""
    bare = vtkPolyData()
    bare.CopyStructure(mesh)
    cutter = vtkCutter()
    cutter.SetCutFunction(plane)
    cutter.SetInputData(bare)
    cutter.Update()
    return cutter.GetOutput()


def joined(meshes: list[vtkPolyData]) -> vtkPolyData:
    """Several meshes as one, equal points welded."""
    append = vtkAppendPolyData()
    some = [mesh for mesh in meshes if mesh.GetNumberOfCells()]
    if not some:
        return vtkPolyData()
    for mesh in some:
        append.AddInputData(mesh)
    clean = vtkCleanPolyData()
    clean.SetInputConnection(append.GetOutputPort())
    clean.ToleranceIsAbsoluteOn()
    clean.SetAbsoluteTolerance(WELD_MM)
    clean.Update()
    return clean.GetOutput()


def filled_face(outline: vtkPolyData) -> vtkPolyData:
    """The inside of closed outlines as triangles; empty where there is no outline, or too much of it to be quick."""
    if not 3 <= outline.GetNumberOfLines() <= FILLED_UP_TO_LINES:
        return vtkPolyData()
    fill = vtkContourTriangulator()
    fill.SetInputData(outline)
    fill.TriangulationErrorDisplayOff()
    fill.Update()
    return fill.GetOutput()
