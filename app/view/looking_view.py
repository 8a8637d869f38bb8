"""Where the view looks from and how much it shows: standard sides, the whole part, a box, a place."""

import numpy as np
from PySide6.QtWidgets import QWidget

from app.view.tool_view import ToolView
from core.units import FloatArray

CLOSE_SHARE = 0.6
"""A place flown to is shown with so much around it, as a share of the diagonal of the whole."""


class LookingView(ToolView):
    """Whole views are fitted at the next paint, when the size of the view is known."""

    def __init__(self, parent: QWidget | None = None, *, smooth_edges: bool = False) -> None:
        self._fit_wanted = False
        super().__init__(parent, smooth_edges=smooth_edges)

    def whole_box(self) -> tuple[FloatArray, FloatArray] | None:
        """Both corners, (3,) each, of the part with its sinks down to the plate; None without a part."""
        return None

    def fit(self) -> None:
        """Show the whole of it at the next paint."""
        self._fit_wanted = True
        self.changed()

    def before_drawing(self) -> None:
        box = self.whole_box() if self._fit_wanted else None
        self._fit_wanted = False
        if box is not None:
            self.moves.fit(*box)
            self.place_marks()

    def fit_box(self, low_mm: FloatArray, high_mm: FloatArray) -> None:
        """Show the whole of a box, both corners (3,)."""
        self._fit_wanted = False
        self.moves.fit(low_mm, high_mm)
        self.changed()

    def fly_to(self, at_mm: tuple[float, float, float]) -> None:
        """Bring a place of the part to the middle."""
        box = self.whole_box()
        if box is not None:
            self.moves.fly_to(at_mm, CLOSE_SHARE * float(np.linalg.norm(box[1] - box[0])))
            self.changed()

    def look(self, name: str) -> None:
        """Look from 'front', 'top', 'below'…, and show the whole part."""
        self.moves.look(name)
        self.fit()

    def set_parallel(self, on: bool) -> None:
        """Orthographic or perspective."""
        self.moves.set_parallel(on)
        self.changed()
