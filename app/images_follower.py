"""Compares layer images with the job's part in the background, and keeps what came of it while it fits the job."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject

from app.after_build_follower import AfterBuildFollower
from app.background import Background
from app.heat_follower import HeatFollower
from app.session import Session
from core.heat.compare_heat import HeatComparison
from core.job import Job
from core.part.part import Part
from core.progress import GoesOn
from core.trial.image_choice import ImageChoice
from core.units import IntArray

if TYPE_CHECKING:
    from core.run_images import ImagesResult


@dataclass(frozen=True, kw_only=True)
class ImagesAsked:
    """Which images to compare and how. inside: the data set, where source is an HDF5 file."""

    source: Path
    inside: str | None
    points: Path
    choice: ImageChoice


class ImagesFollower(AfterBuildFollower[ImagesAsked, "ImagesResult"]):
    """Holds the images compared last, correlated with the predicted temperatures as long as those fit the job too."""

    kind = "images"

    def __init__(
        self, session: Session, background: Background, heat: HeatFollower, parent: QObject | None = None
    ) -> None:
        super().__init__(session, background, parent)
        self._heat = heat
        self._heat_taken: HeatComparison | None = None
        heat.changed.connect(self._follow)

    def run(self, asked: ImagesAsked) -> None:
        """Read the images and compare them with the part, off the window's thread."""

        def made(job: Job, part: Part, goes_on: GoesOn) -> "ImagesResult":
            from core.run_images import place_of_images, run_images  # loads what the picture doesn't need
            from core.trial.layer_images import open_layer_images

            place = place_of_images(asked.points)
            images = open_layer_images(asked.source, asked.inside)
            return run_images(job, images, place, asked.choice, goes_on, part=part)

        self.compare(self.tr("Comparing layer images"), asked, made)

    def take(self, answer: "tuple[ImagesAsked, ImagesResult]") -> None:
        super().take(answer)
        self._heat_taken = None
        self._take_heat()

    def _follow(self) -> None:
        self._take_heat()
        super()._follow()

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
