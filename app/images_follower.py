"""Compares layer images with the job's part in the background, and keeps what came of it while it fits the job."""

from collections.abc import Callable, Hashable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from PySide6.QtCore import QObject, Signal

from app.background import Background
from app.folder_writer import FolderWriter
from app.heat_follower import HeatFollower
from app.placed_part import placed_key
from app.session import Session
from core.heat.compare_heat import HeatComparison
from core.job import Job
from core.progress import GoesOn
from core.trial.image_choice import ImageChoice
from core.units import IntArray

if TYPE_CHECKING:
    from core.run_images import ImagesResult

KIND = "images"


@dataclass(frozen=True, kw_only=True)
class ImagesAsked:
    """Which images to compare and how. inside: the data set, where source is an HDF5 file."""

    source: Path
    inside: str | None
    points: Path
    choice: ImageChoice


def images_key(job: Job) -> Hashable:
    """What a comparison depends on: the placed part and its patches, and which of them have which sink."""
    return placed_key(job), tuple((pick.runs, pick.gap, pick.sink) for pick in job.picks), job.gap, job.sink


class ImagesFollower(FolderWriter):
    """Holds the comparison made last; a job it doesn't fit makes it out of date, another part drops it."""

    changed = Signal()
    """A comparison came, a run began or ended, or what is shown became out of date or current again."""

    def __init__(
        self, session: Session, background: Background, heat: HeatFollower, parent: QObject | None = None
    ) -> None:
        super().__init__(background, parent)
        self._session, self._heat = session, heat
        self.result: ImagesResult | None = None
        self.asked: ImagesAsked | None = None
        """What the comparison was made from."""
        self.wrong = ""
        """Why the last run gave nothing; empty when it did, or was stopped."""
        self._key: Hashable = None
        self._running_key: Hashable = None
        self._same_as: object = None
        self._heat_taken: HeatComparison | None = None
        session.state.changed.connect(self._follow)
        session.patches_changed.connect(self._follow)
        heat.changed.connect(self._follow)

    @property
    def is_current(self) -> bool:
        """True when the comparison belongs to the job as it is and to the part shown."""
        return self.result is not None and self._key == images_key(self._session.job) and self._is_part_shown()

    def _is_part_shown(self) -> bool:
        """The file of a part may change while the job stays, so corners are compared; once per part."""
        part = self._session.part
        if self.result is None or part is None:
            return False
        if part is not self._same_as and np.array_equal(part.corners_mm, self.result.part.corners_mm):
            self._same_as = part
        return part is self._same_as

    @property
    def running(self) -> bool:
        return self._background.busy(KIND)

    def refusal(self) -> str:
        """Why images can't be compared now; empty when they can."""
        placed = self._session.placed
        if placed is None:
            return self.tr("Open the part or job that was built first.")
        return "" if placed.key == placed_key(self._session.job) else self.tr("The part is being placed; a moment.")

    def run(self, asked: ImagesAsked) -> None:
        """Read the images and compare them with the part, off the window's thread."""
        placed = self._session.placed
        if (refusal := self.refusal()) or placed is None:
            self.refused.emit(refusal)
            return
        job, part = self._session.job, placed.part

        def work(goes_on: GoesOn) -> "tuple[Hashable, ImagesAsked, ImagesResult]":
            from core.run_images import place_of_images, run_images  # loads what the picture doesn't need
            from core.trial.layer_images import open_layer_images

            place = place_of_images(asked.points)
            images = open_layer_images(asked.source, asked.inside)
            return images_key(job), asked, run_images(job, images, place, asked.choice, goes_on, part=part)

        self._running_key, self.wrong = images_key(job), ""
        self._background.start(
            KIND,
            self.tr("Comparing layer images"),
            work,
            done=self._done,
            refused=self._refused,
            failed=self.failed.emit,
            ended=self._ended,
        )
        self.changed.emit()

    def stop(self) -> None:
        """Stop after the image at hand; an earlier comparison stays."""
        self._background.stop(KIND)
        self.changed.emit()

    def _done(self, answer: "tuple[Hashable, ImagesAsked, ImagesResult]") -> None:
        self._key, self.asked, self.result = answer
        self._same_as, self._heat_taken = self.result.part, None
        self._take_heat()

    def _refused(self, text: str) -> None:
        self.wrong = text
        self.refused.emit(text)

    def _ended(self, work: object) -> None:
        self.changed.emit()

    def _follow(self) -> None:
        """The job, the part or the temperatures changed: a run that no longer fits is stopped."""
        job = self._session.job
        if self.result is not None and self.result.job.part_file != job.part_file:
            self.result, self.asked, self._same_as = None, None, None
        if self.running and self._running_key != images_key(job):
            self._background.stop(KIND)
        self._take_heat()
        self.changed.emit()

    def _take_heat(self) -> None:
        """Correlate with the temperatures of the job as it is, if there are any; anew only when they changed."""
        if self.result is None:
            return
        heat = self._heat.comparison if self._heat.is_current and self.is_current else None
        if heat is not self._heat_taken:
            from core.run_images import with_heat  # loaded already, as there is a comparison

            self.result, self._heat_taken = with_heat(self.result, heat), heat

    def draw(self, layer: int, done: Callable[[Any], None], refused: Callable[[str], None]) -> None:
        """Draw the image of a layer, counted from 0, with the part's outline; done gets it with
        its (rows, columns, 3) uint8."""
        result = self.result
        if result is None:
            return

        def work(goes_on: GoesOn) -> tuple[int, IntArray]:
            from core.trial.image_overlay import layer_overlay

            return layer, layer_overlay(result.images, result.comparison, result.part, layer)

        title = self.tr("Drawing layer {0}").format(layer + 1)
        self._background.start("layer picture", title, work, done=done, refused=refused, failed=self.failed.emit)

    def export(self, folder: Path) -> None:
        """Write values, tables and pictures into a folder in the background."""
        result, asked = self.result, self.asked
        if result is None or asked is None or not self.is_current:
            self.refused.emit(self.tr("The images were not compared for the job as it is; compare them, then export."))
            return

        def write(goes_on: GoesOn) -> tuple[str, ...]:
            from core.run_images import check_not_among_images, write_images

            check_not_among_images(folder, asked.source)
            return write_images(result, folder, goes_on)

        self.write_into(folder, "export images", write)
