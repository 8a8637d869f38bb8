"""The sinks as drawn: solid, see-through on demand, grey when out of date, one by one hidden."""

from vtkmodules.vtkCommonDataModel import vtkPlane
from vtkmodules.vtkRenderingCore import vtkRenderer

from app.appearance import SINK, SINK_EDGE, STALE, STALE_EDGE
from app.view.meshes import sharp_edges, triangle_mesh
from app.view.thing import Thing
from core.sink.sink import Sink

SEE_THROUGH = 0.2
"""Opacity of the sinks when what lies behind them is looked at; their edges stay."""


class SinkThings:
    """A mesh and its sharp edges for every sink."""

    def __init__(self, renderer: vtkRenderer) -> None:
        self._renderer = renderer
        self.bodies: list[Thing] = []
        self.edges: list[Thing] = []
        self._hidden: set[int] = set()
        self._aside, self._stale, self.see_through = False, False, False

    @property
    def all(self) -> list[Thing]:
        return [*self.bodies, *self.edges]

    def show(self, sinks: tuple[Sink, ...], cut: vtkPlane | None) -> None:
        """Other sinks; cut is the plane that cuts everything else, if any."""
        self.clear()
        for sink in sinks:
            body = Thing(self._renderer, SINK)
            body.show(triangle_mesh(sink.vertices_mm, sink.triangles))
            self.bodies.append(body)
            lines = Thing(self._renderer, SINK_EDGE, line_width=1.2, towards_eye=1.0, lit=False)
            lines.show(sharp_edges(body.mesh))
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

    def set_see_through(self, on: bool) -> None:
        """See-through sinks cost a second pass over them, so they are solid unless asked for."""
        self.see_through = on
        self._dress()

    def _dress(self) -> None:
        for body in self.bodies:
            body.set_colour(STALE if self._stale else SINK)
            look = body.actor.GetProperty()
            look.SetOpacity(SEE_THROUGH if self.see_through else 1.0)
            look.SetBackfaceCulling(self.see_through)
        for lines in self.edges:
            lines.set_colour(STALE_EDGE if self._stale else SINK_EDGE)

    def set_aside(self, on: bool) -> None:
        """Make room for the preview, or come back."""
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
