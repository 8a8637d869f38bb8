"""The sinks as drawn: solid, or see-through on demand."""

from vtkmodules.vtkRenderingCore import vtkRenderer

from app.appearance import SINK, SINK_EDGE
from app.view.body_things import BodyThings

SEE_THROUGH = 0.2
"""Opacity of the sinks when what lies behind them is looked at; their edges stay."""


class SinkThings(BodyThings):
    """Solid unless asked for, as see-through sinks cost a second pass over them."""

    def __init__(self, renderer: vtkRenderer) -> None:
        super().__init__(renderer, SINK, SINK_EDGE)
        self.see_through = False

    def set_see_through(self, on: bool) -> None:
        """Let what lies behind be seen, or not."""
        self.see_through = on
        self.set_opacity(SEE_THROUGH if on else 1.0)
