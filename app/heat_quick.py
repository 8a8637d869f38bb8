"""Looks quickly at the heat of the finished sinks, by itself and in the background, as soon as they stand."""

from dataclasses import replace

from PySide6.QtCore import QObject, Signal

from app.background import Background
from app.session import Session
from core.export.result import JobResult
from core.heat.heat_choice import HeatChoice
from core.heat.quick_look import QuickAnswer
from core.job import Job
from core.progress import GoesOn

KIND = "quick look"
Wanted = tuple[Job, HeatChoice]


class HeatQuick(QObject):
    """Holds the last quick look and whether it still belongs to the job and the settings."""

    changed = Signal()
    """An answer came, or what is shown became out of date."""
    failed = Signal(str)

    def __init__(self, session: Session, background: Background, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._session, self._background = session, background
        self.answer: QuickAnswer | None = None
        self._choice = HeatChoice()
        self._shown_for: Wanted | None = None
        self._asked_for: Wanted | None = None
        """What was looked at last or is being looked at; a refusal is not asked for twice."""

    @property
    def _wanted(self) -> Wanted:
        return self._session.job, self._choice

    @property
    def is_current(self) -> bool:
        """True when the answer belongs to the job as it is."""
        return self.answer is not None and self._shown_for == self._wanted

    @property
    def looking(self) -> bool:
        return self._background.busy(KIND)

    def follow(self, choice: HeatChoice) -> None:
        """The job, its sinks or a setting changed: stop a look that no longer fits, and look when there are sinks.

        The cells stay those of a quick look, and the processor is quick enough for them.
        """
        self._choice = replace(choice, cell_mm=0.0, machine="processor", double=False)
        result = self._session.result
        if result is None:
            self.answer, self._shown_for = None, None
        if self._asked_for != self._wanted:
            self._asked_for = None
            self._background.stop(KIND)
            if result is not None and result.sinks and self._session.result_is_current and not self.is_current:
                self._look(result)
        self.changed.emit()

    def _look(self, result: JobResult) -> None:
        wanted = self._asked_for = self._wanted

        def work(goes_on: GoesOn) -> tuple[Wanted, QuickAnswer]:
            from core.run_heat import run_quick_look  # see load_builder

            return wanted, run_quick_look(result, wanted[1], goes_on)

        self._background.start(
            KIND,
            self.tr("Quick look at the heat"),
            work,
            done=self._done,
            refused=self._refused,
            failed=self.failed.emit,
            stopped=self._stopped,
            ended=self._ended,
        )

    def _done(self, answer: tuple[Wanted, QuickAnswer]) -> None:
        self._shown_for, self.answer = answer

    def _refused(self, text: str) -> None:
        """Following the build says the same when it is asked for."""

    def _stopped(self) -> None:
        """By an edit, or by hand: the next change looks again."""
        if not self.looking:
            self._asked_for = None

    def _ended(self, work: object) -> None:
        self.changed.emit()
