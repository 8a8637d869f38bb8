"""Measures the gap of every low-angle face in the background once sinks are built, and keeps it while they last."""

import numpy as np
from PySide6.QtCore import QObject, Signal

from app.background import Background
from app.session import Session
from core.export.result import JobResult
from core.gap.face_gaps import FaceGaps, face_gaps
from core.job import faces_of
from core.part.part import face_mask
from core.progress import GoesOn


class GapMapper(QObject):
    """Holds the gaps measured last and whether they still belong to the job and to its slider."""

    changed = Signal()
    """Gaps were measured, dropped, or became out of date."""

    def __init__(self, session: Session, background: Background, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._session, self._background = session, background
        self._gaps: FaceGaps | None = None
        self._gaps_of: JobResult | None = None
        self._asked_for: JobResult | None = None
        session.result_changed.connect(self._follow)
        session.preview_changed.connect(self.changed)

    @property
    def sinks_are_current(self) -> bool:
        """True when there are sinks of the job as it is, and no other gap is being tried at the slider."""
        session = self._session
        tried = session.preview_gap_mm
        return bool(
            session.result is not None
            and session.result.sinks
            and session.result_is_current
            and (tried is None or tried == session.settings.job.gap.gap_mm)
        )

    @property
    def current(self) -> FaceGaps | None:
        """The gaps of the sinks shown; None while they are out of date or not measured yet."""
        return self._gaps if self.sinks_are_current and self._gaps_of is self._session.result else None

    @property
    def has_sinks(self) -> bool:
        """True when sinks are shown, whether or not they fit the job."""
        return bool(self._session.job.picks and self._session.result is not None and self._session.result.sinks)

    def _follow(self) -> None:
        result, placed = self._session.result, self._session.placed
        if result is None:
            self._gaps, self._gaps_of, self._asked_for = None, None, None
        elif placed is not None and result is not self._asked_for and result.sinks and self._session.result_is_current:
            self._asked_for = result
            wanted = face_mask(placed.part.n_faces, placed.low_faces)
            for pick in self._session.job.picks:
                wanted[faces_of(pick)] = True
            self._measure(result, np.flatnonzero(wanted))
        self.changed.emit()

    def _measure(self, result: JobResult, faces: np.ndarray) -> None:
        def work(goes_on: GoesOn) -> tuple[JobResult, FaceGaps]:
            sinks_mm = np.concatenate([sink.vertices_mm[sink.triangles] for sink in result.sinks])
            return result, face_gaps(result.part, faces, sinks_mm, max(sink.gap_mm for sink in result.sinks), goes_on)

        self._background.start(
            "gap map",
            self.tr("Measuring the powder gap"),
            work,
            done=self._measured,
            refused=self._session.tell_failure,
            failed=self._session.tell_failure,
            stopped=self._stopped,
        )

    def _measured(self, answer: tuple[JobResult, FaceGaps]) -> None:
        if answer[0] is self._session.result:
            self._gaps_of, self._gaps = answer
            self.changed.emit()

    def _stopped(self) -> None:
        """Measured at the next change of the sinks or the job, not now."""
        if self._gaps_of is not self._asked_for:
            self._asked_for = None
