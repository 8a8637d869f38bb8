"""Buttons at findings, picking by rule, copying settings between sinks, and what choosing a row of the tree does."""

from dataclasses import replace
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QTreeWidgetItem

from app.panels.finding_buttons import FindingButtons
from core.checks.finding import Change


@pytest.fixture
def two(hand: Any) -> Any:
    """Two picked patches of the bracket; nothing is built until asked for."""
    bench = hand.bench
    bench.session.builder.at_once = False
    bench.session.picker.pick_patches({1, 2})
    return bench


def _build(bench: Any, hand: Any) -> None:
    bench.commands["build"].trigger()
    hand.wait_for_sinks()


def _row(group: QTreeWidgetItem, start: str) -> QTreeWidgetItem:
    rows = [group.child(i) for i in range(group.childCount())]
    return next(row for row in rows if row is not None and row.text(0).startswith(start))


def _click(bench: Any, hand: Any, row: QTreeWidgetItem, keys: Any = Qt.KeyboardModifier.NoModifier) -> None:
    at = bench.tree.visualItemRect(row).center()
    hand.qtbot.mouseClick(bench.tree.viewport(), Qt.MouseButton.LeftButton, keys, at)


def _buttons(bench: Any, text: str) -> list[Any]:
    """Buttons at the findings that hold some words."""
    found = []
    for i in range(bench.check_panel.list.count()):
        item = bench.check_panel.list.item(i)
        holder = bench.check_panel.list.itemWidget(item)
        if text in item.text() and isinstance(holder, FindingButtons):
            found += holder.buttons
    return found


def test_a_button_at_a_finding_does_what_it_says_as_one_step_and_the_finding_goes(two: Any, hand: Any) -> None:
    """Walls of 1.5 mm under a ceiling at 40 mm are 26 times as high as thick; 40 / 15 is 2.67, but the top lies lower:
    39.697 / 15 = 2.65 mm, so walls of 2.7 mm."""
    _build(two, hand)
    two.show_page("check")
    button = next(b for b in _buttons(two, "sink-01 has walls 26 times") if "2.7 mm thick" in b.text())
    assert button.text() == "Make the walls 2.7 mm thick for all sinks"
    assert button.isVisible() and button.width() >= button.sizeHint().width()
    hand.qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    hand.wait(lambda: two.state.job.sink.fin_thickness_mm == 2.7)
    assert two.state.undo_name == "Make the walls 2.7 mm thick for all sinks"
    assert two.state.job.sink.fin_pitch_mm == 5.2  # as much room between them as before: 4.0 - 1.5 = 2.5 mm
    _build(two, hand)
    levels = {f.level for f in two.session.result.findings if f.check == "slenderness"}
    assert levels == {"ok"} and not _buttons(two, "times as high as thick")
    two.state.undo()
    assert two.state.job.sink.fin_thickness_mm == 1.5 and two.state.job.sink.fin_pitch_mm == 4.0


def test_a_change_goes_to_the_sink_that_has_its_own_settings(two: Any) -> None:
    two.session.settings.look_at(1)
    two.session.settings.set_own(True)
    own = two.session.picked[1].id
    change = Change(values=(("gap.gap_mm", 0.5),), patches=(own,))
    assert two.remedies.words(change) == "Set the gap to 500 µm"
    two.remedies.take(change)
    assert [two.state.job.for_pick(pick).gap.gap_mm for pick in two.state.job.picks] == [0.3, 0.5]
    two.remedies.take(Change(values=(("sink.kind", "block"),), patches=(two.session.picked[0].id,)))
    assert [two.state.job.for_pick(pick).sink.kind for pick in two.state.job.picks] == ["block", "fins"]


def test_a_change_that_the_job_cannot_take_is_refused_with_the_reason(two: Any) -> None:
    before = two.state.job
    two.remedies.take(Change(values=(("gap.gap_mm", 0.05),)))
    assert two.state.job is before and two.message_bar.isVisible()
    assert "less than two layers" in two.message_bar.text.text()


def test_the_rule_row_picks_what_is_flat_and_large_enough(hand: Any) -> None:
    """The ceiling of the bracket is 400 mm² at 0°, the slope behind it 249.4 mm² at 30° (known_answers.json)."""
    bench, qtbot = hand.bench, hand.qtbot
    bench.session.builder.at_once = False
    bench.commands["pick_rule"].trigger()
    rule = bench.pick_rule
    assert rule.below.isVisible() and bench.window.focusWidget() is rule.below
    for below_deg, above_mm2, ids, words in (
        (35.0, 20.0, {1, 2}, "2 of 2 patches are picked."),
        (35.0, 300.0, {2}, "1 of 2 patches are picked."),
        (20.0, 500.0, set(), "No patch is that flat and that large."),
    ):
        rule.below.setValue(below_deg)
        rule.above.setValue(above_mm2)
        qtbot.mouseClick(rule.pick_button, Qt.MouseButton.LeftButton)
        assert {patch.id for patch in bench.session.picked} == ids and rule.said.text() == words
    assert bench.state.undo_name == "Pick patches"


def test_settings_are_copied_from_one_sink_and_pasted_to_the_chosen_ones(two: Any, hand: Any) -> None:
    settings, panel = two.session.settings, two.sink_panel
    assert not two.commands["paste_settings"].isEnabled()
    settings.look_at(0)
    panel.own.click()
    panel.spin.setValue(600)
    hand.qtbot.mouseClick(panel.copy_button, Qt.MouseButton.LeftButton)
    settings.look_at(1)
    panel.own.click()
    panel.spin.setValue(450)
    assert [two.state.job.for_pick(pick).gap.gap_mm for pick in two.state.job.picks] == [0.6, 0.45]
    assert two.commands["paste_settings"].isEnabled() and panel.paste_button.isEnabled()
    hand.qtbot.mouseClick(panel.paste_button, Qt.MouseButton.LeftButton)
    assert [two.state.job.for_pick(pick).gap.gap_mm for pick in two.state.job.picks] == [0.6, 0.6]
    two.state.undo()
    settings.choose((0, 1))
    two.commands["paste_settings"].trigger()
    assert two.state.undo_name == "Paste settings to 2 sinks"
    assert all(pick.has_own and pick.gap.gap_mm == 0.6 for pick in two.state.job.picks)


def test_a_chosen_sink_is_looked_at_and_nothing_else_is_picked(two: Any, hand: Any) -> None:
    two.session.settings.look_at(1)
    two.session.settings.set_own(True)
    _build(two, hand)
    picks = two.state.job.picks
    first, second = _row(two.tree.sink_row, "sink-01"), _row(two.tree.sink_row, "sink-02")
    own = {row.text(0): "own settings" in row.text(0) for row in (first, second)}
    assert sorted(own.values()) == [False, True]
    for row in (first, second):
        _click(two, hand, row)
        sink = two.session.result.sinks[0 if row is first else 1]
        assert two.session.picked[two.session.settings.number].id in sink.patches
        assert two.state.job.picks is picks
    assert two.sink_panel.own.isChecked() == ("own settings" in second.text(0))
    _click(two, hand, first, Qt.KeyboardModifier.ControlModifier)
    assert len(two.session.settings.chosen) == 2 and two.state.job.picks is picks
    chosen = {row.text(0) for row in two.tree.selectedItems()}
    assert {"Patch 1", "Patch 2"} <= chosen, "the picked patches stay marked"


def test_a_chosen_finding_leaves_the_picks_and_a_patch_replaces_them(two: Any, hand: Any) -> None:
    _build(two, hand)
    picks = two.state.job.picks
    _click(two, hand, two.tree.finding_row.child(0))
    assert two.state.job.picks is picks
    _click(two, hand, _row(two.tree.patch_row, "Patch 2"))
    assert [patch.id for patch in two.session.picked] == [2]


def test_results_that_no_longer_fit_are_grey_everywhere(two: Any, hand: Any) -> None:
    _build(two, hand)
    assert two.check_panel.measured.isEnabled() and two.check_panel.list.isEnabled()
    two.state.set(replace(two.state.job, rise_allowed_k=300.0), "Set allowed rise")
    assert two.old_sign.isVisible()
    assert not two.check_panel.measured.isEnabled() and not two.check_panel.list.isEnabled()
    assert two.check_panel.summary.text().startswith("Out of date: ")
    for row in (two.tree.sink_row, two.tree.finding_row):
        assert "out of date" in row.text(0)
        assert row.child(0).foreground(0).color() == two.tree.palette().placeholderText().color()
    assert not any(button.isEnabled() for button in _buttons(two, ""))
