"""A tool of the view: every click marks the side under the mouse as never downskin, or lets it be downskin again."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, Qt, Signal

from app.view.tool import Tool

if TYPE_CHECKING:
    from app.view.part_view import PartView


class NeverTool(Tool):
    """Knows nothing of the job; tells which face was clicked."""

    clicked = Signal(int)
    """Number of the part's face."""
    cursor = Qt.CursorShape.PointingHandCursor

    def __init__(self, view: "PartView") -> None:
        super().__init__(view)

    def words(self) -> str:
        return self.tr("Click a side that must never be downskin; again to let it · right drag turns · Esc ends")

    def press(self, at: QPointF, keys: Qt.KeyboardModifier) -> None:
        hit, owner = self.view.face_at(at)
        if hit is None or owner >= 0:
            self.said.emit(self.tr("No face of the part lies there · Esc ends"))
            return
        self.clicked.emit(hit.face)
        self.said.emit(self.words())
