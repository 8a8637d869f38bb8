"""Which triangle lies under the mouse: a ray against a search tree, fast at a million triangles."""

from dataclasses import dataclass
from typing import Any

from vtkmodules.vtkCommonCore import reference
from vtkmodules.vtkCommonDataModel import vtkStaticCellLocator

from app.view.meshes import triangle_mesh
from core.units import FloatArray, IntArray

TOLERANCE = 1e-6
"""Keeps a ray from slipping through between two triangles."""
AT_ONCE = 200_000
"""Triangles in one tree: a larger one takes so long that the window would be felt to wait."""


@dataclass(frozen=True, kw_only=True)
class Hit:
    """face: triangle number; share: 0 at the start of the ray, 1 at its end; at_mm: the point hit."""

    face: int
    share: float
    at_mm: tuple[float, float, float]


class FacePicker:
    """Answers rays on one triangle mesh; its search trees are built at the first question or by `prepare`."""

    def __init__(self, points_mm: FloatArray, triangles: IntArray) -> None:
        """points_mm: (n, 3). triangles: (m, 3)."""
        self._points_mm, self._triangles = points_mm, triangles
        self._trees: list[vtkStaticCellLocator] = []

    def prepare(self) -> bool:
        """Build one more of the trees; True while there are others to build."""
        first = AT_ONCE * len(self._trees)
        if first < len(self._triangles):
            tree = vtkStaticCellLocator()
            tree.SetDataSet(triangle_mesh(self._points_mm, self._triangles[first : first + AT_ONCE]))
            tree.BuildLocator()
            self._trees.append(tree)
        return first + AT_ONCE < len(self._triangles)

    def first_hit(self, start_mm: FloatArray, end_mm: FloatArray) -> Hit | None:
        """First triangle on the way from start to end, both (3,); None when there is none."""
        while self.prepare():
            pass
        hits = [self._hit(number, start_mm, end_mm) for number in range(len(self._trees))]
        return min((hit for hit in hits if hit is not None), key=lambda hit: hit.share, default=None)

    def _hit(self, number: int, start_mm: FloatArray, end_mm: FloatArray) -> Hit | None:
        """The first hit in one of the trees."""
        share: Any = reference(0.0)
        sub_id: Any = reference(0)
        face: Any = reference(-1)
        at, within = [0.0, 0.0, 0.0], [0.0, 0.0, 0.0]
        if not self._trees[number].IntersectWithLine(
            start_mm.tolist(), end_mm.tolist(), TOLERANCE, share, at, within, sub_id, face
        ):
            return None
        return Hit(face=AT_ONCE * number + int(face), share=float(share), at_mm=(at[0], at[1], at[2]))
