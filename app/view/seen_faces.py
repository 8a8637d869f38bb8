"""Which of some faces are seen from where the eye stands, and where in the view their centres lie."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from vtkmodules.util.numpy_support import vtk_to_numpy
from vtkmodules.vtkCommonCore import vtkFloatArray

from core.part.part import Part
from core.units import BoolArray, FloatArray, IntArray

if TYPE_CHECKING:
    from app.view.part_view import PartView

FORGIVEN_PX = 0.3
"""A centre counts as seen when it lies at most so many pixels' worth of mm behind what was drawn there."""
BESIDE_PX = 3.0
"""What is drawn beside a centre and nearer by less than so many pixels' worth of mm is the same surface, or a line."""
STEEPEST = 8.0
"""One over the cosine to the eye up to which a leaning face is told from something before it."""
LINE_PX = 3.0
"""Width of the lines drawn over faces, such as the outline of those picked before."""


@dataclass(frozen=True, kw_only=True, eq=False)
class SeenFaces:
    """faces: (k,) face numbers. at_px: (k, 2) where their centres lie in the view.

    doubtful: (k,) True where a line is drawn over the centre or something nearer begins right beside it; only a look
    at the one face can tell.
    """

    faces: IntArray
    at_px: FloatArray
    doubtful: BoolArray


class FaceCentres:
    """Centres and normals of the faces of one part, kept in single precision so that a million are quick."""

    def __init__(self, part: Part, faces: IntArray) -> None:
        """faces: (n,) face numbers."""
        self.part, self.faces = part, faces
        corners = part.triangles[faces]
        points = part.vertices_mm.astype(np.float32)
        self.centres_mm = (points[corners[:, 0]] + points[corners[:, 1]] + points[corners[:, 2]]) / np.float32(3)
        self.normals = part.normals[faces].astype(np.float32)

    def seen(self, view: "PartView") -> SeenFaces:
        """The faces whose centre is seen in the picture as drawn.

        Seen is what faces the eye, is not taken away by the section, and is not covered by another face or a sink;
        see-through and hidden sinks cover nothing.
        """
        moves = view.moves
        view.settle()
        view.set_clipping()
        back = moves.axes()[2].astype(np.float32)
        if moves.parallel:
            facing = _along(self.normals, back) > 0
        else:
            eye = moves.eye_mm.astype(np.float32)
            facing = np.einsum("ij,ij->i", self.normals, eye - self.centres_mm) > 0
        if view.cut is not None:
            facing &= view.cut.keeps(self.centres_mm)
        which = np.flatnonzero(facing)
        nearer = self.centres_mm[which] + np.float32(FORGIVEN_PX * moves.mm_per_px) * back
        at = moves.project_deep(nearer)
        width, height = moves.size_px
        inside = (at[:, 0] >= 0) & (at[:, 0] < width) & (at[:, 1] >= 0) & (at[:, 1] < height)
        which, at = which[inside], at[inside]
        drawn = _depths_drawn(view)
        farthest = drawn
        for _ in range(1 + int(np.ceil(LINE_PX * view.devicePixelRatioF() / 2))):
            farthest = _around(farthest, np.maximum)
        ratio = np.array([drawn.shape[1] / width, drawn.shape[0] / height], dtype=np.float32)
        column, row = (at[:, :2] * ratio).astype(np.int32).T
        row, column = np.minimum(row, drawn.shape[0] - 1), np.minimum(column, drawn.shape[1] - 1)
        maybe = at[:, 2] <= farthest[row, column]
        which, at, row, column = which[maybe], at[maybe], row[maybe], column[maybe]
        # A face that leans away is drawn nearer on one side of its pixel; what is nearer still is something else.
        cosine = np.clip(_along(self.normals[which], back), 1 / STEEPEST, 1.0)
        lean_mm = moves.mm_per_px * (BESIDE_PX + 3.0 * np.sqrt(1 / cosine**2 - 1))
        nearest = _around(drawn, np.minimum)[row, column]
        doubtful = nearest < at[:, 2] - moves.depth_per_mm * lean_mm
        return SeenFaces(faces=self.faces[which], at_px=at[:, :2], doubtful=doubtful)


def _along(vectors: FloatArray, way: FloatArray) -> FloatArray:
    """(n,) products of vectors (n, 3) with one (3,), written out: quicker on a busy machine."""
    found: FloatArray = vectors[:, 0] * way[0] + vectors[:, 1] * way[1] + vectors[:, 2] * way[2]
    return found


def _depths_drawn(view: "PartView") -> FloatArray:
    """(rows, columns) from the top: depth of every pixel, 0 near to 1 far."""
    view.makeCurrent()
    width, height = view.render_window.GetSize()
    depths = vtkFloatArray()
    view.render_window.GetZbufferData(0, 0, width - 1, height - 1, depths)
    return vtk_to_numpy(depths).reshape(height, width)[::-1]  # type: ignore[no-untyped-call]


def _around(depths: FloatArray, of: np.ufunc) -> FloatArray:
    """The largest or least depth in a pixel and the eight around it."""
    padded = np.pad(depths, 1, mode="edge")
    wide = of(of(padded[:, :-2], padded[:, 1:-1]), padded[:, 2:])
    found: FloatArray = of(of(wide[:-2], wide[1:-1]), wide[2:])
    return found
