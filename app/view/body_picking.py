"""What lies under a line of sight: the part or one of its sinks, whichever comes first and is shown."""

import numpy as np

from app.view.cut_plane import Cut
from app.view.face_picking import FacePicker, Hit
from core.part.part import Part
from core.sink.sink import Sink
from core.units import FloatArray, IntArray


class BodyPicker:
    """A search tree per body, each built at the first question."""

    def __init__(self) -> None:
        self._corners: list[tuple[FloatArray, IntArray]] = []
        """Points and triangles of the part and of every sink."""
        self._part: FacePicker | None = None
        self._sinks: list[FacePicker] = []

    def take_part(self, part: Part | None) -> None:
        """Another part, without sinks yet."""
        self._part = FacePicker(part.vertices_mm, part.triangles) if part is not None else None
        self._sinks = []
        self._corners = [(part.vertices_mm, part.triangles)] if part is not None else []

    def take_sinks(self, sinks: tuple[Sink, ...]) -> None:
        """The sinks now shown."""
        self._sinks = [FacePicker(sink.vertices_mm, sink.triangles) for sink in sinks]
        self._corners = [*self._corners[:1], *((sink.vertices_mm, sink.triangles) for sink in sinks)]

    def corners_mm(self, owner: int, face: int) -> FloatArray:
        """(3, 3) corners of a triangle; owner as `first_hit` gives it."""
        points, triangles = self._corners[owner + 1]
        return np.asarray(points[triangles[face]], dtype=float)

    def prepare(self) -> bool:
        """Build a tree of the part before the first click asks for it; True while there are more to build."""
        return self._part is not None and self._part.prepare()

    def first_hit(
        self, start_mm: FloatArray, end_mm: FloatArray, cut: Cut | None, sinks_shown: list[bool]
    ) -> tuple[Hit | None, int]:
        """The first hit between two points, both (3,), and the sink it belongs to, -1 for the part itself."""
        ray: tuple[FloatArray, FloatArray] | None = (start_mm, end_mm)
        if cut is not None:
            ray = cut.stretch(start_mm, end_mm)
        if self._part is None or ray is None:
            return None, -1
        best, owner = self._part.first_hit(*ray), -1
        for number, picker in enumerate(self._sinks):
            hit = picker.first_hit(*ray) if sinks_shown[number] else None
            if hit is not None and (best is None or hit.share < best.share):
                best, owner = hit, number
        return best, owner
