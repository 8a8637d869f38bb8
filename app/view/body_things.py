"""Bodies as drawn: a mesh and its sharp edges each, grey when out of date, one by one hidden."""

from collections.abc import Sequence
from typing import Protocol

import numpy as np
from vtkmodules.vtkCommonDataModel import vtkPlane
from vtkmodules.vtkRenderingCore import vtkRenderer

from app.appearance import STALE, STALE_EDGE
from app.view.meshes import line_mesh, triangle_mesh
from app.view.thing import Thing
from core.part.part import Part
from core.part.sharp_edges import sharp_edges_mm
from core.units import FloatArray, IntArray


class Solid(Protocol):
    """What is drawn of a sink or a zone: vertices_mm (n, 3), triangles (m, 3)."""

    @property
    def vertices_mm(self) -> FloatArray: ...

    @property
    def triangles(self) -> IntArray: ...


class BodyThings:
    """One colour for all bodies and one for all their edges."""

    def __init__(
        self, renderer: vtkRenderer, colour: str, edge_colour: str, *, opacity: float = 1.0, towards_eye: float = 0.0
    ) -> None:
        """opacity: below 1 only the front of a body is drawn. towards_eye: before what lies in the same place."""
        self._renderer, self._colours = renderer, (colour, edge_colour)
        self._opacity, self._towards_eye = opacity, towards_eye
        self.bodies: list[Thing] = []
        self.edges: list[Thing] = []
        self._hidden: set[int] = set()
        self._aside, self._stale = False, False

    @property
    def all(self) -> list[Thing]:
        return [*self.bodies, *self.edges]

    def show(self, solids: Sequence[Solid], cut: vtkPlane | None) -> None:
        """Other bodies; cut is the plane that cuts everything else, if any."""
        self.clear()
        for solid in solids:
            body = Thing(self._renderer, self._colours[0], towards_eye=self._towards_eye)
            body.show(triangle_mesh(solid.vertices_mm, solid.triangles))
            self.bodies.append(body)
            nearer = self._towards_eye + 1.0
            lines = Thing(self._renderer, self._colours[1], line_width=1.2, towards_eye=nearer, lit=False)
            lines.show(line_mesh(_sharp_edges_mm(solid)))
            self.edges.append(lines)
        if cut is not None:
            for thing in self.all:
                thing.mapper.AddClippingPlane(cut)
        self._dress()

    def clear(self) -> None:
        self._hidden.clear()
        for thing in self.all:
            self._renderer.RemoveActor(thing.actor)
        self.bodies.clear()
        self.edges.clear()

    def set_stale(self, stale: bool) -> None:
        """Grey while they don't belong to the job as it is now."""
        self._stale = stale
        self._dress()

    def set_opacity(self, opacity: float) -> None:
        """A see-through body costs a second pass over it."""
        self._opacity = opacity
        self._dress()

    def _dress(self) -> None:
        for body in self.bodies:
            body.set_colour(STALE if self._stale else self._colours[0])
            look = body.actor.GetProperty()
            look.SetOpacity(self._opacity)
            look.SetBackfaceCulling(self._opacity < 1.0)
        for lines in self.edges:
            lines.set_colour(STALE_EDGE if self._stale else self._colours[1])

    def set_aside(self, on: bool) -> None:
        """Make room for something else, or come back."""
        self._aside = on
        self._set_visibility()

    def set_visible(self, number: int, on: bool) -> None:
        """Show or hide one of them."""
        self._hidden.discard(number) if on else self._hidden.add(number)
        self._set_visibility()

    def _set_visibility(self) -> None:
        for things in (self.bodies, self.edges):
            for number, thing in enumerate(things):
                thing.set_visible(not self._aside and number not in self._hidden)


def _sharp_edges_mm(solid: Solid) -> FloatArray:
    """(k, 2, 3) as of a part."""
    triangles = np.ascontiguousarray(solid.triangles, dtype=np.int32)
    return sharp_edges_mm(Part(name="", file_format="", units="mm", vertices_mm=solid.vertices_mm, triangles=triangles))
