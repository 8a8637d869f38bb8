"""How finely the build is followed, and what surrounds it."""

import math
from dataclasses import dataclass

from core.refusal import Refusal

MACHINES = ("processor", "card")


@dataclass(frozen=True, kw_only=True)
class HeatChoice:
    """Cell size, margin of powder around the part, and the machine's surroundings.

    cell_mm 0 chooses a size for about a million cells. recoat_s: from the end of one exposure to the start of the
    next. plate_w_m2k: from the lowest metal through the build plate to its held temperature. powder_c: temperature
    of fresh powder, gas_c of the gas above.
    """

    cell_mm: float = 0.0
    margin_mm: float = 5.0
    recoat_s: float = 10.0
    plate_w_m2k: float = 1500.0
    powder_c: float = 40.0
    gas_c: float = 40.0
    gas_w_m2k: float = 15.0
    emissivity: float = 0.4
    sides_w_m2k: float = 0.0
    """From the powder at the grid's sides to the plate's temperature; 0 insulates, as powder beyond nearly does."""
    fine_time: bool = False
    """Three times as many steps in time, to see what the usual ones cost."""
    double: bool = False
    """Double precision: twice the memory, for comparisons."""
    machine: str = "processor"
    """Where the cells are worked on: processor, or card for an NVIDIA card."""

    def __post_init__(self) -> None:
        if self.machine not in MACHINES:
            raise Refusal(f"There is no machine '{self.machine:.20}' to follow a build on; choose processor or card.")
        for name, what, unit, low, high in (
            ("cell_mm", "cell", "mm", 0.0, 20.0),
            ("margin_mm", "margin", "mm", 0.0, 100.0),
            ("recoat_s", "recoating time", "s", 0.1, 3600.0),
            ("plate_w_m2k", "conductance into the plate", "W/m²K", 1.0, 1e6),
            ("powder_c", "powder temperature", "°C", -20.0, 1000.0),
            ("gas_c", "gas temperature", "°C", -20.0, 1000.0),
            ("gas_w_m2k", "heat transfer to the gas", "W/m²K", 0.0, 1000.0),
            ("sides_w_m2k", "heat transfer at the sides", "W/m²K", 0.0, 1000.0),
            ("emissivity", "emissivity", "", 0.0, 1.0),
        ):
            value = getattr(self, name)
            if not (math.isfinite(value) and low <= value <= high):
                raise Refusal(f"A {what} of {value:g} {unit} is out of range; set {low:g} to {high:g} {unit}.")
