"""What an orientation study found: the part as it stands, the front of orientations, and all that was tried."""

from dataclasses import dataclass

import numpy as np

from core.job import Job
from core.part.part import Part
from core.part.place_on_plate import Pose
from core.units import FloatArray

AIMS = ("low_angle_mm2", "sink_g", "height_mm", "rise_k")
"""What is to be small; attributes of an orientation and columns of `OrientationStudy.tried`."""
LEAST_STEP = (1.0, 0.1, 0.1, 2.0)
"""Differences below these mean nothing: mm², g, mm, K (our choice)."""
LIMITS = (
    "Sink mass is an estimate: columns under the low-angle faces down to the plate or the part, by the metal share of "
    "the job's sink.",
    "The rise is the 1-D estimate of the worst patch with the job's sink; its band is wide.",
    "Removable is a look straight down and level to eight sides on cells; building the sinks proves it.",
    "The turn about Z is left at 0; it changes none of these numbers.",
)


@dataclass(frozen=True, kw_only=True)
class Orientation:
    """One way to build the part, set down on the plate.

    rotate_deg: turns about X, Y, Z as `--rotate` takes them. low_angle_mm2: faces flatter than the limit that don't
    lie on the plate. sink_mm: the highest column. rest_mm2: what lies on the plate. stuck_mm2: plan area of columns
    that leave neither down nor level. never_down: all faces that must not look down keep to it. fits: into the
    height of the build volume.
    """

    rotate_deg: tuple[float, float, float]
    low_angle_mm2: float
    patches: int
    sink_g: float
    sink_mm: float
    removable: bool
    stuck_mm2: float
    islands: int
    height_mm: float
    rise_k: float
    rest_mm2: float
    never_down: bool = True
    fits: bool = True

    @property
    def pose(self) -> Pose:
        """As the job takes it."""
        return Pose(rotate_deg=self.rotate_deg, drop=True)

    @property
    def aims(self) -> tuple[float, ...]:
        """Values of AIMS."""
        return tuple(float(getattr(self, name)) for name in AIMS)


@dataclass(frozen=True, kw_only=True, eq=False)
class OrientationStudy:
    """part: as its file has it, not turned. front: none beats another in all AIMS, the most even one first.

    tried: (n, 4) AIMS of every direction looked at roughly, for the plot. n_forbidden: directions left out because
    they turn a face down that must not look down. n_too_high: those left out because the part would not fit.
    """

    job: Job
    part: Part
    now: Orientation
    front: tuple[Orientation, ...]
    tried: FloatArray
    n_forbidden: int
    n_too_high: int

    @property
    def tried_count(self) -> int:
        """Directions scored."""
        return len(np.atleast_2d(self.tried)) if self.tried.size else 0
