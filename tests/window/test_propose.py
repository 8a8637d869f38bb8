"""The window proposes sinks: one command, one step of undo, reasons in the tree and on the sink page, all editable."""

from typing import Any


def test_one_command_proposes_says_why_and_is_one_step_of_undo(hand: Any) -> None:
    bench = hand.bench
    panel, action, job = bench.sink_panel, bench.commands["propose"], lambda: bench.state.job
    assert action in bench.window.actions() and action.isEnabled() and not panel.propose_sinks.isHidden()
    assert panel.proposal.why.isHidden()
    panel.propose_sinks.click()
    assert not action.isEnabled() and bench.background.busy("propose")
    hand.wait(lambda: not bench.background.busy("propose") and bool(job().picks))
    assert [pick.has_own for pick in job().picks] == [True, True] and bench.state.undo_name == "Propose sinks"
    assert panel.propose_sinks.isHidden() and action.isEnabled()
    why = panel.proposal.why.text()
    assert "Why a sink under patch 1" in why and "inside its window" in why and "A sink lowers the rise from" in why
    tips = [bench.tree.patch_row.child(i).toolTip(0) for i in range(2)]
    assert all("\nA sink lowers the rise from" in tip for tip in tips)
    hand.wait_for_sinks()
    assert not bench.session.result.stopped
    assert [s.gap_mm for s in bench.session.result.sinks] == [pick.gap.gap_mm for pick in job().picks]
    panel.spin.setValue(400)  # an ordinary pick with settings of its own
    assert {pick.gap.gap_mm for pick in job().picks} > {0.4} and "changed by hand since" in panel.proposal.why.text()
    bench.state.undo()
    bench.state.undo()
    assert job().picks == () and not panel.propose_sinks.isHidden()
    panel.proposal.most_metal.setValue(0.1)
    action.trigger()
    hand.wait(lambda: not bench.background.busy("propose") and bool(job().picks))
    assert "times what the part does" in panel.proposal.why.text()
    bench.process_panel.alloy.textActivated.emit("AlSi10Mg")
    assert "Out of date" in panel.proposal.why.text()
