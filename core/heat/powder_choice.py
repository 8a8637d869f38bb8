"""What is known of the powder and the gas around it."""

import math
from dataclasses import dataclass

from core.refusal import Refusal

GASES = ("argon", "nitrogen", "helium")


@dataclass(frozen=True, kw_only=True)
class PowderChoice:
    """Powder bed: particle diameter, porosity, gas, and how sure we are of its conductivity.

    conductivity_w_mk: a measured or fitted value that replaces the model; None takes the model.
    """

    gas: str = "argon"
    diameter_um: float = 35.0
    porosity: float = 0.45
    d90_um: float = 45.0
    conductivity_w_mk: float | None = None

    def __post_init__(self) -> None:
        if self.gas not in GASES:
            raise Refusal(f"There is no gas '{self.gas}'; choose argon, nitrogen or helium.")
        if not 1 <= self.diameter_um <= 500 or not self.diameter_um <= self.d90_um <= 1000:
            raise Refusal("The particle diameter must be 1 to 500 µm and D90 at least as large.")
        if not 0.2 <= self.porosity <= 0.8:
            raise Refusal(f"A powder porosity of {self.porosity:g} is out of range; set 0.2 to 0.8.")
        k = self.conductivity_w_mk
        if k is not None and not (math.isfinite(k) and 0.01 <= k <= 20):
            raise Refusal(f"A powder conductivity of {k:g} W/mK is out of range; set 0.01 to 20 W/mK.")
