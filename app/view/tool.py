"""What a tool of the view is: it takes the left button for itself and says in one sentence what to do."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QPointF, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter

if TYPE_CHECKING:
    from app.view.part_view import PartView


class Tool(QObject):
    """Does nothing by itself. While a tool is in the hand, the right button turns the view."""

    said = Signal(str)
    """What to do next, or what came out, for the status bar."""
    cursor = Qt.CursorShape.CrossCursor

    def __init__(self, view: "PartView") -> None:
        super().__init__(view)
        self.view = view

    def words(self) -> str:
        """What to do now, in one sentence."""
        raise NotImplementedError

    def put_down(self) -> None:
        """The tool leaves the hand; forget what was begun."""

    def press(self, at: QPointF, keys: Qt.KeyboardModifier) -> None:
        """The left button went down."""

    def drag(self, at: QPointF, keys: Qt.KeyboardModifier) -> None:
        """The mouse moved with the left button down."""

    def release(self, at: QPointF, keys: Qt.KeyboardModifier) -> None:
        """The left button went up."""

    def hover(self, at: QPointF | None) -> None:
        """The mouse moved with no button down; None when it left the view."""

    def key(self, event: QKeyEvent) -> bool:
        """A key was pressed; True when it was for the tool."""
        return False

    def wheel(self, steps: float, keys: Qt.KeyboardModifier) -> bool:
        """The wheel turned; True when it was for the tool."""
        return False

    def paint(self, painter: QPainter) -> None:
        """Draw over the view, in its own pixels."""
