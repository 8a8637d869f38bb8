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
            facing = self.normals @ back > 0
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
        farthest = _largest_around(drawn)
        beside_lines = farthest
        for _ in range(int(np.ceil(LINE_PX * view.devicePixelRatioF() / 2))):
            beside_lines = _largest_around(beside_lines)
        ratio = np.array([farthest.shape[1] / width, farthest.shape[0] / height], dtype=np.float32)
        column, row = (at[:, :2] * ratio).astype(np.int32).T
        row, column = np.minimum(row, drawn.shape[0] - 1), np.minimum(column, drawn.shape[1] - 1)
        maybe = at[:, 2] <= beside_lines[row, column]
        which, at, row, column = which[maybe], at[maybe], row[maybe], column[maybe]
        return SeenFaces(faces=self.faces[which], at_px=at[:, :2], doubtful=at[:, 2] > farthest[row, column])


def _depths_drawn(view: "PartView") -> FloatArray:
    """(rows, columns) from the top: depth of every pixel, 0 near to 1 far."""
    view.makeCurrent()
    width, height = view.render_window.GetSize()
    depths = vtkFloatArray()
    view.render_window.GetZbufferData(0, 0, width - 1, height - 1, depths)
    return vtk_to_numpy(depths).reshape(height, width)[::-1]  # type: ignore[no-untyped-call]


def _largest_around(depths: FloatArray) -> FloatArray:
    """The largest depth in a pixel and the eight around it.

    A face that leans away is drawn nearer on one side of its pixel and farther on the other.
    """
    padded = np.pad(depths, 1, mode="edge")
    wide = np.maximum(np.maximum(padded[:, :-2], padded[:, 1:-1]), padded[:, 2:])
    return np.maximum(np.maximum(wide[:-2], wide[1:-1]), wide[2:])
