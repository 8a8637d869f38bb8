"""Which gap, dimensions and zone the fields show and change: those of all sinks, or what one has of its own."""

from dataclasses import replace
from typing import Any

from PySide6.QtCore import QObject, Signal

from app.job_state import JobState
from core.gap.gap_choice import GapChoice
from core.heat.melt_zone import ZoneChoice
from core.job import Job, Pick
from core.sink.sink_choice import SinkChoice


class SinkSettings(QObject):
    """Looks at one pick of the job."""

    looked = Signal()
    """Another pick is looked at."""

    def __init__(self, state: JobState, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._state = state
        self._number = 0
        self.chosen: tuple[int, ...] = ()
        """Numbers of the picks whose sinks are chosen in the list."""
        self.copied: dict[str, Any] | None = None
        """Gap, dimensions and own zone that were copied; None before the first time."""

    @property
    def number(self) -> int:
        """Number of the pick looked at; 0 when there is none."""
        return max(0, min(self._number, len(self._state.job.picks) - 1))

    @property
    def pick(self) -> Pick | None:
        picks = self._state.job.picks
        return picks[self.number] if picks else None

    @property
    def job(self) -> Job:
        """The job as it holds for the pick looked at."""
        return self._state.job if self.pick is None else self._state.job.for_pick(self.pick)

    @property
    def own(self) -> bool:
        """True when the pick looked at has a gap and dimensions of its own."""
        return self.pick is not None and self.pick.has_own

    @property
    def own_zone(self) -> bool:
        """True when the pick looked at has a zone of its own."""
        return self.pick is not None and self.pick.zone is not None

    def look_at(self, number: int) -> None:
        if number != self._number:
            self._number = number
            self.looked.emit()

    def change(
        self, step: str, *, gap: GapChoice | None = None, sink: SinkChoice | None = None, merge: bool = False
    ) -> None:
        """Set gap or dimensions of the pick looked at when it has its own, else of all. Raises Refusal."""
        changes: dict[str, Any] = {"gap": gap} if gap is not None else {"sink": sink}
        pick = self.pick
        job = self._with(replace(pick, **changes)) if pick and pick.has_own else replace(self._state.job, **changes)
        self._state.set(job, step, merge=merge)

    def set_own(self, on: bool) -> None:
        """Give the pick looked at settings of its own, at first the same, or take them away."""
        pick, job = self.pick, self.job
        if pick is not None:
            own: dict[str, Any] = {"gap": job.gap, "sink": job.sink} if on else {"gap": None, "sink": None}
            step = self.tr("Give a sink settings of its own") if on else self.tr("Take a sink's own settings away")
            self._state.set(self._with(replace(pick, **own)), step)

    def give_to_all(self) -> None:
        """What the pick looked at has becomes the setting of all, and no pick has its own any more."""
        job = self.job
        picks = tuple(replace(pick, gap=None, sink=None) for pick in job.picks)
        self._state.set(replace(job, picks=picks), self.tr("Give all sinks these settings"))

    def change_zone(self, step: str, zone: ZoneChoice, *, merge: bool = False) -> None:
        """Set the zone of the pick looked at when it has its own, else that of all others."""
        pick, job = self.pick, self._state.job
        own = pick is not None and pick.zone is not None
        changed = self._with(replace(pick, zone=zone)) if pick and own else replace(job, zone=zone)
        self._state.set(changed, step, merge=merge)

    def set_own_zone(self, on: bool) -> None:
        """Give the pick looked at a zone of its own, at first the same, or take it away."""
        if self.pick is not None:
            step = self.tr("Give a patch a zone of its own") if on else self.tr("Take a patch's own zone away")
            self._state.set(self._with(replace(self.pick, zone=self.job.zone if on else None)), step)

    def give_zone_to_all(self) -> None:
        """The zone of the pick looked at becomes that of all, and no pick has its own any more."""
        picks = tuple(replace(pick, zone=None) for pick in self._state.job.picks)
        job = replace(self._state.job, picks=picks, zone=self.job.zone)
        self._state.set(job, self.tr("Give all patches this zone"))

    def choose(self, numbers: tuple[int, ...]) -> None:
        """Look at the last of some picks; what is pasted goes to all of them."""
        self.chosen = numbers
        if numbers:
            self.look_at(numbers[-1])

    def copy(self) -> None:
        """Keep gap, dimensions and zone of the pick looked at; a zone that is the job's stays the job's."""
        if self.pick is not None:
            self.copied = {"gap": self.job.gap, "sink": self.job.sink, "zone": self.pick.zone}
            self.looked.emit()

    def paste(self) -> None:
        """Give what was copied to the sinks chosen in the list, else to the one looked at, as settings of their own."""
        if self.copied is None:
            return
        picks = list(self._state.job.picks)
        numbers = [k for k in self.chosen or (self.number,) if k < len(picks)]
        for k in numbers:
            picks[k] = replace(picks[k], **self.copied)
        step = self.tr("Paste settings to {0} sinks").format(len(numbers))
        self._state.set(replace(self._state.job, picks=tuple(picks)), step)

    def _with(self, pick: Pick) -> Job:
        job = self._state.job
        return replace(job, picks=tuple(pick if k == self.number else p for k, p in enumerate(job.picks)))
