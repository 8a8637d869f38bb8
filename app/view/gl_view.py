"""A VTK picture in a Qt widget that draws once per change; the mouse turns, pans and zooms."""

import math
import time

import numpy as np
from PySide6.QtCore import QEvent, QPointF, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPixmap, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QWidget
from vtkmodules.vtkRenderingCore import vtkProp

from app.view.camera_moves import CameraMoves
from app.view.gl_frame import GlFrame
from app.view.picture_maker import FIRST, SECOND, WHOLE, PictureMaker

CLICK_PX = 4
"""A press that moves less than this until its release is a click."""
ARROW_PX = 25
SLOW_MS = 30.0
STILL_MS = 220
FRONT_ROOM_MM = 10.0
"""How far things of the front renderer may move out of the bounds of the rest and still be drawn."""


class GlView(GlFrame):
    """Left drag turns, middle or right drag pans, the wheel zooms at the mouse."""

    clicked = Signal(QPointF, Qt.KeyboardModifier)
    hovered = Signal(QPointF)
    left = Signal()
    """The mouse left the view."""
    drawn = Signal()
    """A picture was rendered."""

    def __init__(self, parent: QWidget | None = None, *, smooth_edges: bool = False) -> None:
        super().__init__(parent)
        self._maker = PictureMaker(self.render_window)
        self.renderer, self.front = self._maker.renderer, self._maker.front
        self._front_only = False
        self.moves = CameraMoves(self.renderer.GetActiveCamera())
        self.coarse = False
        """True while a coarser picture stands in for one that takes long."""
        self._full_ms, self._made_ms = math.inf, 0.0
        """What the last full picture took, and what the one being made took so far."""
        self._half = WHOLE
        self._at_once = False
        self._dirty = True
        self._shut = False
        self._due = False
        """False until the turn in which the picture is to be drawn."""
        self._turn_timer = QTimer(self, interval=0, singleShot=True)
        self._turn_timer.timeout.connect(self._take_turn)
        self.turn_button = Qt.MouseButton.LeftButton
        self._pressed_at: QPointF | None = None
        self._last_at = QPointF()
        self._dragging = False
        self._still_timer = QTimer(self, interval=STILL_MS, singleShot=True)
        self._still_timer.timeout.connect(self._still)
        self.set_smooth_edges(smooth_edges)

    # Drawing -------------------------------------------------------------------------------------

    def set_smooth_edges(self, on: bool) -> None:
        """Several samples per pixel (slow without a graphics card), or edges smoothed afterwards."""
        self._smooth_edges = on
        self.render_window.SetMultiSamples(8 if on else 0)
        self.changed()

    def expect(self, *, slow: bool) -> None:
        """Something else is drawn from now on, which may take long until its first picture has shown.

        The very first picture does: the graphics driver compiles its programs.
        """
        self._full_ms = math.inf if slow or math.isinf(self._full_ms) else 0.0

    def changed(self) -> None:
        """Something is to be drawn again, in a turn of its own: what else the change brings doesn't add to the wait."""
        self._maker.forget()
        self._front_only, self._dirty = False, True
        self._turn_timer.start()

    def _take_turn(self) -> None:
        self.place_marks()
        self._draw()

    def _draw(self) -> None:
        """Have the picture drawn at the next paint."""
        self._due = True
        self.update()

    def moved(self) -> None:
        """As `changed`, while the hand moves: where pictures take long, a coarser one is drawn until it rests."""
        self._coarse_for_now()
        self.changed()

    def _coarse_for_now(self) -> None:
        self.coarse = SLOW_MS < self._full_ms < math.inf
        if self.coarse:
            self._still_timer.start()

    def front_moved(self) -> None:
        """Only things of the front renderer moved: until the hand rests they are drawn over a picture of the rest."""
        self.coarse, self._front_only = False, True
        self._dirty = self._dirty or self._half != FIRST  # else the second half draws them
        self._still_timer.start()
        self._draw()

    def _still(self) -> None:
        self.coarse, self._front_only, self._dirty = False, False, True
        self._draw()

    def place_marks(self) -> None:
        """Called when the camera or the size changed."""

    def before_drawing(self) -> None:
        """Called just before a picture is made."""

    def heavy_things(self) -> list[vtkProp]:
        """What takes longest to draw; where pictures take long, it is drawn in a turn before all else."""
        return []

    def paintGL(self) -> None:
        if self._shut or not self._due or not (self._dirty or self._half == FIRST):
            return
        self._due = False
        if self._dirty:
            self._dirty, self._made_ms = False, 0.0
            self.before_drawing()
            self.set_clipping()
            quick = self.coarse or (self._front_only and self._maker.has_ground)
            self._half = FIRST if self._full_ms > SLOW_MS and not (quick or self._at_once) else WHOLE
        else:
            self._half = SECOND
        start = time.perf_counter()
        self.draw(shown=self._half != FIRST)  # until all is drawn, the last picture stays
        self._made_ms += 1000 * (time.perf_counter() - start)
        if self._half == FIRST:
            QTimer.singleShot(0, self, self._draw)
            return
        self._half = WHOLE
        if not self.coarse and not self._front_only:
            self._full_ms = self._made_ms
        self.drawn.emit()

    def set_clipping(self) -> None:
        """Depths between which things are drawn: the same for both renderers, whatever the front one holds."""
        bounds = np.reshape(self.renderer.ComputeVisiblePropBounds(), (3, 2))
        if bounds[0, 0] <= bounds[0, 1]:
            bounds = bounds + np.array([-FRONT_ROOM_MM, FRONT_ROOM_MM])
            self.renderer.ResetCameraClippingRange(*bounds.ravel().tolist())

    def make_picture(self) -> None:
        smooth = not self._smooth_edges and not self.coarse
        render = super().make_picture
        self._maker.make(
            render, self._half, self.heavy_things(), front_only=self._front_only, smooth=smooth, coarse=self.coarse
        )

    def resizeEvent(self, e: QResizeEvent) -> None:
        self._due = False  # Qt paints within it, and once more afterwards
        super().resizeEvent(e)
        self._coarse_for_now()
        self._draw()

    def resizeGL(self, w: int, h: int) -> None:
        super().resizeGL(w, h)
        self.moves.size_px = (max(w, 1), max(h, 1))
        self._dirty = True
        self._maker.forget()
        self.place_marks()

    def picture(self) -> QPixmap:
        """What is seen now, with the marks."""
        self.settle()
        return self.grab()

    def settle(self) -> None:
        """Have the full picture now, not a coarse or an old one."""
        if self._dirty or self.coarse or not self._maker.complete:
            self._turn_timer.stop()
            self._still_timer.stop()
            self.place_marks()
            self._still()
            self._at_once = True
            self.repaint()
            if self._dirty:  # Qt puts repainting off while an earlier picture is on its way to the screen
                self.grabFramebuffer()
            self._at_once = False

    def shut(self) -> None:
        """Free the graphics memory; the view is not used afterwards."""
        self._shut = True
        self._turn_timer.stop()
        self._still_timer.stop()
        self.free()
        self.close()

    def free(self) -> None:
        if self.context() is not None:
            self.makeCurrent()
            self._maker.kept.free()
        super().free()

    # Mouse and keys ------------------------------------------------------------------------------

    def mousePressEvent(self, ev: QMouseEvent) -> None:
        self._pressed_at = self._last_at = ev.position()
        self._dragging = False

    def mouseMoveEvent(self, ev: QMouseEvent) -> None:
        at = ev.position()
        moved = at - self._last_at
        if ev.buttons() == Qt.MouseButton.NoButton or self._pressed_at is None:
            self._last_at = at
            self.hovered.emit(at)
            return
        if not self._dragging and (at - self._pressed_at).manhattanLength() < CLICK_PX:
            return
        self._dragging = True
        self._last_at = at
        if ev.buttons() & self.turn_button:
            self.moves.turn(moved.x(), moved.y())
        else:
            self.moves.pan(moved.x(), moved.y())
        self.moved()

    def mouseReleaseEvent(self, ev: QMouseEvent) -> None:
        was_click = self._pressed_at is not None and not self._dragging and ev.button() == Qt.MouseButton.LeftButton
        self._pressed_at, self._dragging = None, False
        if was_click:
            self.clicked.emit(ev.position(), ev.modifiers())

    def wheelEvent(self, ev: QWheelEvent) -> None:
        self.moves.zoom(1.0015 ** ev.angleDelta().y(), ev.position().x(), ev.position().y())
        self.moved()

    def leaveEvent(self, ev: QEvent) -> None:
        self.left.emit()

    def keyPressEvent(self, ev: QKeyEvent) -> None:
        step = ARROW_PX
        turns = {
            Qt.Key.Key_Left: (-step, 0),
            Qt.Key.Key_Right: (step, 0),
            Qt.Key.Key_Up: (0, -step),
            Qt.Key.Key_Down: (0, step),
        }
        zooms = {Qt.Key.Key_Plus: 1.2, Qt.Key.Key_Minus: 1 / 1.2}
        if ev.key() in turns:
            self.moves.turn(*turns[Qt.Key(ev.key())])
        elif ev.key() in zooms:
            self.moves.zoom(zooms[Qt.Key(ev.key())], self.width() / 2, self.height() / 2)
        else:
            ev.ignore()
            return
        self.moved()
