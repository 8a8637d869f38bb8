"""Builds the exact sinks in the background, keeps the result, and writes it to a folder."""

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal

from app.background import Background
from app.folder_writer import FolderWriter
from app.job_state import JobState
from core.export.result import JobResult
from core.job import Job
from core.part.part import Part
from core.progress import GoesOn

if TYPE_CHECKING:
    from core.heat.compare_heat import HeatComparison

BUILD_AFTER_MS = 350
"""Edits that follow each other faster than this lead to one build."""


def load_builder(goes_on: GoesOn) -> None:
    """Load what estimates, builds and follows; neither the first picture nor the first click waits for it.

    Runs in the worker. What writes is loaded when something is written.
    """
    import scipy.optimize  # noqa: F401  the gap window of the first pick asks for it

    import core.run_heat
    import core.run_job  # noqa: F401
    from app.warm_up import load_clicks

    load_clicks()


class Builder(FolderWriter):
    """Holds the last result and whether it still belongs to the job."""

    changed = Signal()
    """Sinks were built, dropped, or became out of date."""
    loaded = Signal()
    """What builds is in memory; the first build doesn't wait for it."""
    ended = Signal()
    """A build ended, with sinks or without."""

    def __init__(self, state: JobState, background: Background, parent: QObject | None = None) -> None:
        super().__init__(background, parent)
        self._state = state
        self.at_once = True
        """Build after every change, or only when asked."""
        self.thorough = False
        """Look for powder among finer cells and behind necks, which takes some seconds more."""
        self.part: Part | None = None
        """The placed part to build on; None while it is being placed anew."""
        self.result: JobResult | None = None
        self._result_for: Job | None = None
        self._looked_closer = False
        self._refused_for: Job | None = None
        self._timer = QTimer(self, interval=BUILD_AFTER_MS, singleShot=True)
        self._timer.timeout.connect(self.build)

    @property
    def is_current(self) -> bool:
        """True when the sinks belong to the job as it is, and were looked at as closely as asked."""
        closely = self._looked_closer or not self.thorough
        return self.result is not None and self._result_for == self._state.job and closely

    def set_thorough(self, on: bool) -> None:
        """Look closer for powder from now on; what is built already is looked at again."""
        self.thorough = on
        self._refused_for = None
        self.follow()

    def load(self) -> None:
        """Get ready in the background for the first build."""
        self._background.start(
            "load",
            self.tr("Getting ready to build"),
            load_builder,
            done=self._loaded,
            refused=self.refused.emit,
            failed=self.failed.emit,
        )

    def _loaded(self, answer: None) -> None:
        self.loaded.emit()

    def forget(self) -> None:
        """Another file was opened."""
        self._background.stop("build")
        self.result, self._result_for, self._refused_for = None, None, None
        self.changed.emit()

    def follow(self) -> None:
        """The job changed: stop a build that no longer fits and start the next one soon."""
        self.changed.emit()
        self._timer.stop()
        self._background.stop("build")
        job = self._state.job
        if job.picks and not self.is_current and self.at_once and job != self._refused_for:
            self._timer.start()

    def build(self) -> None:
        """Build the sinks of the job as it is."""
        self._timer.stop()
        job, part, thorough = self._state.job, self.part, self.thorough
        if part is None or not job.picks or self._background.busy("place"):
            return

        def work(goes_on: GoesOn) -> tuple[Job, bool, JobResult]:
            from core.run_job import run_job  # see load_builder

            return job, thorough, run_job(job, goes_on, part=part, thorough=thorough)

        self._background.start(
            "build", self.tr("Building the sinks"), work, done=self._built, refused=self._refuse, failed=self._fail
        )

    def _built(self, answer: tuple[Job, bool, JobResult]) -> None:
        job, thorough, result = answer
        if job == self._state.job:
            self._result_for, self._looked_closer, self.result = job, thorough, result
            self.changed.emit()
            self.ended.emit()
            stops = [finding for finding in result.findings if finding.level == "stop"]
            for finding in stops[:1]:
                self.refused.emit(" ".join(text for text in (finding.text, finding.remedy) if text))

    def _refuse(self, text: str) -> None:
        self._refused_for = self._state.job
        self.refused.emit(text)
        self.ended.emit()

    def _fail(self, details: str) -> None:
        self._refused_for = self._state.job
        self.failed.emit(details)
        self.ended.emit()

    def export(self, folder: Path, heat: "HeatComparison | None" = None) -> None:
        """Write the result into a folder in the background, just as the command line does.

        heat: the same build followed in 3-D, for the report.
        """
        result = self.result
        if result is None or not self.is_current:
            self.refused.emit(self.tr("The sinks are not built for the job as it is; build them, then export."))
            return

        def write(goes_on: GoesOn) -> tuple[str, ...]:
            from core.export.write_job import write_result  # see load_builder

            return write_result(result, folder, heat=heat, goes_on=goes_on)

        self.write_into(folder, "export", write)

    def close(self) -> None:
        """Stop the timer; the window is closing."""
        self._timer.stop()
