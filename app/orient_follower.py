"""Compares orientations of the job's part in the background, and keeps what came of it while it fits the job."""

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QObject

from app.background import Background
from app.run_follower import RunFollower
from app.session import Session
from core.heat.melt_zone import ZoneChoice
from core.job import Job, faces_of, pick_of
from core.job_parts import without_picks_of
from core.part.downskin import side_of_face
from core.part.orientations import faces_of_runs
from core.part.part import Part
from core.part.place_on_plate import Pose
from core.progress import GoesOn, part_of, report
from core.units import IntArray

if TYPE_CHECKING:
    from core.export.orientation_study import Orientation, OrientationStudy

Answer = tuple["OrientationStudy", tuple[bytes, ...]]


class OrientFollower(RunFollower):
    """Holds the study made last with its pictures; marks faces that must never look down; takes an orientation."""

    kind = "orient"

    def __init__(self, session: Session, background: Background, parent: QObject | None = None) -> None:
        super().__init__(session, background, parent)
        self.study: OrientationStudy | None = None
        self.pictures: tuple[bytes, ...] = ()
        """PNG of every orientation of the front."""

    def key_of(self, job: Job) -> Job:
        """The job without what a study doesn't depend on: how the part stands now, picks, zones, other parts."""
        return replace(job, pose=Pose(), picks=(), zone=ZoneChoice(), more_parts=())

    def answered_job(self) -> Job | None:
        return self.study.job if self.study is not None else None

    @property
    def is_current(self) -> bool:
        """True when the study belongs to the job as it is, however the part stands."""
        return self.study is not None and self._key == self.key_of(self._session.job)

    def run(self, directions: int, standing_mm2: float) -> None:
        """Compare orientations and paint those that are left, off the window's thread."""

        def made(job: Job, part: Part, goes_on: GoesOn) -> Answer:
            from core.export.orientation_pictures import thumbnail  # loads what the picture doesn't need
            from core.run_orientations import study_orientations

            study = study_orientations(
                job, part, part_of(goes_on, 0.0, 0.85), directions=directions, standing_mm2=standing_mm2
            )
            pictures = []
            for number, one in enumerate(study.front):
                report(goes_on, 0.85 + 0.15 * number / len(study.front))
                pictures.append(thumbnail(study.part, one, job.max_angle_deg))
            return study, tuple(pictures)

        self.start(self.tr("Comparing orientations"), made)

    def take(self, answer: Answer) -> None:
        self.study, self.pictures = answer

    def drop(self) -> None:
        self.study, self.pictures = None, ()

    # What it does to the job ---------------------------------------------------------------------

    def turn_as(self, one: "Orientation") -> None:
        """Turn the part so; picked faces of it are let go, as another pose has other downskin. One step of undo."""
        session = self._session
        job, part = session.job, session.part
        if part is None or job.pose == one.pose:
            return
        kept = without_picks_of(job, part, 0)
        session.state.set(replace(kept, pose=one.pose), self.tr("Take orientation"))

    @property
    def never_faces(self) -> IntArray:
        """(n,) int32 faces that must never look down."""
        return faces_of_runs(self._session.job.never_downskin)

    def mark_side(self, face: int) -> None:
        """Mark the side a face lies on as never downskin, or take it out when that face is marked."""
        session = self._session
        if session.part is None:
            return
        side, marked = side_of_face(session.part, face, session.job.grow_angle_deg), self.never_faces
        out = bool(np.isin(face, marked))
        faces = np.setdiff1d(marked, side) if out else np.union1d(marked, side)
        self._set_never(faces, self.tr("Let a side be downskin") if out else self.tr("Never downskin"))

    def mark_picks(self) -> None:
        """Mark the faces of all picks as never downskin."""
        picks = self._session.job.picks
        if picks:
            faces = np.concatenate([self.never_faces, *(faces_of(pick) for pick in picks)])
            self._set_never(faces, self.tr("Never downskin"))

    def clear_never(self) -> None:
        self._set_never(np.zeros(0, np.int32), self.tr("Clear faces never downskin"))

    def _set_never(self, faces: IntArray, step: str) -> None:
        state = self._session.state
        runs = pick_of(faces).runs if len(faces) else ()
        state.set(replace(state.job, never_downskin=runs), step)

    def export(self, folder: Path) -> None:
        """Write table, values and pictures into a folder in the background."""
        study = self.study
        if study is None or not self.is_current:
            text = self.tr("Orientations were not compared for the job as it is; compare them, then export.")
            self.refused.emit(text)
            return

        def write(goes_on: GoesOn) -> tuple[str, ...]:
            from core.export.orientation_sheet import write_orientations

            return write_orientations(study, folder, goes_on)

        self.write_into(folder, "export orientations", write)
