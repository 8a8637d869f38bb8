"""The parts on the plate as the window changes them, each change one step of undo, and which stand too near."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from app.placed_part import placed_key, raw_more
from app.session import Session
from core.checks.finding import Finding, Level
from core.job import Job
from core.job_parts import (
    new_more,
    part_centre_mm,
    with_more,
    with_part_doubled,
    with_part_freed,
    with_part_moved,
    with_part_turned,
    without_part,
)
from core.part.more_parts import MorePart
from core.part.part import Part
from core.part.place_on_plate import Plate, Pose
from core.progress import GoesOn
from core.refusal import Refusal


@dataclass(frozen=True, kw_only=True, eq=False)
class Apart:
    """What was found of the parts as placed. level: the worst of each part that is too near to another."""

    part: Part
    plate: Plate
    findings: tuple[Finding, ...] = ()
    level: dict[int, Level] | None = None


class PartsFollower(QObject):
    """Adding and removing wait until the parts are placed; moving and turning don't."""

    changed = Signal()
    """The parts are placed anew, or it is known which stand too near."""
    said = Signal(str, str)
    """Level and sentence."""

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self.apart: Apart | None = None
        self._waiting: list[Callable[[], None]] = []
        session.patches_changed.connect(self._placed)
        session.state.changed.connect(self._plate_changed)

    @property
    def count(self) -> int:
        """Parts of the job; 0 while none is open."""
        return 0 if self._session.part is None else 1 + len(self._session.job.more_parts)

    @property
    def is_placed(self) -> bool:
        """True when the parts shown are those of the job as it is."""
        placed = self._session.placed
        return placed is not None and placed.key == placed_key(self._session.job)

    def name(self, number: int) -> str:
        """Name of one part, from 0."""
        part = self._session.part
        if part is not None and number < len(part.bodies):
            return part.bodies[number].name
        job = self._session.job
        return Path(job.more_parts[number - 1].part_file if number else job.part_file).stem

    def centre_mm(self, number: int) -> tuple[float, float] | None:
        """Middle of one part in plate coordinates; None while it is being placed."""
        part = self._session.part
        if part is None or number >= max(len(part.bodies), 1) or not self.is_placed:
            return None
        return part_centre_mm(part, number, self._session.job.plate)

    def pose(self, number: int) -> Pose:
        """How one part stands."""
        job = self._session.job
        return job.more_parts[number - 1].pose if number else job.pose

    # Changes -------------------------------------------------------------------------------------

    def add(self, paths: list[Path]) -> None:
        """Put parts beside those of the job, each at a free place."""
        for path in paths:
            self._session.background.start(
                f"add {path}",
                self.tr("Adding {0}").format(path.name),
                self._reading(path.absolute()),
                done=self._read,
                refused=lambda text: self.said.emit("stop", text),
                failed=self._session.tell_failure,
            )

    @staticmethod
    def _reading(path: Path) -> Callable[[GoesOn], tuple[MorePart, Part]]:
        def work(goes_on: GoesOn) -> tuple[MorePart, Part]:
            more = new_more(path)
            return more, raw_more(more)

        return work

    def _read(self, answer: tuple[MorePart, Part]) -> None:
        more, raw = answer
        step = self.tr("Add {0}").format(raw.name)
        self._when_placed(lambda: self._set(lambda job, part: with_more(job, part, more, raw, place=True), step))

    def double(self, number: int) -> None:
        """The same part once more, with its picks."""
        raw = self._raw(number)
        step = self.tr("Duplicate {0}").format(self.name(number))
        self._when_placed(lambda: self._set(lambda job, part: with_part_doubled(job, part, number, raw), step))

    def remove(self, number: int) -> None:
        """Take one part and its picks out of the job."""
        step = self.tr("Remove {0}").format(self.name(number))
        self._when_placed(lambda: self._set(lambda job, part: without_part(job, part, number), step))

    def free(self, number: int) -> None:
        """Move one part to the nearest free place."""
        step = self.tr("Find a free place for {0}").format(self.name(number))
        self._when_placed(lambda: self._set(lambda job, part: with_part_freed(job, part, number), step))

    def move_to(self, number: int, axis: int, value_mm: float) -> None:
        """Set the middle of one part along x (0) or y (1) of the plate."""

        def step() -> None:
            centre = self.centre_mm(number)
            if centre is not None:
                by = [0.0, 0.0]
                by[axis] = value_mm - centre[axis]
                words = self.tr("Move {0} on the plate").format(self.name(number))
                self._set(lambda job, part: with_part_moved(job, number, by[0], by[1]), words, merge=True)

        self._when_placed(step)

    def turn_to(self, number: int, axis: int, angle_deg: float) -> None:
        """Set one turn of one part, about its own middle; a part turned about X or Y is set down."""
        pose = self.pose(number)
        angles = list(pose.rotate_deg)
        angles[axis] = (angle_deg + 180.0) % 360.0 - 180.0 if abs(angle_deg) > 180 else angle_deg
        turned = Pose(rotate_deg=(angles[0], angles[1], angles[2]), drop=pose.drop or (number > 0 and axis < 2))
        raw = self._raw(number)
        words = self.tr("Turn {0}").format(self.name(number))
        self._set(lambda job, part: with_part_turned(job, part, number, raw, turned), words, merge=True)

    def _raw(self, number: int) -> Part:
        raw = self._session.raw
        if number == 0 and raw is not None:
            return raw
        return raw_more(self._session.job.more_parts[number - 1])

    def _set(self, change: Callable[[Job, Part], Job], step: str, *, merge: bool = False) -> None:
        part = self._session.part
        if part is None:
            return
        try:
            job = change(self._session.job, part)
        except Refusal as refusal:
            self.said.emit("stop", str(refusal))
            self.changed.emit()
            return
        self._session.state.set(job, step, merge=merge)

    def _when_placed(self, step: Callable[[], None]) -> None:
        """Now, or once the parts shown are those of the job."""
        if self.is_placed and not self._waiting:
            step()
        else:
            self._waiting.append(step)

    # Following -----------------------------------------------------------------------------------

    def _placed(self) -> None:
        if self.is_placed and self._waiting:
            self._waiting.pop(0)()
        self._look()

    def _plate_changed(self) -> None:
        if self.apart is not None and self._session.job.plate != self.apart.plate:
            self._look()

    def _look(self) -> None:
        """Which parts stand too near: asked in the background; nothing to ask for a part alone."""
        part, plate = self._session.part, self._session.job.plate
        self.apart = None if part is None else Apart(part=part, plate=plate)
        self.changed.emit()
        if part is None or not part.bodies:
            return

        def work(goes_on: GoesOn) -> Apart:
            from core.checks.parts_apart import apart_finding, near_pairs  # loads what the first picture doesn't need
            from core.checks.standing import check_envelope

            findings = [f for f in check_envelope(part, (), plate) if f.level != "ok"]
            level: dict[int, Level] = {}
            for pair in near_pairs(part, plate.apart_mm):
                findings.append(apart_finding(part, pair, plate))
                for number in (pair.first, pair.second):
                    level[number] = "stop" if "stop" in (level.get(number), findings[-1].level) else "note"
            return Apart(part=part, plate=plate, findings=tuple(findings), level=level)

        self._session.background.start(
            "parts",
            self.tr("Measuring between the parts"),
            work,
            done=self._looked,
            refused=lambda text: self.said.emit("stop", text),
            failed=self._session.tell_failure,
        )

    def _looked(self, apart: Apart) -> None:
        if apart.part is self._session.part and apart.plate == self._session.job.plate:
            self.apart = apart
            self.changed.emit()
