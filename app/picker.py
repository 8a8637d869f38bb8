"""What clicks, brushes and rules do to the picks of the job."""

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QObject

from app.picking import added, patches_of_picks, pick_with_face, without
from core.job import Pick, pick_of
from core.part.downskin import grow_faces
from core.units import IntArray

if TYPE_CHECKING:
    from app.session import Session


class Picker(QObject):
    """Changes the picks; every change is one named step."""

    def __init__(self, session: "Session") -> None:
        super().__init__(session)
        self._session = session

    def pick_face(self, face: int, how: str) -> None:
        """A face was clicked: 'only' replaces the picks, 'add' adds, 'toggle' adds or removes."""
        session = self._session
        if session.part is None or session.placed is None:
            return
        job = session.job
        owner = pick_with_face(job.picks, face)
        if owner is not None and how == "toggle":
            self.set_picks(tuple(pick for pick in job.picks if pick is not owner), self.tr("Remove picked face"))
            return
        faces = grow_faces(session.part, face, job.max_angle_deg, job.grow_angle_deg)
        if len(faces) == 0:
            session.said.emit("note", self._why_not(float(session.placed.angles_deg[face])), "")
            return
        before = () if how == "only" else job.picks
        step = self.tr("Pick face") if how == "only" else self.tr("Add face")
        self.set_picks(added(before, faces, session.placed.patch_of_face), step)

    def paint(self, faces: IntArray, *, add: bool) -> None:
        """Add single faces to the picks, or take them out; those that are no low-angle downskin are left alone.

        faces: (n,) triangle numbers.
        """
        session = self._session
        if session.placed is None:
            return
        low = np.intersect1d(faces, session.placed.low_faces)
        if not len(low):
            session.said.emit("note", self.tr("No low-angle face lies under the brush or in the loop."), "")
        elif add:
            self.set_picks(added(session.job.picks, low, session.placed.patch_of_face), self.tr("Add faces"))
        else:
            self.set_picks(without(session.job.picks, low), self.tr("Take faces out"))

    def _why_not(self, angle_deg: float) -> str:
        if angle_deg >= 90:
            return self.tr("This face does not look down, so it needs no sink.")
        if angle_deg < self._session.job.max_angle_deg:
            return self.tr("This face lies on the build plate, so it needs no sink.")
        return self.tr(
            "This face stands at {0}°, above the low-angle limit of {1}°; raise the limit to pick it."
        ).format(f"{angle_deg:.1f}", f"{self._session.job.max_angle_deg:g}")

    def pick_patches(self, ids: set[int]) -> None:
        """Pick whole patches by id; a patch that is picked already, even in part, stays as it is."""
        session = self._session
        if session.placed is None:
            return
        owners = session.placed.patch_of_face
        kept = tuple(pick for pick in session.job.picks if patches_of_picks((pick,), owners) <= ids)
        have = patches_of_picks(kept, owners)
        new = tuple(pick_of(patch.faces) for patch in session.patches if patch.id in ids - have)
        self.set_picks((*kept, *new), self.tr("Pick patches"))

    def pick_all(self) -> None:
        """Pick every patch."""
        self.pick_patches({patch.id for patch in self._session.patches})

    def pick_by_rule(self, below_deg: float, above_mm2: float) -> int:
        """Pick the patches whose lowest angle is below one limit and whose area is above another; returns how many."""
        ids = {p.id for p in self._session.patches if p.lowest_angle_deg < below_deg and p.area_mm2 > above_mm2}
        self.pick_patches(ids)
        return len(ids)

    def clear(self) -> None:
        self.set_picks((), self.tr("Clear picked faces"))

    def set_picks(self, picks: tuple[Pick, ...], step: str) -> None:
        state = self._session.state
        state.set(replace(state.job, picks=picks), step)
