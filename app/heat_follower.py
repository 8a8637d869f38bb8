"""Follows the build of the finished sinks in the background, keeps the comparison, and writes it to a folder."""

import shutil
import tempfile
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from app.background import TAKES_MINUTES, Background
from app.folder_writer import FolderWriter
from app.heat_card import HeatCard
from app.heat_quick import HeatQuick
from app.session import Session
from core.export.result import JobResult
from core.heat.compare_heat import HeatComparison
from core.heat.heat_choice import HeatChoice
from core.job import Job
from core.progress import GoesOn

BANDS_SHARE = 0.1
"""Of the share that core reports, what the coarse runs for the bands take; the rest are two builds of equal length."""


def effort(share: float) -> float:
    """The share of the work at a share of the layers: every layer takes longer than the last, as more stands below."""
    if share <= BANDS_SHARE:
        return share
    half = (1.0 - BANDS_SHARE) / 2
    build, layers = divmod((share - BANDS_SHARE) / half, 1.0)
    return min(1.0, BANDS_SHARE + half * (build + layers * layers))


class HeatFollower(FolderWriter):
    """Holds the last comparison and whether it still belongs to the job and to what was chosen here."""

    changed = Signal()
    """A comparison came, a run began or ended, or what is shown became out of date."""

    def __init__(
        self, session: Session, background: Background, choice: HeatChoice, parent: QObject | None = None
    ) -> None:
        super().__init__(background, parent)
        self._session = session
        self.choice = choice
        self.comparison: HeatComparison | None = None
        self.halfway = False
        """A run was stopped and can go on."""
        self._result: JobResult | None = None
        self._shown_for: tuple[Job, HeatChoice] | None = None
        self._running_for: tuple[Job, HeatChoice] | None = None
        self._half_done: Path | None = None
        self.quick, self.card = HeatQuick(session, background, self), HeatCard(background, self)
        self.quick.failed.connect(self.failed)
        self.card.failed.connect(self.failed)
        session.result_changed.connect(self._follow)

    @property
    def is_current(self) -> bool:
        """True when the temperatures belong to the job as it is."""
        return self.comparison is not None and self._shown_for == (self._session.job, self.choice)

    @property
    def running(self) -> bool:
        return self._background.busy(TAKES_MINUTES)

    def refusal(self) -> str:
        """Why the build can't be followed now; empty when it can."""
        if self._session.part is None:
            return self.tr("Open a part first.")
        if not self._session.job.picks:
            return self.tr("Pick a face first; the build is compared with its sink and without.")
        result = self._session.result
        if result is None or not self._session.result_is_current:
            return self.tr("The sinks are not built for the job as it is.")
        return "" if result.sinks else self.tr("There is no sink to compare with; see the Check page for why.")

    def set_choice(self, choice: HeatChoice) -> None:
        """Another cell size or another machine; what is shown may be out of date then."""
        self.choice = choice
        self._follow()

    def run(self) -> None:
        """Follow the build with the sinks and without; goes on from where an earlier run was stopped."""
        refusal, result = self.refusal(), self._session.result
        if refusal or result is None:
            self.refused.emit(refusal)
            return
        job, choice = self._session.job, self.choice
        if self._half_done is None:
            self._half_done = Path(tempfile.mkdtemp(prefix="underfin-heat-"))
        half_done = self._half_done

        def work(goes_on: GoesOn) -> tuple[Job, HeatChoice, JobResult, HeatComparison]:
            from core.run_heat import run_heat  # see load_builder

            done = run_heat(result, choice, lambda share: goes_on(effort(share)), half_done=half_done)
            return job, choice, result, done

        self._running_for = (job, choice)
        self.halfway = False
        self._background.start(
            TAKES_MINUTES,
            self.tr("Following the build"),
            work,
            done=self._done,
            refused=self.refused.emit,
            failed=self.failed.emit,
            stopped=self._stopped,
            ended=self._ended,
        )
        self.changed.emit()

    def stop(self) -> None:
        """Stop after the layer at hand; the state is kept."""
        self._background.stop(TAKES_MINUTES)
        self.changed.emit()

    def _done(self, answer: tuple[Job, HeatChoice, JobResult, HeatComparison]) -> None:
        job, choice, self._result, self.comparison = answer
        self._shown_for = (job, choice)

    def _stopped(self) -> None:
        self.halfway = True

    def _ended(self, work: object) -> None:
        self.changed.emit()

    def _follow(self) -> None:
        """The job or the choice changed: a run that no longer fits is stopped, and so is one of another file."""
        if self._session.result is None:
            self.comparison, self._result, self._shown_for = None, None, None
        if self.running and self._running_for != (self._session.job, self.choice):
            self._background.stop(TAKES_MINUTES)
        self.quick.follow(self.choice)
        self.changed.emit()

    def export(self, folder: Path) -> None:
        """Write values, table, faces and plots into a folder in the background."""
        result, comparison = self._result, self.comparison
        if result is None or comparison is None or not self.is_current:
            self.refused.emit(self.tr("The build was not followed for the job as it is; follow it, then export."))
            return

        def write(goes_on: GoesOn) -> tuple[str, ...]:
            from core.export.write_heat import write_heat  # see load_builder
            from core.export.write_report import write_heat_report

            files = write_heat(comparison, result, folder)
            return files + write_heat_report(comparison, result, folder, files)

        self.write_into(folder, "export heat", write)

    def close(self) -> None:
        """Remove the kept state; the window is closing and the background has ended."""
        if self._half_done is not None:
            shutil.rmtree(self._half_done, ignore_errors=True)
