"""A VTK picture in a Qt widget that draws once per change; the mouse turns, pans and zooms."""

import time

import numpy as np
from PySide6.QtCore import QEvent, QPointF, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPixmap, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QWidget
from vtkmodules.vtkRenderingCore import vtkRenderer

from app.view.camera_moves import CameraMoves
from app.view.gl_frame import GlFrame
from app.view.kept_picture import KeptPicture

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
        self.renderer = vtkRenderer()
        self.front = vtkRenderer()
        """For what moves while all else stands still; hidden by what lies before it, like everything."""
        self.render_window.SetNumberOfLayers(2)
        self.front.SetLayer(1)
        self.front.PreserveDepthBufferOn()
        self.front.SetActiveCamera(self.renderer.GetActiveCamera())
        for renderer in (self.renderer, self.front):
            self.render_window.AddRenderer(renderer)
        self._kept = KeptPicture(self.render_window)
        self._front_only = False
        self.moves = CameraMoves(self.renderer.GetActiveCamera())
        self.coarse = False
        """True while a coarser picture stands in for one that takes long."""
        self._full_ms = 0.0
        self._dirty = True
        self._shut = False
        self._due = False
        """False until the turn in which the picture is to be drawn."""
        self._turn_timer = QTimer(self, interval=0, singleShot=True)
        self._turn_timer.timeout.connect(self._take_turn)
        self._complete = False
        """True while VTK's buffer holds a full picture of all but the front things, which can be kept as it is."""
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

    def changed(self) -> None:
        """Something is to be drawn again, in a turn of its own: what else the change brings doesn't add to the wait."""
        self._kept.valid, self._front_only, self._complete = False, False, False
        self._dirty = True
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
        self.coarse = self._full_ms > SLOW_MS
        if self.coarse:
            self._still_timer.start()
        self.changed()

    def front_moved(self) -> None:
        """Only things of the front renderer moved: until the hand rests they are drawn over a picture of the rest."""
        self.coarse, self._front_only, self._dirty = False, True, True
        self._still_timer.start()
        self._draw()

    def _still(self) -> None:
        self.coarse, self._front_only, self._dirty = False, False, True
        self._draw()

    def place_marks(self) -> None:
        """Called when the camera or the size changed."""

    def before_drawing(self) -> None:
        """Called just before a picture is made."""

    def paintGL(self) -> None:
        if self._dirty and self._due and not self._shut:
            self._dirty, self._due = False, False
            self.before_drawing()
            self.set_clipping()
            start = time.perf_counter()
            self.draw()
            if not self.coarse and not self._front_only:
                self._full_ms = 1000 * (time.perf_counter() - start)
            self.drawn.emit()

    def set_clipping(self) -> None:
        """Depths between which things are drawn: the same for both renderers, whatever the front one holds."""
        bounds = np.reshape(self.renderer.ComputeVisiblePropBounds(), (3, 2))
        if bounds[0, 0] <= bounds[0, 1]:
            bounds = bounds + np.array([-FRONT_ROOM_MM, FRONT_ROOM_MM])
            self.renderer.ResetCameraClippingRange(*bounds.ravel().tolist())

    def make_picture(self) -> None:
        """All of it, or, while only the front moves, that over a kept picture of the rest."""
        smooth = not self._smooth_edges and not self.coarse
        in_front = self.front.VisibleActorCount() > 0
        if not self._front_only:
            self.renderer.SetUseFXAA(smooth and not in_front)
            self.front.SetUseFXAA(smooth and in_front)  # the last one smooths the whole picture
            super().make_picture()
            self._complete = not in_front and not self.coarse
            return
        self.front.UseFXAAOff()
        if self._kept.valid:
            self._kept.put_back()
        elif self._complete:
            self._kept.keep()
        else:
            self.renderer.SetUseFXAA(smooth)
            self.front.DrawOff()
            super().make_picture()
            self.front.DrawOn()
            self._kept.keep()
        self._complete = False
        self.renderer.DrawOff()
        super().make_picture()
        self.renderer.DrawOn()

    def resizeEvent(self, e: QResizeEvent) -> None:
        self._due = False  # Qt paints within it, and once more afterwards
        super().resizeEvent(e)
        self._draw()

    def resizeGL(self, w: int, h: int) -> None:
        super().resizeGL(w, h)
        self.moves.size_px = (max(w, 1), max(h, 1))
        self._dirty, self._kept.valid, self._complete = True, False, False
        self.place_marks()

    def picture(self) -> QPixmap:
        """What is seen now, with the marks."""
        self.settle()
        return self.grab()

    def settle(self) -> None:
        """Have the full picture now, not a coarse or an old one."""
        if self._dirty or self.coarse or not self._complete:
            self._turn_timer.stop()
            self._still_timer.stop()
            self.place_marks()
            self._still()
            self.repaint()

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
            self._kept.free()
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
