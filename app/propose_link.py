"""The command that proposes sinks: works in the background, is one step of the job, and keeps the reasons to show."""

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt

from app.commands import Command, Commands
from app.panels.result_rows import NUMBER
from app.placed_part import placed_key
from core.job import Job
from core.progress import GoesOn

if TYPE_CHECKING:
    from app.workbench import Workbench
    from core.propose_sinks import Proposal

KIND = "propose"
PLAIN_TIP = Qt.ItemDataRole.UserRole + 9
"""A row's tooltip without the reasons."""


class ProposeLink(QObject):
    """What was proposed stays until another part is placed; it says so when the job is another one by now."""

    def __init__(self, bench: "Workbench", commands: Commands) -> None:
        super().__init__(bench)
        self._bench, self._session = bench, bench.session
        self._panel = bench.sink_panel.proposal
        self._proposal: Proposal | None = None
        self._asked_for: Job | None = None
        tip = self.tr("Choose patches, kinds of sink, gaps and zones for the whole part, and say why")
        command = Command(name="propose", text=self.tr("&Propose sinks"), run=self.propose, keys="F7", tip=tip)
        self._action = commands.add(command)
        self._panel.button.clicked.connect(self._action.trigger)
        bench.sink_panel.propose_sinks.clicked.connect(self._action.trigger)
        for changed in (self._session.patches_changed, self._session.picks_changed, self._session.state.changed):
            changed.connect(self._follow)
        self._follow()

    def propose(self) -> None:
        """Look at all patches of the part as it stands; picks of now are replaced when sinks are proposed."""
        placed, job = self._session.placed, replace(self._session.job, picks=())
        if placed is None or placed.key != placed_key(job) or self._bench.background.busy(KIND):
            return
        part, share = placed.part, self._panel.most_metal.value()

        def work(goes_on: GoesOn) -> "Proposal":
            from core.propose_rules import ProposeLimits  # see load_builder
            from core.propose_sinks import propose_sinks

            return propose_sinks(job, goes_on, part, limits=ProposeLimits(most_mass_share=share))

        self._asked_for = job
        self._bench.background.start(
            KIND,
            self.tr("Proposing sinks"),
            work,
            done=self._done,
            refused=self._refused,
            failed=self._session.tell_failure,
            ended=self._ended,
        )
        self._follow()

    def _done(self, proposal: "Proposal") -> None:
        job = self._session.job
        if replace(job, picks=()) != self._asked_for:
            return
        self._proposal = proposal
        n, n_all = len(proposal.taken), len(proposal.patches)
        if n:
            self._session.state.set(replace(job, picks=proposal.job.picks), self.tr("Propose sinks"))
            text = self.tr("Sinks proposed under {0} of {1} patches; the Sink page says why. Undo takes them back.")
            self._bench.message_bar.say("ok", text.format(n, n_all))
        else:
            self._bench.message_bar.say("note", self.tr("No sink is proposed; the Sink page says why."))
        self._bench.show_page("sink")

    def _refused(self, text: str) -> None:
        self._bench.message_bar.say("stop", text)

    def _ended(self, work: object) -> None:
        self._follow()

    def _follow(self) -> None:
        """Stop what no longer fits, forget what belongs to another part, and show the rest."""
        placed, job = self._session.placed, replace(self._session.job, picks=())
        if self._bench.background.busy(KIND) and job != self._asked_for:
            self._bench.background.stop(KIND)
        busy = self._bench.background.busy(KIND)
        proposal = self._proposal
        if proposal is not None and (placed is None or placed.part is not proposal.result.part):
            proposal = self._proposal = None
        can = placed is not None and not busy
        self._action.setEnabled(can)
        for button in (self._panel.button, self._bench.sink_panel.propose_sinks):
            button.setEnabled(can)
        patches = proposal.patches if proposal is not None else ()
        self._panel.show_proposal(patches, old=job != self._asked_for)
        self._show_tips({p.patch: p.headline for p in patches})

    def _show_tips(self, headlines: dict[int, str]) -> None:
        """The first reason under each patch's own tooltip in the job tree."""
        rows = self._bench.tree.patch_row
        for row in (rows.child(i) for i in range(rows.childCount())):
            if row is None:
                continue
            plain = row.data(0, PLAIN_TIP) or row.toolTip(0)
            row.setData(0, PLAIN_TIP, plain)
            reason = headlines.get(row.data(0, NUMBER), "")
            row.setToolTip(0, f"{plain}\n{reason}" if reason else plain)
