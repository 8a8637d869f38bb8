"""The command that gives the sink looked at its best gap, as one step of the job, and says why it is that one."""

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from app.commands import Command, Commands
from core.gap.gap_choice import GapChoice
from core.refusal import Refusal

if TYPE_CHECKING:
    from app.workbench import Workbench


class BestGapLink(QObject):
    """Takes milliseconds, so it is done at once. Sentences of core stay English."""

    def __init__(self, bench: "Workbench", commands: Commands) -> None:
        super().__init__(bench)
        self._bench, self._session = bench, bench.session
        self._button = bench.sink_panel.best
        tip = self.tr(
            "The least rise among gaps that come free with 95 %, by kept trials or else the model; to the micrometre"
        )
        command = Command(name="best_gap", text=self.tr("Set the best &gap"), run=self.take, keys="Ctrl+G", tip=tip)
        self._action = commands.add(command)
        self._button.setToolTip(tip)
        self._button.clicked.connect(self._action.trigger)
        for changed in (self._session.picks_changed, self._session.state.changed):
            changed.connect(self._follow)
        self._follow()

    def take(self) -> None:
        """Set the gap; a sink among several gets it as its own. Where a limit is broken the sentence says so."""
        from core.best_gap import best_gap  # the fit of trials, for which the first picture doesn't wait
        from core.best_gap_words import best_gap_text, broken_words, short_text

        settings, picked = self._session.settings, self._session.picked
        if not picked:
            return
        try:
            best = best_gap(settings.job, picked[settings.number])
            self._set(GapChoice(gap_mm=best.gap_mm))
        except Refusal as reason:
            self._bench.message_bar.say("stop", str(reason))
            return
        level = "note" if broken_words(best) else "ok"
        details = "\n".join((best_gap_text(best), *best.window.estimate.notes))
        self._bench.message_bar.say(level, short_text(best), details)

    def _set(self, gap: GapChoice) -> None:
        settings, state = self._session.settings, self._session.state
        step, pick = self.tr("Set the best gap"), settings.pick
        if pick is None or pick.has_own or len(state.job.picks) == 1:
            settings.change(step, gap=gap)
            return
        own = replace(pick, gap=gap, sink=settings.job.sink)
        picks = tuple(own if k == settings.number else other for k, other in enumerate(state.job.picks))
        state.set(replace(state.job, picks=picks), step)

    def _follow(self) -> None:
        can = bool(self._session.picked)
        self._action.setEnabled(can)
        self._button.setVisible(can)
