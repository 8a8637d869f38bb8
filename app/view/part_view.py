"""The view of the part: shows what the session has, and says which face is under the mouse."""

import numpy as np
from PySide6.QtCore import QEvent, QPointF, Qt, QTimer, Signal
from PySide6.QtWidgets import QWidget
from vtkmodules.vtkRenderingCore import vtkProp

from app.appearance import plate_colours, view_ground
from app.view.body_picking import BodyPicker
from app.view.colour_scales import ValueScale
from app.view.cut_plane import Cut, at_height
from app.view.face_picking import Hit
from app.view.looking_view import LookingView
from app.view.meshes import points_of
from app.view.scene import COARSE_FROM_FACES, Scene
from app.view.section_bar import SectionBar
from app.view.view_marks import ViewMarks
from core.part.part import Part
from core.part.place_on_plate import Plate
from core.sink.sink import Sink
from core.units import FloatArray, IntArray

HOVER_MS, REST_MS, TREE_MS = 40, 180, 20


class PartView(LookingView):
    """Draws the part, its plate and its sinks; a click picks the face or sink under it."""

    _marks_made = False

    face_clicked = Signal(int, str)
    """Face number and 'only', 'add' (shift) or 'toggle' (ctrl)."""
    face_hovered = Signal(int)
    """Face under the mouse, or -1."""
    sink_clicked = Signal(int)
    """Number of the sink in the list shown."""

    def __init__(self, parent: QWidget | None = None, *, smooth_edges: bool = False) -> None:
        super().__init__(parent, smooth_edges=smooth_edges)
        self.setAccessibleName(self.tr("3-D view of the part on its build plate"))
        self.scene = Scene(self.renderer, self.front)
        self._part: Part | None = None
        self._bodies = BodyPicker()
        self.cut: Cut | None = None
        self._plate_on, self._part_on = True, True
        self._over: QPointF | None = None
        self._hover_timer = QTimer(self, interval=HOVER_MS, singleShot=True)
        self._hover_timer.timeout.connect(self.hover)
        self._rest_timer = QTimer(self, interval=REST_MS, singleShot=True)
        self._rest_timer.timeout.connect(self._outline_cut)
        self.hovered.connect(self._moved_over)
        self.clicked.connect(self._clicked)
        self.left.connect(self._left)
        self.section_bar = SectionBar(self)
        self.section_bar.cut_chosen.connect(self.cut_by)
        self.marks = ViewMarks(self)
        self.scale, self.colour_choice = self.marks.scale, self.marks.colour_choice
        self._marks_made = True
        self._use_palette()

    # What is shown -------------------------------------------------------------------------------

    def show_part(self, part: Part | None, plate: Plate, *, fit: bool, sharp_mm: FloatArray | None = None) -> None:
        """A placed part on its plate, with its sharp edges (k, 2, 3) if they are drawn; None empties the view."""
        self._part = part
        self._bodies.take_part(part)
        self.section_bar.close_section()
        self.cut_by(None)
        self.scene.show_part(part, sharp_mm)
        self.expect(slow=part is not None and part.n_faces >= COARSE_FROM_FACES)
        self.scale.setVisible(part is not None)
        if part is not None:
            self.show_plate(plate)
            if fit:
                self.fit()
        self.changed()

    def show_plate(self, plate: Plate) -> None:
        if self._part is not None:
            self.scene.show_plate(self._part, plate)
            self.marks.show_plate_size(plate.size_mm)
            self.changed()

    @property
    def has_part(self) -> bool:
        return self._part is not None

    def show_angles(self, angles_deg: FloatArray, low_angle_faces: IntArray, limit_deg: float) -> None:
        """Colour the low-angle faces; angles_deg is (n_faces,)."""
        if self._part is None:
            return
        self.scene.show_angles(self._part, angles_deg, low_angle_faces, limit_deg)
        self.scale.show_angles(limit_deg)
        self.changed()

    def colour_angles(self, angles_deg: FloatArray, limit_deg: float) -> None:
        """Back to the downskin angles of the faces shown. angles_deg: (n_faces,)."""
        self.scene.colour_angles(angles_deg, limit_deg)
        self.scale.show_angles(limit_deg)
        self.moved()  # new colours take long in a large part: its stand-in wears them first

    def colour_values(self, values: FloatArray, scale: ValueScale) -> None:
        """Colour all faces by a gap or a temperature. values: (n_faces,), NaN for the part's own colour."""
        self.scene.colour_values(values, scale)
        self.scale.show_values(scale)
        self.moved()

    def show_picked(self, faces: IntArray) -> None:
        if self._part is not None:
            self.scene.show_picked(self._part, faces)
            self.changed()

    def show_sinks(self, sinks: tuple[Sink, ...]) -> None:
        self.scene.show_sinks(sinks)
        self._bodies.take_sinks(sinks)
        self._rest_timer.start()
        self.changed()

    def set_sinks_stale(self, stale: bool) -> None:
        self.scene.sink_things.set_stale(stale)
        self.changed()

    def set_sinks_see_through(self, on: bool) -> None:
        """Let what lies behind the sinks be seen; their edges stay."""
        self.scene.sink_things.set_see_through(on)
        self.changed()

    def set_sink_visible(self, number: int, on: bool) -> None:
        """Show or hide one of the sinks; a hidden one can't be clicked."""
        self.scene.sink_things.set_visible(number, on)
        self._rest_timer.start()
        self.changed()

    def set_part_visible(self, on: bool) -> None:
        """Show the whole part, or only its low-angle faces and sharp edges."""
        self._part_on = on
        self.changed()

    def set_colours_visible(self, on: bool) -> None:
        self.scene.set_colours_visible(on)
        self.changed()

    def set_sinks_visible(self, on: bool) -> None:
        for number in range(len(self.scene.sinks)):
            self.scene.sink_things.set_visible(number, on)
        self._rest_timer.start()
        self.changed()

    def set_plate_visible(self, on: bool) -> None:
        self._plate_on = on
        self.changed()

    def start_preview(self, points_mm: FloatArray, triangles: IntArray) -> None:
        """The sinks' tops while the slider moves; points_mm (n, 3), triangles (m, 3)."""
        self.scene.start_preview(points_mm, triangles)
        self.changed()  # the sinks stand aside
        self.front_moved()

    def move_preview(self, points_mm: FloatArray) -> None:
        """The same tops at another gap, (n, 3)."""
        self.scene.move_preview(points_mm)
        self.front_moved()

    def end_preview(self) -> None:
        self.scene.end_preview()
        self.changed()

    def cut_at(self, height_mm: float | None) -> None:
        """Hide what lies above a height; None shows the whole part."""
        self.section_bar.close_section()
        self.cut_by(at_height(height_mm))

    def cut_by(self, cut: Cut | None) -> None:
        """Hide what lies on the far side of a plane, with the cut faces drawn once the hand rests."""
        self.cut = cut
        self.scene.cut_by(cut)
        if cut is not None:
            self._rest_timer.start()
        self.moved()

    def _outline_cut(self) -> None:
        if self.cut is not None:
            self.scene.outline_cut()
            self.changed()

    def ends_along(self, along: FloatArray) -> tuple[float, float]:
        """Where part and sinks begin and end along a unit vector (3,), mm."""
        things = [thing for thing in (self.scene.part, self.scene.low, *self.scene.sinks) if not thing.empty]
        ends = [points_of(thing.mesh) @ along for thing in things]
        return float(min(end.min() for end in ends)), float(max(end.max() for end in ends))

    def whole_box(self) -> tuple[FloatArray, FloatArray] | None:
        if self._part is None:
            return None
        low, high = self._part.low_mm.copy(), self._part.high_mm
        low[2] = min(low[2], 0.0)
        return low, high

    def fit_plate(self) -> None:
        """Show the whole build plate."""
        if self._part is not None:
            low, high = self.scene.plate_ground.ends_mm
            self.fit_box(low, np.maximum(high, [*high[:2], self._part.high_mm[2]]))

    # Drawing -------------------------------------------------------------------------------------

    def heavy_things(self) -> list[vtkProp]:
        return [self.scene.part.actor]

    def before_drawing(self) -> None:
        super().before_drawing()
        self.scene.set_part_visible(self._part_on, coarse=self.coarse)
        self.scene.set_plate_visible(self._plate_on, from_above=self.from_above)
        self.scene.refine_preview(rough=self._front_only)
        self.scene.set_pixel_ratio(self.devicePixelRatioF())

    @property
    def top_px(self) -> int:
        """Where signs at the top of the view begin."""
        return 10 if self.section_bar.isHidden() else self.section_bar.geometry().bottom() + 6

    @property
    def from_above(self) -> bool:
        """True when the eye stands higher than what it looks at."""
        return bool(self.moves.axes()[2, 2] > 0)

    def place_marks(self) -> None:
        if self._marks_made:
            self.section_bar.place()
            self.marks.place(plate_on=self._plate_on, from_above=self.from_above)
            self.tool_marks.update()

    def _use_palette(self) -> None:
        below, above = view_ground(self.palette())
        rgb = [[int(text[i : i + 2], 16) / 255 for i in (1, 3, 5)] for text in (below, above)]
        self.renderer.SetBackground(*rgb[0])
        self.renderer.SetBackground2(*rgb[1])
        self.renderer.GradientBackgroundOn()
        self.scene.set_plate_colours(*plate_colours(self.palette()))
        self.changed()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and self._marks_made:
            self._use_palette()

    # Mouse ---------------------------------------------------------------------------------------

    def face_at(self, at: QPointF) -> tuple[Hit | None, int]:
        """The hit under a pixel and the sink it belongs to, -1 for the part; see-through sinks are looked through."""
        return self.faces_at(np.array([[at.x(), at.y()]]))[0]

    def faces_at(self, at_px: FloatArray) -> list[tuple[Hit | None, int]]:
        """As `face_at`, for many places (n, 2)."""
        self.set_clipping()
        shown = [thing.visible and not self.scene.sink_things.see_through for thing in self.scene.sinks]
        return [self._bodies.first_hit(start, end, self.cut, shown) for start, end in self.moves.rays(at_px)]

    def corners_of(self, owner: int, face: int) -> FloatArray:
        """(3, 3) corners of a triangle; owner as `face_at` gives it."""
        return self._bodies.corners_mm(owner, face)

    def prepare_picking(self) -> None:
        """Build the search trees before the first click asks for them, each in a turn of its own."""
        if not self._shut and self._bodies.prepare():
            QTimer.singleShot(TREE_MS, self, self.prepare_picking)

    def _moved_over(self, at: QPointF) -> None:
        self._over = at
        if not self._hover_timer.isActive():
            self._hover_timer.start()

    def hover(self) -> None:
        """Tell of the face under the mouse, be it for a move or because there is something else to say of it."""
        if self._over is not None:
            hit, owner = self.face_at(self._over)
            self.face_hovered.emit(hit.face if hit is not None and owner < 0 else -1)

    def _left(self) -> None:
        self._hover_timer.stop()
        self._over = None
        self.face_hovered.emit(-1)

    def _clicked(self, at: QPointF, keys: Qt.KeyboardModifier) -> None:
        hit, owner = self.face_at(at)
        if hit is None:
            return
        if owner >= 0:
            self.sink_clicked.emit(owner)
            return
        adding = bool(keys & Qt.KeyboardModifier.ShiftModifier)
        how = "add" if adding else "toggle" if keys & Qt.KeyboardModifier.ControlModifier else "only"
        self.face_clicked.emit(hit.face, how)

    def shut(self) -> None:
        """Stop timers and free the graphics memory; the view is not used afterwards."""
        self._hover_timer.stop()
        self._rest_timer.stop()
        super().shut()
