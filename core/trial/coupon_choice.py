"""What a gap coupon tries: an alloy and laser setting, a ladder of gaps, downskin angles, how often, and where."""

from dataclasses import dataclass

from core.gap.gap_choice import GapChoice
from core.heat.laser_settings import LaserSettings
from core.heat.materials import alloy
from core.heat.own_alloy import OwnAlloy
from core.part.place_on_plate import Plate
from core.refusal import Refusal
from core.sink.sink_choice import SinkChoice

MOST_CELLS = 400
"""A coupon of more cells takes half an hour to compute and days to judge."""


@dataclass(frozen=True, kw_only=True)
class CouponChoice:
    """One coupon: every gap at every angle, and a cell without a sink per angle, each as often as replicates says.

    gaps are normal to the face. seed: of the random places, so that the same coupon comes out again.
    """

    alloy: str = "316L"
    own_alloy: OwnAlloy | None = None
    """The user's own alloy of that name; None is a built-in one."""
    gaps_mm: tuple[float, ...] = (0.10, 0.15, 0.20, 0.25, 0.30, 0.35, 0.40, 0.45, 0.50)
    angles_deg: tuple[float, ...] = (20.0, 30.0, 45.0)
    replicates: int = 1
    seed: int = 1
    laser: LaserSettings = LaserSettings()
    plate: Plate = Plate()
    sink: SinkChoice = SinkChoice()

    def __post_init__(self) -> None:
        if alloy(self.own_alloy or self.alloy).name != self.alloy:
            raise Refusal(f"The values given are not those of the alloy '{self.alloy:.60}'.")
        for gap_mm in self.gaps_mm:
            GapChoice(gap_mm=gap_mm)
            if not self.laser.layer_mm - 1e-9 <= gap_mm <= 2.0:
                raise Refusal(
                    f"A gap of {gap_mm:g} mm can't be tried on a coupon; set one from a layer of "
                    f"{self.laser.layer_mm:g} mm to 2 mm."
                )
        for angle_deg in self.angles_deg:
            if not 10.0 <= angle_deg <= 60.0:
                raise Refusal(f"A coupon face of {angle_deg:g}° is out of range; set angles from 10 to 60°.")
        if not self.gaps_mm or not self.angles_deg:
            raise Refusal("A coupon needs at least one gap and one angle.")
        if len(set(self.gaps_mm)) < len(self.gaps_mm) or len(set(self.angles_deg)) < len(self.angles_deg):
            raise Refusal("A gap or an angle is named twice; use --replicates to build cells more than once.")
        if not 1 <= self.replicates <= 50:
            raise Refusal(f"{self.replicates} replicates are out of range; set 1 to 50.")
        if not 0 <= self.seed < 2**32:
            raise Refusal("The seed must be a whole number from 0 to 4294967295.")
        if self.n_cells > MOST_CELLS:
            raise Refusal(
                f"This coupon would have {self.n_cells} cells, at most {MOST_CELLS}; take fewer gaps, angles or "
                "replicates."
            )

    @property
    def n_cells(self) -> int:
        """Cells with a sink and those without."""
        return (len(self.gaps_mm) + 1) * len(self.angles_deg) * self.replicates
