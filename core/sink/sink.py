"""A finished sink: the solid as it will be written, and what was measured on it."""

from dataclasses import dataclass

from core.sink.sink_choice import SinkChoice
from core.units import FloatArray, IntArray


@dataclass(frozen=True, kw_only=True, eq=False)
class Sink:
    """One sacrificial body in build position.

    vertices_mm: (n, 3) float64 holding float32 values, so that the written file equals it.
    triangles: (m, 3) int32, outward. gap_mm is what was asked for; min_clearance_mm what was measured,
    triangle against triangle, over the whole part. Gap errors are distance minus gap over the patch
    interior (more than 1.5 gaps from the rim), rim_gap_max_mm the widest place nearer to the rim.
    """

    name: str
    patches: tuple[int, ...]
    kind: str
    vertices_mm: FloatArray
    triangles: IntArray
    gap_mm: float
    min_clearance_mm: float
    nearest_mm: tuple[float, float, float]
    """Point of the sink that is nearest to the part."""
    gap_error_p99_um: float
    gap_error_max_um: float
    rim_gap_max_mm: float
    covered_area_mm2: float
    patch_area_mm2: float
    volume_mm3: float
    watertight: bool
    on_plate: bool
    pieces: int
    choice: SinkChoice = SinkChoice()
    """The dimensions it was built with."""
    turned_deg: float = 0.0
    """How far the walls were turned off the slope's direction to keep them off the recoater blade."""
    warnings: tuple[str, ...] = ()
