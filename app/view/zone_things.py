"""The downskin zones as drawn: a violet film over the part, for they lie inside it, and filled where it is cut."""

from collections.abc import Sequence

from vtkmodules.vtkRenderingCore import vtkRenderer

from app.appearance import ZONE, ZONE_EDGE
from app.view.body_things import BodyThings, Solid
from app.view.cut_plane import Cut
from app.view.section_cut import SectionCut

OPACITY = 0.45
BEFORE_PART = 1.0
"""Drawn this much nearer to the eye, as its underside is the downskin itself; the outline of picks comes before it."""


class ZoneThings(BodyThings):
    """Bodies, and their own faces in a section, which lie in that of the part."""

    def __init__(self, renderer: vtkRenderer) -> None:
        super().__init__(renderer, ZONE, ZONE_EDGE, opacity=OPACITY, towards_eye=BEFORE_PART)
        self.section = SectionCut(renderer, (ZONE,))
        for face in self.section.faces:
            face.mapper.SetRelativeCoincidentTopologyPolygonOffsetParameters(-BEFORE_PART, -BEFORE_PART)

    def show_zones(self, zones: Sequence[Solid]) -> None:
        """Other zones, cut like everything else."""
        self.section.clear()
        self.show(zones, self.section.plane if self.section.cut is not None else None)

    def cut_by(self, cut: Cut | None) -> None:
        """Hide what lies on the far side of a plane; None shows all again."""
        self.section.set(cut, self.all)

    def outline_cut(self) -> None:
        """Fill and outline where the plane meets the zones that are shown."""
        self.section.outline([[body.mesh] for body in self.bodies if body.visible])
