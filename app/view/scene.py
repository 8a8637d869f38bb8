"""What is drawn: part, plate, picked faces, preview, sinks and zones, each one mesh and one actor kept for good."""

import numpy as np
from vtkmodules.vtkRenderingCore import vtkRenderer

from app.appearance import LEVEL_COLOURS, PART, PART_CUT, PICK, PLATE, SINK, SINK_CUT, TAKEN_OUT, WAY
from app.view.colour_scales import ValueScale, angle_table, value_table
from app.view.cut_plane import Cut
from app.view.meshes import coarse_mesh, line_mesh, points_of, triangle_mesh
from app.view.plate_lines import blade_lines, plate_lines
from app.view.rough_top import RoughTop
from app.view.section_cut import SectionCut
from app.view.sink_things import SinkThings
from app.view.thing import Thing
from app.view.way_lines import way_lines
from app.view.zone_things import ZoneThings
from core.export.body import Body
from core.part.face_neighbours import rim_edges
from core.part.part import Part, face_mask
from core.part.place_on_plate import Plate, plate_low_corner_mm
from core.part.weld import drop_unused
from core.sink.sink import Sink
from core.units import FloatArray, IntArray

COARSE_FROM_FACES = 60_000
"""Larger parts get a rough stand-in for slow graphics while the hand moves."""

ROUGH_FROM_TRIANGLES = 10_000
"""Larger tops are drawn roughly while the slider moves."""


class Scene:
    """Everything in one renderer. Methods take core's results and draw them; nothing is computed here."""

    def __init__(self, renderer: vtkRenderer, front: vtkRenderer) -> None:
        """front: the renderer of the preview, which moves while all else stands still."""
        self._renderer = renderer
        self.part = Thing(renderer, PART)
        self.too_near = Thing(renderer, LEVEL_COLOURS["stop"], towards_eye=0.5)
        """Parts that touch or are too near to each other, over what they are drawn in."""
        self.low = Thing(renderer, PART)
        self.stand_in, self.low_stand_in = Thing(renderer, PART), Thing(renderer, PART)
        self.edges = Thing(renderer, "#4b4843", line_width=1.2, towards_eye=1.0, lit=False)
        self.plate_ground = Thing(renderer, PLATE, lit=False)
        self.plate_grid = Thing(renderer, PLATE, lit=False, towards_eye=1.0)
        self.plate_rim = Thing(renderer, PLATE, lit=False, towards_eye=1.0)
        self.plate_front = Thing(renderer, PLATE, line_width=3.0, lit=False)
        self.blade = Thing(renderer, PLATE, line_width=2.0, towards_eye=2.0, lit=False)
        self.picked = Thing(renderer, PICK, line_width=3.0, towards_eye=3.0, lit=False)
        self.painted = Thing(front, PICK, towards_eye=2.0)
        """Faces under the brush or in the loop, until the hand lets go."""
        self.painted.set_visible(False)
        self.preview, self.rough_preview = Thing(front, SINK), Thing(front, SINK)
        self._preview_on = False
        self._rough: RoughTop | None = None
        self._waiting_mm: FloatArray | None = None
        """Points that the preview takes when the hand rests."""
        self.section_cut = SectionCut(renderer, (PART_CUT, SINK_CUT))
        self.way = Thing(renderer, WAY, line_width=2.5, towards_eye=4.0, lit=False)
        self.sink_things = SinkThings(renderer)
        self.zone_things = ZoneThings(renderer)
        self.plate_ground.actor.GetProperty().BackfaceCullingOn()
        self._colours_on = True
        self._many_faces, self._closed, self._stand_ins_are_old = False, False, False
        self._low_faces: IntArray = np.zeros(0, dtype=np.int32)
        self.plate_things = (self.plate_ground, self.plate_grid, self.plate_rim, self.plate_front, self.blade)
        self.front_ends_mm: FloatArray = np.zeros((2, 3))
        self.blade_ends_mm: FloatArray = np.zeros((2, 3))

    @property
    def sinks(self) -> list[Thing]:
        """The sinks' bodies, in the order they came."""
        return self.sink_things.bodies

    @property
    def section(self) -> Thing:
        """The outline where the section plane meets what is drawn."""
        return self.section_cut.lines

    def show_part(self, part: Part | None, sharp_mm: FloatArray | None) -> None:
        """Another part: empty what belonged to the last one and draw its sharp edges; `show_angles` draws the rest.

        sharp_mm: (k, 2, 3), or None for no edges.
        """
        self.clear_sinks()
        self.show_zones(())
        self.section_cut.clear()
        self._rough, self._waiting_mm = None, None
        self._low_faces = np.zeros(0, dtype=np.int32)  # another part may have fewer faces
        for thing in (
            self.part,
            self.low,
            self.stand_in,
            self.low_stand_in,
            self.picked,
            self.preview,
            self.rough_preview,
            self.edges,
            self.too_near,
        ):
            thing.clear()
        self.clear_painted()
        if part is None:
            for thing in self.plate_things:
                thing.clear()
        elif sharp_mm is not None:
            self.edges.show(line_mesh(sharp_mm))

    def show_angles(self, part: Part, angles_deg: FloatArray, low_faces: IntArray, limit_deg: float) -> None:
        """The part in two meshes: low-angle faces in the colour of their angle, all others grey.

        angles_deg: (n_faces,). low_faces: (n,) face numbers.
        """
        points = part.vertices_mm.astype(np.float32)
        self.part.show(triangle_mesh(points, part.triangles[~face_mask(part.n_faces, low_faces)]))
        self.low.show(triangle_mesh(*drop_unused(points, part.triangles[low_faces])))
        self._many_faces, self._closed = part.n_faces >= COARSE_FROM_FACES, part.health.buildable
        self._leave_backs_out()
        self._low_faces = low_faces
        self.colour_angles(angles_deg, limit_deg)

    def colour_angles(self, angles_deg: FloatArray, limit_deg: float) -> None:
        """Low-angle faces by their angle, all others grey. angles_deg: (n_faces,)."""
        self.low.colour_by(angles_deg[self._low_faces], angle_table(limit_deg))
        self.part.colour_plainly()
        self._colours_changed()

    def colour_values(self, values: FloatArray, scale: ValueScale) -> None:
        """All faces by a gap or a temperature. values: (n_faces,), NaN for the part's own colour."""
        table = value_table(scale)
        self.low.colour_by(values[self._low_faces], table)
        self.part.colour_by(values[~face_mask(len(values), self._low_faces)], table)
        self._colours_changed()

    def _colours_changed(self) -> None:
        """The stand-ins, which take their values from the meshes they stand for, are made anew when they are drawn."""
        self._stand_ins_are_old = True
        self.set_colours_visible(self._colours_on)

    def _make_stand_ins(self) -> None:
        self._stand_ins_are_old = False
        for rough, fine in ((self.stand_in, self.part), (self.low_stand_in, self.low)):
            rough.clear()
            if self._many_faces and not fine.empty:
                rough.show(coarse_mesh(fine.mesh))
                rough.colour_as(fine)

    def set_colours_visible(self, on: bool) -> None:
        self._colours_on = on
        for thing in (self.part, self.stand_in, self.low, self.low_stand_in):
            thing.mapper.SetScalarVisibility(on and thing.coloured)

    def set_part_visible(self, on: bool, *, coarse: bool) -> None:
        """Show or hide the faces above the limit; low-angle faces and sharp edges stay, so that inner ones are seen.

        coarse: the stand-in takes the part's place, and its edges wait.
        """
        if coarse and self._stand_ins_are_old:
            self._make_stand_ins()
        instead = coarse and not self.stand_in.empty
        self.part.set_visible(on and not instead)
        self.stand_in.set_visible(on and instead)
        self.low.set_visible(not instead)
        self.low_stand_in.set_visible(instead)
        self.edges.set_visible(not instead)

    def show_plate(self, part: Part, plate: Plate) -> None:
        """The plate's outline, grid and front edge in the part's own coordinates."""
        low = np.array(plate_low_corner_mm(part, plate))
        ground, grid, rim, front = plate_lines(low, plate)
        blade, self.blade_ends_mm = blade_lines(low, plate, (part.low_mm, part.high_mm))
        for thing, mesh in zip(self.plate_things, (ground, grid, rim, front, blade), strict=True):
            thing.show(mesh)
        self.front_ends_mm = points_of(front).astype(float)

    def show_picked(self, part: Part, faces: IntArray) -> None:
        """Outline of the picked faces: edges that belong to one of them only."""
        if len(faces) == 0:
            self.picked.clear()
            return
        self.picked.show(line_mesh(part.vertices_mm[rim_edges(part, faces)]))

    def show_too_near(self, part: Part, faces: IntArray, level: str) -> None:
        """Faces of the parts that touch ('stop') or are too near ('note') in the colour of that level."""
        self.too_near.set_colour(LEVEL_COLOURS[level])
        self.too_near.show(triangle_mesh(part.vertices_mm, part.triangles[faces]))

    def show_way(self, way_mm: FloatArray, most_mm: float) -> None:
        """The way by which a sink comes off, (k, 3); none when k < 2."""
        self.way.show(way_lines(way_mm, most_mm)) if len(way_mm) > 1 else self.way.clear()

    def start_preview(self, points_mm: FloatArray, triangles: IntArray) -> None:
        """The sinks' tops while the slider moves; the sinks stand aside."""
        self.preview.show(triangle_mesh(points_mm, triangles))
        self._rough = RoughTop(points_mm, triangles) if len(triangles) >= ROUGH_FROM_TRIANGLES else None
        if self._rough is not None:
            self.rough_preview.show(triangle_mesh(self._rough.points_mm(points_mm), self._rough.triangles))
        self._show_preview_only(True)

    def move_preview(self, points_mm: FloatArray) -> None:
        """The same tops at another gap: points only, in place; those of a large net once the hand rests."""
        if self._rough is None:
            self.preview.move(points_mm)
        else:
            self.rough_preview.move(self._rough.points_mm(points_mm))
            self._waiting_mm = points_mm
        self._show_preview_only(True)

    def end_preview(self) -> None:
        self._waiting_mm = None
        self._show_preview_only(False)

    def refine_preview(self, *, rough: bool) -> None:
        """Draw the tops roughly, or as they are."""
        rough = rough and self._rough is not None
        if not rough and self._waiting_mm is not None:
            self.preview.move(self._waiting_mm)
            self._waiting_mm = None
        self.preview.set_visible(self._preview_on and not rough)
        self.rough_preview.set_visible(self._preview_on and rough)

    def _show_preview_only(self, on: bool) -> None:
        self._preview_on = on
        self.refine_preview(rough=True)
        self.sink_things.set_aside(on)

    def show_painted(self, corners_mm: FloatArray, *, add: bool) -> None:
        """Faces that a stroke adds or takes out, (n, 3, 3) corners."""
        self.painted.set_visible(True)
        self.painted.set_colour(PICK if add else TAKEN_OUT)
        self.painted.show(triangle_mesh(corners_mm.reshape(-1, 3), np.arange(3 * len(corners_mm)).reshape(-1, 3)))

    def clear_painted(self) -> None:
        """The stroke ended; nothing is left in front, so that the picture can be kept again."""
        self.painted.clear()
        self.painted.set_visible(False)

    def show_sinks(self, sinks: tuple[Sink, ...]) -> None:
        """The finished sinks; they replace the preview."""
        self.clear_sinks()
        self.sink_things.show(sinks, self.section_cut.plane if self.section_cut.cut is not None else None)

    def show_zones(self, zones: tuple[Body, ...]) -> None:
        """The downskin zones that were cut for the sinks shown."""
        self.zone_things.show_zones(zones)

    def set_plate_colours(self, ground: str, lines: str) -> None:
        """Tints for light or dark surroundings."""
        self.plate_ground.set_colour(ground)
        for thing in (self.plate_grid, self.plate_rim):
            thing.set_colour(lines)

    def set_plate_visible(self, on: bool, *, from_above: bool) -> None:
        """From below only the plate's rim is drawn, and thinly, so that nothing lies over the downskin."""
        for thing in self.plate_things:
            thing.set_visible(on)
        for thing in (self.plate_grid, self.blade):
            thing.set_visible(on and from_above)
        self.plate_front.line_width = 3.0 if from_above else 1.2

    def set_pixel_ratio(self, ratio: float) -> None:
        """Pixels per unit of the window, for the width of lines."""
        bodies = (*self.sink_things.edges, *self.zone_things.edges, self.zone_things.section.lines)
        for thing in (self.edges, self.picked, self.section, self.way, *self.plate_things, *bodies):
            thing.set_pixel_ratio(ratio)

    def clear_sinks(self) -> None:
        self.way.clear()
        self.sink_things.clear()

    def cut_by(self, cut: Cut | None) -> None:
        """Hide what lies on the far side of a plane; None shows all again."""
        things = [
            self.part,
            self.low,
            self.stand_in,
            self.low_stand_in,
            self.edges,
            self.too_near,
            self.picked,
            self.painted,
            self.preview,
            self.rough_preview,
            *self.sink_things.all,
        ]
        self.section_cut.set(cut, things)
        self.zone_things.cut_by(cut)
        self._leave_backs_out()

    def _leave_backs_out(self) -> None:
        """The inner sides of a closed part can't be seen until it is cut; without them it is drawn a third quicker."""
        self.part.actor.GetProperty().SetBackfaceCulling(self._closed and self.section_cut.cut is None)

    def outline_cut(self) -> None:
        """Fill and outline where the section plane meets the part, and the sinks and zones that are shown."""
        part = [thing.mesh for thing in (self.part, self.low) if not thing.empty]
        self.section_cut.outline([part, *([sink.mesh] for sink in self.sinks if sink.visible)])
        self.zone_things.outline_cut()
