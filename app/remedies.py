"""Exact changes that findings offer: the words on their buttons, and taking one as one named step of undo."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from PySide6.QtCore import QObject, Signal

from app.panels.gap_words import gap_words
from app.session import Session
from core.checks.finding import Change
from core.job import Job, Pick
from core.refusal import Refusal


class Remedies(QObject):
    """Knows whose settings a change is about: those that the sink has of its own, or those of all sinks."""

    refused = Signal(str)

    def __init__(self, session: Session, gap_unit: Callable[[], str], parent: QObject | None = None) -> None:
        """gap_unit answers 'µm' or 'mm'."""
        super().__init__(parent)
        self._session, self._gap_unit = session, gap_unit

    def words(self, change: Change) -> str:
        """What the button says, such as 'Set the gap to 280 µm'."""
        key, value = change.values[0]
        if key == "plate.part_at_mm":
            return self.tr("Move the part on the plate")
        if key.startswith("more_parts."):
            return self.tr("Move it to a free place")
        if key == "sink.kind":
            what = self.tr("Choose a block")
        elif key == "gap.gap_mm":
            what = self.tr("Set the gap to {0}").format(gap_words(float(str(value)), self._gap_unit()))
        elif key in ("sink.fin_thickness_mm", "sink.edge_width_mm"):
            what = self.tr("Make the walls {0} mm thick").format(f"{value:g}")
        elif key == "sink.margin_mm":
            what = self.tr("Set the margin to {0} mm").format(f"{value:g}")
        elif key == "sink.direction_deg":
            what = self.tr("Set the walls' direction to {0}°").format(f"{value:g}")
        else:
            what = self.tr("Set {0} to {1}").format(key, value)
        sharing = sum(not pick.has_own for pick in self._session.job.picks)
        return self.tr("{0} for all sinks").format(what) if self._is_shared(change) and sharing > 1 else what

    def take(self, change: Change) -> None:
        """Make the change; a value that the job can't take is refused with the reason."""
        try:
            job = self._changed(change)
        except Refusal as refusal:
            self.refused.emit(str(refusal))
            return
        self._session.state.set(job, self.words(change))

    def _picks(self, change: Change) -> list[int]:
        """Numbers of the picks that a change is about; all of them when it names none."""
        picked = self._session.picked
        return [k for k, patch in enumerate(picked) if not change.patches or patch.id in change.patches]

    def _is_shared(self, change: Change) -> bool:
        picks = self._session.job.picks
        return not all(picks[k].has_own for k in self._picks(change)) if self._picks(change) else True

    def _changed(self, change: Change) -> Job:
        job = self._session.job
        if change.values[0][0].startswith("more_parts."):
            return _with_shifts(job, change)
        groups: dict[str, dict[str, Any]] = {}
        for key, value in change.values:
            group, _, name = key.partition(".")
            groups.setdefault(group, {})[name] = value
        if "plate" in groups:
            return replace(job, plate=replace(job.plate, **groups["plate"]))
        picks = list(job.picks)
        for number in self._picks(change):
            if picks[number].has_own:
                picks[number] = self._own(picks[number], job, groups)
        shared = _set(job, groups) if self._is_shared(change) else {}
        return replace(job, picks=tuple(picks), **shared)

    def _own(self, pick: Pick, job: Job, groups: dict[str, dict[str, Any]]) -> Pick:
        return replace(pick, **_set(job.for_pick(pick), groups))


def _set(job: Job, groups: dict[str, dict[str, Any]]) -> dict[str, Any]:
    return {group: replace(getattr(job, group), **values) for group, values in groups.items()}


def _with_shifts(job: Job, change: Change) -> Job:
    """Keys such as more_parts.0.shift_mm."""
    more = list(job.more_parts)
    for key, value in change.values:
        _, number, name = key.split(".")
        values: dict[str, Any] = {name: value}
        more[int(number)] = replace(more[int(number)], **values)
    return replace(job, more_parts=tuple(more))
