"""The frozen description of one job: everything needed to build the same sinks again."""

from dataclasses import dataclass, field

from core.gap.gap_choice import GapChoice, check_gap_against_layer
from core.heat.laser_settings import LaserSettings
from core.heat.powder_choice import PowderChoice
from core.part.place_on_plate import Plate, Pose
from core.refusal import Refusal
from core.sink.sink_choice import SinkChoice

SCHEMA = 1


@dataclass(frozen=True, kw_only=True)
class Pick:
    """Faces that get one sink, as runs of triangle numbers (first, last) of the part file."""

    runs: tuple[tuple[int, int], ...]


@dataclass(frozen=True, kw_only=True)
class Job:
    """One part, how it stands, which faces get a sink, and with what gap, sink, alloy, laser and powder."""

    part_file: str = ""
    part_sha256: str = ""
    units: str | None = None
    pose: Pose = Pose()
    plate: Plate = Plate()
    max_angle_deg: float = 45.0
    grow_angle_deg: float = 20.0
    """A click grows over edges that bend less than this."""
    picks: tuple[Pick, ...] = ()
    gap: GapChoice = GapChoice()
    sink: SinkChoice = SinkChoice()
    alloy: str = "316L"
    laser: LaserSettings = LaserSettings()
    powder: PowderChoice = PowderChoice()
    rise_allowed_k: float = 200.0
    """The heat limit is the gap at which the estimated rise reaches this."""
    schema: int = field(default=SCHEMA)

    def __post_init__(self) -> None:
        check_gap_against_layer(self.gap.gap_mm, self.laser.layer_mm)
        if not 1 <= self.max_angle_deg <= 89:
            raise Refusal(f"A limit of {self.max_angle_deg:g} degrees is out of range; set 1 to 89.")
        if not 0 <= self.grow_angle_deg <= 90:
            raise Refusal(f"A grow angle of {self.grow_angle_deg:g} degrees is out of range; set 0 to 90.")
        if not 1 <= self.rise_allowed_k <= 2000:
            raise Refusal(f"An allowed rise of {self.rise_allowed_k:g} K is out of range; set 1 to 2000 K.")
