"""Laser settings of one exposure, in the units machines show."""

import math
from dataclasses import dataclass

from core.refusal import Refusal


@dataclass(frozen=True, kw_only=True)
class LaserSettings:
    """Power, speed, hatch, layer, spot and passes; lengths in mm, spot as D4sigma.

    absorptivity: share of the laser power that heats the layer. layer_time_s: from one exposure to the next
    at the same place, recoating included. preheat_c: temperature of the build plate.
    """

    power_w: float = 285.0
    speed_mm_s: float = 960.0
    hatch_mm: float = 0.11
    layer_mm: float = 0.04
    spot_mm: float = 0.1
    passes: int = 1
    absorptivity: float = 0.4
    layer_time_s: float = 25.0
    preheat_c: float = 80.0

    def __post_init__(self) -> None:
        for name, unit, low, high in (
            ("power_w", "W", 1, 5000),
            ("speed_mm_s", "mm/s", 1, 20000),
            ("hatch_mm", "mm", 0.005, 2),
            ("layer_mm", "mm", 0.01, 0.3),
            ("spot_mm", "mm", 0.01, 2),
            ("absorptivity", "", 0.01, 1),
            ("layer_time_s", "s", 0.5, 3600),
            ("preheat_c", "°C", 0, 1000),
        ):
            value = getattr(self, name)
            if not math.isfinite(value) or not low <= value <= high:
                word = name.rsplit("_", 1)[0] if unit else name
                raise Refusal(f"Laser setting {word.replace('_', ' ')} = {value:g} {unit}".rstrip()
                              + f" is out of range; set {low:g} to {high:g} {unit}".rstrip() + ".")
        if not 1 <= self.passes <= 10:
            raise Refusal("The number of passes must be 1 to 10.")

    @property
    def areal_energy_j_mm2(self) -> float:
        """P / (v h) times the passes: energy sent per area of one layer, before absorption."""
        return self.power_w / (self.speed_mm_s * self.hatch_mm) * self.passes
