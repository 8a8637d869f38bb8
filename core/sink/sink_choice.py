"""What kind of sink, and its dimensions."""

import math
from dataclasses import dataclass

from core.refusal import Refusal

KINDS = ("fins", "plate", "block")


@dataclass(frozen=True, kw_only=True)
class SinkChoice:
    """Dimensions of a sink in mm and degrees.

    Every kind has one continuous top that follows the downskin. 'fins' carries it on parallel walls,
    'plate' on ribs twice as far apart, 'block' is solid down to the build plate.
    """

    kind: str = "fins"
    margin_mm: float = 0.0
    """How far the sink's outline reaches beyond the patch; negative stays inside."""
    fin_thickness_mm: float = 1.5
    fin_pitch_mm: float = 4.0
    direction_deg: float | None = None
    """Plan direction of the fins from the X axis; None chooses across the lowest edge."""
    skin_mm: float = 1.0
    """Least thickness of the closed top."""
    roof_deg: float = 50.0
    """Slope of the roofs between fins, from the plate."""

    def __post_init__(self) -> None:
        numbers = (self.margin_mm, self.fin_thickness_mm, self.fin_pitch_mm, self.skin_mm, self.roof_deg)
        if self.kind not in KINDS:
            raise Refusal(f"There is no sink kind '{self.kind}'; choose fins, plate or block.")
        if not all(map(math.isfinite, numbers)) or not math.isfinite(self.direction_deg or 0.0):
            raise Refusal("Sink dimensions must be finite numbers.")
        if not -20 <= self.margin_mm <= 20:
            raise Refusal(f"A margin of {self.margin_mm:g} mm is out of range; set -20 to 20 mm.")
        if not 0.3 <= self.fin_thickness_mm <= 20:
            raise Refusal(f"A fin of {self.fin_thickness_mm:g} mm can't be built reliably; set 0.3 to 20 mm.")
        if not self.fin_thickness_mm + 0.5 <= self.fin_pitch_mm <= 60:
            raise Refusal(
                f"A pitch of {self.fin_pitch_mm:g} mm leaves no room between fins of {self.fin_thickness_mm:g} mm; "
                f"set at least {self.fin_thickness_mm + 0.5:g} mm, at most 60 mm."
            )
        if not 0.3 <= self.skin_mm <= 20:
            raise Refusal(f"A top of {self.skin_mm:g} mm is out of range; set 0.3 to 20 mm.")
        if not 45 <= self.roof_deg <= 80:
            raise Refusal(f"A roof of {self.roof_deg:g} degrees is out of range; set 45 to 80.")

    @property
    def wall_pitch_mm(self) -> float:
        """Distance from wall to wall under the closed top; 0 for a block, which has no bays."""
        return {"fins": self.fin_pitch_mm, "plate": 2 * self.fin_pitch_mm, "block": 0.0}[self.kind]
