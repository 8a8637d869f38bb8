"""The view of the part: shows what the session has, and says which face is under the mouse."""

import numpy as np
from PySide6.QtCore import QEvent, QPointF, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget

from app.appearance import plate_colours, view_ground
from app.panels.fields import ChoiceBox
from app.view.colour_scales import ValueScale
from app.view.face_picking import FacePicker, Hit, below_height
from app.view.gl_view import GlView
from app.view.overlays import AxesMark, ColourScale, FrontWord
from app.view.scene import Scene
from core.part.part import Part
from core.part.place_on_plate import Plate
from core.sink.sink import Sink
from core.units import FloatArray, IntArray

HOVER_MS = 40
REST_MS = 180
AXES_PX = 92


class PartView(GlView):
    """Draws the part, its plate and its sinks; a click picks the face or sink under it."""

    _marks_made = False

    face_clicked = Signal(int, str)
    """Face number and 'only', 'add' (shift) or 'toggle' (ctrl)."""
    face_hovered = Signal(int)
    """Face under the mouse, or -1."""
    clear_wanted = Signal()
    """Escape was pressed."""
    sink_clicked = Signal(int)
    """Number of the sink in the list shown."""

    def __init__(self, parent: QWidget | None = None, *, smooth_edges: bool = False) -> None:
        super().__init__(parent, smooth_edges=smooth_edges)
        self.setAccessibleName(self.tr("3-D view of the part on its build plate"))
        self.scene = Scene(self.renderer, self.front)
        self._part: Part | None = None
        self._picker: FacePicker | None = None
        self._sink_pickers: list[FacePicker] = []
        self._cut_mm: float | None = None
        self._fit_wanted = False
        self._plate_on, self._part_on = True, True
        self._over: QPointF | None = None
        self._hover_timer = QTimer(self, interval=HOVER_MS, singleShot=True)
        self._hover_timer.timeout.connect(self.hover)
        self._rest_timer = QTimer(self, interval=REST_MS, singleShot=True)
        self._rest_timer.timeout.connect(self._outline_cut)
        self.hovered.connect(self._moved_over)
        self.clicked.connect(self._clicked)
        self.left.connect(self._left)
        self.scale, self.axes_mark, self.front_word = ColourScale(self), AxesMark(self), FrontWord(self)
        self.scale.hide()
        self.colour_choice = ChoiceBox(self.tr("Colours on the part"), self)
        self.colour_choice.hide()
        self._marks_made = True
        self._use_palette()

    # What is shown -------------------------------------------------------------------------------

    def show_part(self, part: Part | None, plate: Plate, *, fit: bool) -> None:
        """A placed part on its plate; None empties the view."""
        self._part = part
        self._picker = FacePicker(part.vertices_mm, part.triangles) if part is not None else None
        self._sink_pickers = []
        self.cut_at(None)
        self.scene.show_part(part)
        self.scale.setVisible(part is not None)
        if part is not None:
            self.scene.show_plate(part, plate)
            self._fit_wanted = self._fit_wanted or fit
        self.changed()

    def show_plate(self, plate: Plate) -> None:
        if self._part is not None:
            self.scene.show_plate(self._part, plate)
            self.changed()

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
        self.changed()

    def colour_values(self, values: FloatArray, scale: ValueScale) -> None:
        """Colour all faces by a gap or a temperature. values: (n_faces,), NaN for the part's own colour."""
        self.scene.colour_values(values, scale)
        self.scale.show_values(scale)
        self.changed()

    def show_picked(self, faces: IntArray) -> None:
        if self._part is not None:
            self.scene.show_picked(self._part, faces)
            self.changed()

    def show_sinks(self, sinks: tuple[Sink, ...]) -> None:
        self.scene.show_sinks(sinks)
        self._sink_pickers = [FacePicker(sink.vertices_mm, sink.triangles) for sink in sinks]
        self.changed()

    def set_sinks_stale(self, stale: bool) -> None:
        self.scene.set_sinks_stale(stale)
        self.changed()

    def set_sink_visible(self, number: int, on: bool) -> None:
        """Show or hide one of the sinks; a hidden one can't be clicked."""
        self.scene.set_sink_visible(number, on)
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
            self.scene.set_sink_visible(number, on)
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
        """Hide what lies above a height, with its outline drawn once the hand rests."""
        self._cut_mm = height_mm
        self.scene.cut_at(height_mm)
        self.scene.section.clear()
        if height_mm is not None:
            self._rest_timer.start()
        self.changed()

    def _outline_cut(self) -> None:
        self.scene.outline_cut()
        self.changed()

    def fit(self) -> None:
        """Show the whole part and its sinks down to the plate, at the next paint, when the view's size is known."""
        self._fit_wanted = True
        self.changed()

    def _fit_now(self) -> None:
        self._fit_wanted = False
        if self._part is not None:
            low, high = self._part.low_mm.copy(), self._part.high_mm
            low[2] = min(low[2], 0.0)
            self.moves.fit(low, high)
            self.place_marks()

    def fly_to(self, at_mm: tuple[float, float, float]) -> None:
        """Bring a place of the part to the middle."""
        if self._part is not None:
            self.moves.fly_to(at_mm, 0.6 * float(np.linalg.norm(self._part.size_mm)))
            self.changed()

    def look(self, name: str) -> None:
        """Look from 'front', 'top', 'below'…, and show the whole part."""
        self.moves.look(name)
        self.fit()

    def set_parallel(self, on: bool) -> None:
        self.moves.set_parallel(on)
        self.changed()

    # Drawing -------------------------------------------------------------------------------------

    def before_drawing(self) -> None:
        if self._fit_wanted:
            self._fit_now()
        self.scene.set_part_visible(self._part_on, coarse=self.coarse)
        self.scene.set_plate_visible(self._plate_on, from_above=bool(self.moves.axes()[2, 2] > 0))
        self.scene.refine_preview(rough=self._front_only)
        self.scene.set_pixel_ratio(self.devicePixelRatioF())

    def place_marks(self) -> None:
        if not self._marks_made:
            return
        self.scale.move(self.width() - self.scale.width() - 8, self.height() - self.scale.height() - 8)
        self.colour_choice.resize(self.scale.width(), self.colour_choice.sizeHint().height())
        self.colour_choice.move(self.scale.x(), self.scale.y() - self.colour_choice.height() - 4)
        beside = self.scale.x() >= AXES_PX or self.scale.isHidden()
        self.axes_mark.resize(max(AXES_PX, min(250, (self.scale.x() if beside else self.width()) - 8)), AXES_PX)
        floor = self.height() if beside else self.colour_choice.y()
        self.axes_mark.move(4, floor - self.axes_mark.height() - 4)
        self.axes_mark.set_view(self.moves.axes(), self.moves.mm_per_px if self.moves.parallel else 0.0)
        if self._part is not None:
            ends = self.moves.project(self.scene.front_ends_mm)
            taken = [mark.geometry() for mark in (self.axes_mark, self.scale, self.colour_choice)]
            self.front_word.put_along(ends, self._plate_on, tuple(taken))
        else:
            self.front_word.hide()

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
        """The hit under a pixel and the sink it belongs to, -1 for the part itself."""
        self.set_clipping()
        ray: tuple[FloatArray, FloatArray] | None = self.moves.ray(at.x(), at.y())
        if self._cut_mm is not None and ray is not None:
            ray = below_height(*ray, self._cut_mm)
        if self._picker is None or ray is None:
            return None, -1
        best, owner = self._picker.first_hit(*ray), -1
        for number, picker in enumerate(self._sink_pickers):
            hit = picker.first_hit(*ray) if self.scene.sinks[number].visible else None
            if hit is not None and (best is None or hit.share < best.share):
                best, owner = hit, number
        return best, owner

    def prepare_picking(self) -> None:
        """Build the search tree before the first click asks for it."""
        if self._picker is not None:
            self._picker.prepare()

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

    def keyPressEvent(self, ev: QKeyEvent) -> None:
        if ev.key() == Qt.Key.Key_Escape:
            self.clear_wanted.emit()
        else:
            super().keyPressEvent(ev)

    def shut(self) -> None:
        """Stop timers and free the graphics memory; the view is not used afterwards."""
        self._hover_timer.stop()
        self._rest_timer.stop()
        super().shut()
