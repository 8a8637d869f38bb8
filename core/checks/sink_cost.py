"""What a sink costs: material, laser time and, when it is taller than the part, layers."""

import math
from dataclasses import dataclass

from core.checks.finding import Finding
from core.sink.sink import Sink


@dataclass(frozen=True, kw_only=True)
class SinkCost:
    """volume_mm3 and mass_g of the dense metal; scan_s of hatching; extra_layers that only the sink needs."""

    volume_mm3: float
    mass_g: float
    scan_s: float
    extra_layers: int


def sink_cost(
    sink: Sink, *, density_kg_m3: float, speed_mm_s: float, hatch_mm: float, layer_mm: float, passes: int = 1,
    part_top_mm: float = math.inf,
) -> SinkCost:  # fmt: skip
    """Hatching time is the area of all layers over speed times hatch; outlines, jumps and recoating aren't in it."""
    top_mm = float(sink.vertices_mm[:, 2].max())
    return SinkCost(
        volume_mm3=sink.volume_mm3,
        mass_g=sink.volume_mm3 * density_kg_m3 * 1e-6,
        scan_s=sink.volume_mm3 * passes / (speed_mm_s * hatch_mm * layer_mm),
        extra_layers=max(0, math.ceil((top_mm - part_top_mm) / layer_mm - 1e-6)) if math.isfinite(part_top_mm) else 0,
    )


def check_sink_cost(sink: Sink, cost: SinkCost) -> Finding:
    """The cost in words; never worse than ok."""
    text = (
        f"{sink.name} takes {cost.volume_mm3 / 1000:.3g} cm³ of metal, {cost.mass_g:.3g} g, "
        f"and about {_time_words(cost.scan_s)} of hatching."
    )
    if cost.extra_layers:
        text += f" It is taller than the part and needs {cost.extra_layers} more layers."
    return Finding(check="sink cost", level="ok", text=text)


def _time_words(seconds: float) -> str:
    if seconds < 90:
        return f"{seconds:.0f} s"
    minutes = round(seconds / 60)
    return f"{minutes} min" if minutes < 90 else f"{minutes // 60} h {minutes % 60:02d} min"
