"""The frozen description of one job: everything needed to build the same sinks again."""

from dataclasses import dataclass, field, replace

import numpy as np

from core.gap.gap_choice import GapChoice, check_gap_against_layer
from core.heat.laser_settings import LaserSettings
from core.heat.machine_setting import MachineSetting
from core.heat.materials import alloy
from core.heat.melt_zone import ZoneChoice
from core.heat.own_alloy import OwnAlloy
from core.heat.powder_choice import PowderChoice
from core.part.more_parts import MorePart
from core.part.orientations import faces_of_runs
from core.part.place_on_plate import Plate, Pose
from core.refusal import Refusal
from core.sink.sink_choice import SinkChoice
from core.units import MM_PER_UNIT, IntArray

SCHEMA = 7
HIGHEST_FACE = 2**31 - 1
"""Triangle numbers are kept as int32."""


@dataclass(frozen=True, kw_only=True)
class Pick:
    """Faces that get one sink, as runs of triangle numbers (first, last) of the part file.

    Runs are ascending and don't touch each other: (0, 3), (7, 7).
    """

    runs: tuple[tuple[int, int], ...]
    gap: GapChoice | None = None
    """A gap of its own; None takes the job's."""
    sink: SinkChoice | None = None
    """Dimensions of its own; None takes the job's."""
    zone: ZoneChoice | None = None
    """A downskin zone of its own, one without layers for none; None takes the job's."""

    def __post_init__(self) -> None:
        if not self.runs:
            raise Refusal("A pick needs at least one face.")
        _check_runs(self.runs, "a pick")

    @property
    def has_own(self) -> bool:
        """True when it has a gap or dimensions of its own; its zone is asked for by itself."""
        return self.gap is not None or self.sink is not None

    @property
    def last_face(self) -> int:
        """The highest triangle number of the pick."""
        return self.runs[-1][1]

    @property
    def n_faces(self) -> int:
        return sum(last - first + 1 for first, last in self.runs)


def _check_runs(runs: tuple[tuple[int, int], ...], of: str) -> None:
    before = -2
    for first, last in runs:
        if not before + 1 < first <= last <= HIGHEST_FACE:
            raise Refusal(f"The faces {first}-{last} of {of} are out of order or out of range.")
        before = last


def pick_of(faces: IntArray) -> Pick:
    """The pick of some triangle numbers, in any order, doubles allowed. faces: (n,), at least one."""
    ordered = np.asarray(faces, dtype=np.int64)
    if (np.diff(ordered) <= 0).any():
        ordered = np.unique(ordered)
    if not ordered.size:
        raise Refusal("A pick needs at least one face.")
    jumps = np.flatnonzero(np.diff(ordered) > 1)
    first = ordered[np.concatenate([[0], jumps + 1])]
    last = ordered[np.concatenate([jumps, [ordered.size - 1]])]
    return Pick(runs=tuple(zip(first.tolist(), last.tolist(), strict=True)))


def faces_of(pick: Pick) -> IntArray:
    """(n,) int32 triangle numbers of a pick, ascending. Compare `pick.last_face` with the part first."""
    return faces_of_runs(pick.runs)


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
    never_downskin: tuple[tuple[int, int], ...] = ()
    """Faces no orientation may turn down, such as sealing faces, as runs like those of a pick."""
    gap: GapChoice = GapChoice()
    sink: SinkChoice = SinkChoice()
    alloy: str = "316L"
    own_alloy: OwnAlloy | None = None
    """The user's own alloy of that name with all its values, so that the job needs no library; None is built in."""
    laser: LaserSettings = LaserSettings()
    powder: PowderChoice = PowderChoice()
    zone: ZoneChoice = ZoneChoice()
    """Layers above a picked patch that are exposed with settings of their own; none unless said."""
    rise_allowed_k: float = 250.0
    """The heat limit is the gap at which the estimated rise reaches this."""
    more_parts: tuple[MorePart, ...] = ()
    """Parts beside the first; face numbers run on from one to the next, in order."""
    machine: MachineSetting | None = None
    """The setting of the library that was applied last, as it was then; what holds is in laser, plate and powder."""
    schema: int = field(default=SCHEMA)

    def __post_init__(self) -> None:
        chosen = alloy(self.metal)
        if self.own_alloy is not None and chosen.name != self.alloy:
            raise Refusal(f"The alloy is called '{self.alloy:.60}', but the values are those of '{chosen.name}'.")
        _check_runs(self.never_downskin, "those never to be downskin")
        for gap in (self.gap, *(pick.gap for pick in self.picks if pick.gap is not None)):
            check_gap_against_layer(gap.gap_mm, self.laser.layer_mm)
        if self.units is not None and self.units not in MM_PER_UNIT:
            raise Refusal(f"There is no length unit '{self.units:.20}'; choose {', '.join(MM_PER_UNIT)}.")
        if not 1 <= self.max_angle_deg <= 89:
            raise Refusal(f"A limit of {self.max_angle_deg:g} degrees is out of range; set 1 to 89.")
        if not 0 <= self.grow_angle_deg <= 90:
            raise Refusal(f"A grow angle of {self.grow_angle_deg:g} degrees is out of range; set 0 to 90.")
        if not 1 <= self.rise_allowed_k <= 2000:
            raise Refusal(f"An allowed rise of {self.rise_allowed_k:g} K is out of range; set 1 to 2000 K.")

    def for_pick(self, pick: Pick) -> "Job":
        """The job as it holds for one pick: with the pick's own gap, dimensions and zone where it has them."""
        return replace(self, gap=pick.gap or self.gap, sink=pick.sink or self.sink, zone=pick.zone or self.zone)

    @property
    def metal(self) -> str | OwnAlloy:
        """What `alloy` is asked for: the name of a built-in one, or the values of one of the user's own."""
        return self.alloy if self.own_alloy is None else self.own_alloy

    @property
    def downskin_laser(self) -> LaserSettings:
        """What the first layers over the powder are exposed with: the zone's settings when there is a zone."""
        return self.zone.laser(self.laser) if self.zone.layers else self.laser

    @property
    def has_zones(self) -> bool:
        """True when a zone is to be cut above any of the picks."""
        return any(self.for_pick(pick).zone.layers for pick in self.picks)


def with_alloy(job: Job, metal: str | OwnAlloy) -> Job:
    """The job in another alloy, with that alloy's default absorptivity. Raises Refusal for an unknown one."""
    chosen = alloy(metal)
    own = metal if isinstance(metal, OwnAlloy) else None
    laser = replace(job.laser, absorptivity=chosen.absorptivity.value)
    return replace(job, alloy=chosen.name, own_alloy=own, laser=laser)


def with_machine(job: Job, setting: MachineSetting) -> Job:
    """The job with a machine setting's laser, plate and gas; it remembers the setting. Raises Refusal."""
    return replace(
        job,
        laser=setting.on_laser(job.laser),
        plate=setting.on_plate(job.plate),
        powder=setting.on_powder(job.powder),
        machine=setting,
    )
