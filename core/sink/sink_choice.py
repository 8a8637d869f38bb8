"""What kind of sink, and its dimensions."""

import math
from dataclasses import dataclass

from core.refusal import Refusal

NECK_HEIGHT_MM = 0.5
"""Height of the straight neck by which a wall snaps off (common practice, no source)."""
KINDS = ("fins", "plate", "block", "edge")


@dataclass(frozen=True, kw_only=True)
class SinkChoice:
    """Dimensions of a sink in mm and degrees.

    Every kind has one continuous top that follows the downskin. 'fins' carries it on parallel walls,
    'plate' on ribs twice as far apart, 'block' is solid down to the build plate, 'edge' is a slim solid wall
    under the lowest edge or the place where the patch starts in mid-air.
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
    edge_width_mm: float = 2.0
    """Width of the slim wall of an edge sink."""
    foot_mm: float = 0.0
    """Height of a foot that joins the walls on the plate; 0 for none."""
    neck_mm: float = 0.0
    """Thickness of the walls just above the plate, where they snap off; 0 leaves them as thick as they are."""
    drain_pitch_mm: float = 0.0
    """Distance of cross openings through the walls, by which powder drains; 0 for none."""
    drain_mm: float = 2.0
    """Width of those openings."""

    def __post_init__(self) -> None:
        numbers = (
            self.margin_mm,
            self.fin_thickness_mm,
            self.fin_pitch_mm,
            self.skin_mm,
            self.roof_deg,
            self.edge_width_mm,
            self.foot_mm,
            self.neck_mm,
            self.drain_pitch_mm,
            self.drain_mm,
        )
        if self.kind not in KINDS:
            raise Refusal(f"There is no sink kind '{self.kind}'; choose fins, plate, block or edge.")
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
        if not 0.6 <= self.edge_width_mm <= 20:
            raise Refusal(f"An edge sink of {self.edge_width_mm:g} mm is out of range; set 0.6 to 20 mm wide.")
        if not 0 <= self.foot_mm <= 20:
            raise Refusal(f"A foot of {self.foot_mm:g} mm is out of range; set 0 to 20 mm.")
        if self.neck_mm and not 0.4 <= self.neck_mm <= self.fin_thickness_mm:
            raise Refusal(
                f"A neck of {self.neck_mm:g} mm can't be built on walls of {self.fin_thickness_mm:g} mm; "
                f"set 0.4 to {self.fin_thickness_mm:g} mm, or 0 for none."
            )
        if self.drain_pitch_mm and not self.drain_mm + 1 <= self.drain_pitch_mm <= 200:
            raise Refusal(
                f"Cross openings {self.drain_pitch_mm:g} mm apart are out of range; "
                f"set {self.drain_mm + 1:g} to 200 mm, or 0 for none."
            )
        if not 0.5 <= self.drain_mm <= 20:
            raise Refusal(f"Cross openings of {self.drain_mm:g} mm are out of range; set 0.5 to 20 mm.")
        if not 45 <= self.roof_deg <= 80:
            raise Refusal(f"A roof of {self.roof_deg:g} degrees is out of range; set 45 to 80.")

    @property
    def wall_pitch_mm(self) -> float:
        """Distance from wall to wall under the closed top; 0 for a solid sink, which has no bays."""
        return {"fins": self.fin_pitch_mm, "plate": 2 * self.fin_pitch_mm}.get(self.kind, 0.0)

    @property
    def bay_floor_mm(self) -> float:
        """Height at which the straight walls of a bay begin: above the foot and the neck."""
        neck = NECK_HEIGHT_MM + (self.fin_thickness_mm - self.neck_mm) / 2 * math.tan(math.radians(self.roof_deg))
        return self.foot_mm + (neck if self.neck_mm else 0.0)
