"""Parts and sinks made of boxes and cylinders, so that what must come out is plain from the drawing."""

import manifold3d as m3d
import numpy as np

from core.part.part import Part
from core.sink.sink import Sink
from core.sink.solid import to_arrays


def box(low: tuple[float, float, float], high: tuple[float, float, float]) -> m3d.Manifold:
    """A box from corner to corner, mm."""
    return m3d.Manifold.cube(tuple(np.subtract(high, low))).translate(low)


def tube(radius: float, low_z: float, high_z: float, bore: float = 0.0) -> m3d.Manifold:
    """A cylinder about the z axis, bored when asked, mm."""
    solid = m3d.Manifold.cylinder(high_z - low_z, radius, circular_segments=64).translate((0, 0, low_z))
    return solid - m3d.Manifold.cylinder(high_z + 1, bore, circular_segments=64) if bore else solid


def drawn_part(solid: m3d.Manifold) -> Part:
    vertices, triangles = to_arrays(solid)
    return Part(name="drawn", file_format="stl", units="mm", vertices_mm=vertices, triangles=triangles)


def drawn_sink(solid: m3d.Manifold, gap_mm: float = 0.3, name: str = "sink-01") -> Sink:
    vertices, triangles = to_arrays(solid)
    return Sink(
        name=name,
        patches=(1,),
        kind="block",
        vertices_mm=vertices,
        triangles=triangles,
        gap_mm=gap_mm,
        min_clearance_mm=gap_mm,
        nearest_mm=(0.0, 0.0, 0.0),
        gap_error_p99_um=0.0,
        gap_error_max_um=0.0,
        rim_gap_max_mm=gap_mm,
        covered_area_mm2=1.0,
        patch_area_mm2=1.0,
        volume_mm3=solid.volume(),
        watertight=True,
        on_plate=True,
        pieces=1,
    )
