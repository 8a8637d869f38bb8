"""What is drawn: part, plate, picked faces, preview and sinks, each one mesh and one actor kept for good."""

import numpy as np
import pyvista as pv
from vtkmodules.vtkCommonDataModel import vtkPlane
from vtkmodules.vtkFiltersCore import vtkCutter, vtkFeatureEdges
from vtkmodules.vtkRenderingCore import vtkActor, vtkMapper, vtkPolyDataMapper, vtkRenderer

from app.appearance import PART, PICK, PLATE, SINK, SINK_EDGE, STALE, STALE_EDGE
from app.view.colour_scales import NO_ANGLE, angle_table
from app.view.plate_lines import plate_lines
from core.part.part import Part
from core.part.place_on_plate import Plate, plate_low_corner_mm
from core.sink.sink import Sink
from core.units import FloatArray, IntArray

EDGES_UP_TO_FACES = 300_000
"""Sharp edges are looked for in smaller parts only; they take a third of a second at a million faces."""
SHARP_DEG = 30.0

vtkMapper.SetResolveCoincidentTopologyToPolygonOffset()


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


class Thing:
    """One mesh with its actor; `show` replaces what it holds without making a new actor."""

    def __init__(
        self, renderer: vtkRenderer, colour: str, *, line_width: float = 1.0, towards_eye: float = 0.0, lit: bool = True
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
        look.SetColor(*pv.Color(colour).float_rgb)
        look.SetLineWidth(line_width)
        look.SetInterpolationToFlat()
        look.SetAmbient(0.55)
        look.SetDiffuse(0.5)
        look.SetSpecular(0.05)
        if not lit:
            look.LightingOff()
        renderer.AddActor(self.actor)

    def show(self, mesh: pv.PolyData) -> None:
        self.mesh.copy_from(mesh, deep=False)
        self.mesh.Modified()

    def clear(self) -> None:
        self.show(pv.PolyData())

    def set_visible(self, on: bool) -> None:
        self.actor.SetVisibility(on)

    @property
    def visible(self) -> bool:
        return bool(self.actor.GetVisibility())

    def set_colour(self, colour: str) -> None:
        self.actor.GetProperty().SetColor(*pv.Color(colour).float_rgb)


class Scene:
    """Everything in one renderer. Methods take core's results and draw them; nothing is computed here."""

    def __init__(self, renderer: vtkRenderer) -> None:
        self._renderer = renderer
        self.part = Thing(renderer, PART)
        self.edges = Thing(renderer, "#4b4843", line_width=1.2, towards_eye=1.0, lit=False)
        self.plate_ground = Thing(renderer, PLATE, lit=False)
        self.plate_grid = Thing(renderer, PLATE, lit=False, towards_eye=1.0)
        self.plate_rim = Thing(renderer, PLATE, lit=False, towards_eye=1.0)
        self.plate_front = Thing(renderer, PLATE, line_width=3.0, lit=False)
        self.picked = Thing(renderer, PICK, line_width=3.0, towards_eye=3.0, lit=False)
        self.preview = Thing(renderer, SINK)
        self.section = Thing(renderer, "#23272b", line_width=2.0, lit=False)
        self.sinks: list[Thing] = []
        self.sink_edges: list[Thing] = []
        self.hidden_sinks: set[int] = set()
        self.plate_ground.actor.GetProperty().BackfaceCullingOn()
        self._cut: vtkPlane | None = None
        self._stale = False
        self.plate_things = (self.plate_ground, self.plate_grid, self.plate_rim, self.plate_front)
        self.front_ends_mm = np.zeros((2, 3))

    def show_part(self, part: Part | None) -> None:
        """Draw a placed part without angle colours; None empties the view."""
        self.clear_sinks()
        for thing in (self.picked, self.preview, self.edges, self.section):
            thing.clear()
        self.part.mapper.ScalarVisibilityOff()
        if part is None:
            for thing in (self.part, *self.plate_things):
                thing.clear()
            return
        mesh = pv.PolyData.from_regular_faces(part.vertices_mm.astype(np.float32), part.triangles)
        self.part.show(mesh)
        if part.n_faces <= EDGES_UP_TO_FACES:
            self.edges.show(sharp_edges(mesh))

    def show_angles(self, shown_deg: FloatArray, max_angle_deg: float) -> None:
        """shown_deg: (n_faces,) float32, NO_ANGLE where the part's grey is to be seen."""
        self.part.mesh.cell_data["angle"] = shown_deg
        self.part.mesh.set_active_scalars("angle", preference="cell")
        self.part.mapper.SetLookupTable(angle_table(max_angle_deg))
        self.part.mapper.UseLookupTableScalarRangeOn()
        self.part.mapper.SetScalarModeToUseCellData()
        self.part.mapper.SetScalarVisibility(bool((shown_deg < NO_ANGLE).any()))
        self.part.mesh.Modified()

    def set_angles_visible(self, on: bool) -> None:
        self.part.mapper.SetScalarVisibility(on)

    def show_plate(self, part: Part, plate: Plate) -> None:
        """The plate's outline, grid and front edge in the part's own coordinates."""
        low = np.array(plate_low_corner_mm(part, plate))
        ground, grid, rim, front = plate_lines(low, plate)
        for thing, mesh in zip(self.plate_things, (ground, grid, rim, front), strict=True):
            thing.show(mesh)
        self.front_ends_mm = np.asarray(front.points, dtype=float)

    def show_picked(self, part: Part, faces: IntArray) -> None:
        """Outline of the picked faces: edges that belong to one of them only."""
        if len(faces) == 0:
            self.picked.clear()
            return
        triangles = part.triangles[faces]
        ends = np.sort(np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]]), axis=1)
        key = ends[:, 0].astype(np.int64) * len(part.vertices_mm) + ends[:, 1]
        _, first, count = np.unique(key, return_index=True, return_counts=True)
        rim = ends[first[count == 1]]
        lines = pv.PolyData(part.vertices_mm[rim].reshape(-1, 3).astype(np.float32))
        pairs = np.arange(2 * len(rim)).reshape(-1, 2)
        lines.lines = np.column_stack([np.full(len(rim), 2), pairs]).ravel()
        self.picked.show(lines)

    def start_preview(self, points_mm: FloatArray, triangles: IntArray) -> None:
        """The sinks' tops while the slider moves; the sinks stand aside."""
        self.preview.show(pv.PolyData.from_regular_faces(points_mm.astype(np.float32), triangles))
        self._show_preview_only(True)

    def move_preview(self, points_mm: FloatArray) -> None:
        """The same tops at another gap: points only, in place."""
        self.preview.mesh.points[:] = points_mm
        self.preview.mesh.GetPoints().Modified()
        self._show_preview_only(True)

    def end_preview(self) -> None:
        self._show_preview_only(False)

    def _show_preview_only(self, on: bool) -> None:
        self.preview.set_visible(on)
        for number, sink in enumerate(self.sinks):
            sink.set_visible(not on and number not in self.hidden_sinks)

    def show_sinks(self, sinks: tuple[Sink, ...]) -> None:
        """The finished sinks; they replace the preview."""
        self.clear_sinks()
        for sink in sinks:
            thing = Thing(self._renderer, SINK)
            thing.show(pv.PolyData.from_regular_faces(sink.vertices_mm.astype(np.float32), sink.triangles))
            self.sinks.append(thing)
            lines = Thing(self._renderer, SINK_EDGE, line_width=1.2, towards_eye=1.0, lit=False)
            lines.show(sharp_edges(thing.mesh))
            self.sink_edges.append(lines)
        self.cut_at(self._cut.GetOrigin()[2] if self._cut else None)

    def set_sinks_stale(self, stale: bool) -> None:
        """Grey while they don't belong to the job as it is now. Nothing is see-through: that costs a second pass."""
        self._stale = stale
        for thing in self.sinks:
            thing.set_colour(STALE if stale else SINK)
        for thing in self.sink_edges:
            thing.set_colour(STALE_EDGE if stale else SINK_EDGE)

    def set_sink_visible(self, number: int, on: bool) -> None:
        self.hidden_sinks.discard(number) if on else self.hidden_sinks.add(number)
        for things in (self.sinks, self.sink_edges):
            things[number].set_visible(on)

    def set_plate_colours(self, ground: str, lines: str) -> None:
        """Tints for light or dark surroundings."""
        self.plate_ground.set_colour(ground)
        for thing in (self.plate_grid, self.plate_rim):
            thing.set_colour(lines)

    def set_plate_visible(self, on: bool, *, from_above: bool) -> None:
        """From below only the plate's rim is drawn, so that nothing lies over the downskin."""
        for thing in self.plate_things:
            thing.set_visible(on)
        self.plate_grid.set_visible(on and from_above)

    def clear_sinks(self) -> None:
        self.hidden_sinks.clear()
        for thing in (*self.sinks, *self.sink_edges):
            self._renderer.RemoveActor(thing.actor)
        self.sinks.clear()
        self.sink_edges.clear()

    def cut_at(self, height_mm: float | None) -> None:
        """Hide everything above a height; None shows all again."""
        things = [self.part, self.edges, self.picked, self.preview, *self.sinks, *self.sink_edges]
        for thing in things:
            thing.mapper.RemoveAllClippingPlanes()
        self._cut = None
        if height_mm is None:
            self.section.clear()
            return
        self._cut = vtkPlane()
        self._cut.SetOrigin(0, 0, height_mm)
        self._cut.SetNormal(0, 0, -1)
        for thing in things:
            thing.mapper.AddClippingPlane(self._cut)

    def outline_cut(self) -> None:
        """Draw where the section plane meets the part and the sinks."""
        if self._cut is None or self.part.mesh.n_cells == 0:
            return
        outlines = pv.MultiBlock()
        for thing in (self.part, *self.sinks):
            cutter = vtkCutter()
            cutter.SetInputData(thing.mesh)
            cutter.SetCutFunction(self._cut)
            cutter.GenerateCutScalarsOff()
            cutter.Update()
            outlines.append(pv.wrap(cutter.GetOutput()))
        self.section.show(pv.merge([block for block in outlines if block.n_points] or [pv.PolyData()]))
