"""Which triangle lies under the mouse: a ray against a search tree, fast at a million triangles."""

from dataclasses import dataclass
from typing import Any

from vtkmodules.vtkCommonCore import reference
from vtkmodules.vtkCommonDataModel import vtkStaticCellLocator

from app.view.meshes import triangle_mesh
from core.units import FloatArray, IntArray

TOLERANCE = 1e-6
"""Keeps a ray from slipping through between two triangles."""


@dataclass(frozen=True, kw_only=True)
class Hit:
    """face: triangle number; share: 0 at the start of the ray, 1 at its end; at_mm: the point hit."""

    face: int
    share: float
    at_mm: tuple[float, float, float]


class FacePicker:
    """Answers rays on one triangle mesh; the tree is built at the first question or by `prepare`."""

    def __init__(self, points_mm: FloatArray, triangles: IntArray) -> None:
        """points_mm: (n, 3). triangles: (m, 3)."""
        self._mesh = triangle_mesh(points_mm, triangles)
        self._locator: vtkStaticCellLocator | None = None

    def prepare(self) -> vtkStaticCellLocator:
        """Build the tree, once."""
        if self._locator is None:
            self._locator = vtkStaticCellLocator()
            self._locator.SetDataSet(self._mesh)
            self._locator.BuildLocator()
        return self._locator

    def first_hit(self, start_mm: FloatArray, end_mm: FloatArray) -> Hit | None:
        """First triangle on the way from start to end, both (3,); None when there is none."""
        if self._mesh.GetNumberOfCells() == 0:
            return None
        locator = self.prepare()
        share: Any = reference(0.0)
        sub_id: Any = reference(0)
        face: Any = reference(-1)
        at, within = [0.0, 0.0, 0.0], [0.0, 0.0, 0.0]
        if not locator.IntersectWithLine(
            start_mm.tolist(), end_mm.tolist(), TOLERANCE, share, at, within, sub_id, face
        ):
            return None
        return Hit(face=int(face), share=float(share), at_mm=(at[0], at[1], at[2]))
