"""The view with a tool in the hand: hands the left button to it and draws its marks."""

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPaintEvent, QWheelEvent
from PySide6.QtWidgets import QWidget

from app.view.gl_view import GlView
from app.view.overlays import Overlay
from app.view.tool import Tool


class ToolMarks(Overlay):
    """A sheet over the whole view on which the tool draws."""

    def __init__(self, view: "ToolView") -> None:
        super().__init__(view)
        self._view = view
        self.hide()

    def paintEvent(self, event: QPaintEvent) -> None:
        if self._view.tool is not None:
            painter = self.painter()
            self._view.tool.paint(painter)
            painter.end()


class ToolView(GlView):
    """Without a tool it is a plain GlView."""

    tool_changed = Signal()
    """A tool was taken, put down or changed for another one."""
    clear_wanted = Signal()
    """Escape was pressed with no tool in the hand."""

    def __init__(self, parent: QWidget | None = None, *, smooth_edges: bool = False) -> None:
        self.tool: Tool | None = None
        super().__init__(parent, smooth_edges=smooth_edges)
        self.tool_marks = ToolMarks(self)

    def take(self, tool: Tool | None) -> None:
        """Take a tool into the hand, or put down the one that is there."""
        if tool is self.tool:
            return
        if self.tool is not None:
            self.tool.put_down()
        self.tool = tool
        self.turn_button = Qt.MouseButton.LeftButton if tool is None else Qt.MouseButton.RightButton
        self.tool_marks.setGeometry(self.rect())
        self.tool_marks.setVisible(tool is not None)
        if tool is None:
            self.unsetCursor()
        else:
            self.setCursor(tool.cursor)
            self.setFocus()
            self.left.emit()  # what lay under the mouse is not told of any more
        self.tool_changed.emit()

    def resizeGL(self, w: int, h: int) -> None:
        super().resizeGL(w, h)
        self.tool_marks.setGeometry(self.rect())

    def mousePressEvent(self, ev: QMouseEvent) -> None:
        if self.tool is not None and ev.button() == Qt.MouseButton.LeftButton:
            self.tool.press(ev.position(), ev.modifiers())
        else:
            super().mousePressEvent(ev)

    def mouseMoveEvent(self, ev: QMouseEvent) -> None:
        if self.tool is None:
            super().mouseMoveEvent(ev)
        elif ev.buttons() & Qt.MouseButton.LeftButton:
            self.tool.drag(ev.position(), ev.modifiers())
        elif ev.buttons() == Qt.MouseButton.NoButton:
            self.tool.hover(ev.position())
        else:
            super().mouseMoveEvent(ev)

    def mouseReleaseEvent(self, ev: QMouseEvent) -> None:
        if self.tool is not None and ev.button() == Qt.MouseButton.LeftButton:
            self.tool.release(ev.position(), ev.modifiers())
        else:
            super().mouseReleaseEvent(ev)

    def wheelEvent(self, ev: QWheelEvent) -> None:
        if self.tool is None or not self.tool.wheel(ev.angleDelta().y() / 120, ev.modifiers()):
            super().wheelEvent(ev)

    def leaveEvent(self, ev: QEvent) -> None:
        if self.tool is not None:
            self.tool.hover(None)
        super().leaveEvent(ev)

    def keyPressEvent(self, ev: QKeyEvent) -> None:
        if ev.key() == Qt.Key.Key_Escape:
            self.take(None) if self.tool is not None else self.clear_wanted.emit()
        elif self.tool is None or not self.tool.key(ev):
            super().keyPressEvent(ev)
