"""Undo and redo of everything, saving and opening, and files that can't be used."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PySide6.QtCore import QMimeData, QPointF, Qt, QUrl
from PySide6.QtGui import QDropEvent

from app.job_state import JobState
from core.job import Job


def test_every_step_is_undone_and_redone_under_its_name(hand: Any) -> None:
    bench, state = hand.bench, hand.bench.state
    bench.session.builder.at_once = False
    start = state.job
    hand.click(hand.pixel_of_patch(2))
    bench.sink_panel.spin.setValue(420)
    bench.process_panel.alloy.setCurrentText("IN718")
    bench.process_panel.alloy.textActivated.emit("IN718")
    bench.place_panel.limit.setValue(40.0)
    names = []
    while state.undo_name:
        names.append(state.undo_name)
        assert bench.commands["undo"].text() == f"&Undo {state.undo_name}"
        bench.commands["undo"].trigger()
    assert names == ["Set low-angle limit", "Set alloy to IN718", "Set gap to 420 µm", "Pick face"]
    assert state.job == start and not state.modified
    for _ in names:
        bench.commands["redo"].trigger()
    assert (state.job.gap.gap_mm, state.job.alloy, state.job.max_angle_deg) == (0.42, "IN718", 40.0)
    assert len(state.job.picks) == 1


def test_fast_edits_of_one_field_are_one_step_and_others_are_not() -> None:
    state = JobState()
    for value in (210.0, 220.0, 230.0):
        state.set(replace(state.job, rise_allowed_k=value), "Set allowed rise", merge=True)
    state.set(replace(state.job, max_angle_deg=30.0), "Set low-angle limit", merge=True)
    state.undo()
    assert state.job.rise_allowed_k == 230.0
    state.undo()
    assert state.job == Job()


def test_a_saved_job_opens_as_the_same_job(
    hand: Any, bracket: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    bench = hand.bench
    hand.click(hand.pixel_of_patch(2))
    bench.sink_panel.spin.setValue(350)
    assert bench.window.isWindowModified()
    target = tmp_path / "first.underfin"
    monkeypatch.setattr("app.messages.ask_job_file", lambda parent, proposed: target)
    bench.commands["save"].trigger()
    assert not bench.window.isWindowModified() and bench.window.windowTitle().startswith("first.underfin")
    job = bench.state.job
    hand.open(bracket)
    assert bench.state.job != job
    hand.open(target)
    assert bench.state.job == job
    assert [patch.id for patch in bench.session.picked] == [2]
    hand.wait_for_sinks()


def test_closing_asks_before_unsaved_changes_are_lost(hand: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    asked = []
    answer = "cancel"
    monkeypatch.setattr("app.messages.ask_before_discard", lambda parent, name: asked.append(name) or answer)
    hand.bench.state.set(replace(hand.bench.state.job, max_angle_deg=30.0), "Set low-angle limit")
    assert not hand.bench.window.close()
    assert asked == ["sensor-bracket.stl"]
    answer = "discard"
    assert hand.bench.window.close()


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("broken.stl", b"solid x\nfacet normal 0 0 1\nouter loop\nvertex 0 0 nonsense\n"),
        ("empty.3mf", b""),
        ("old.underfin", b'{"schema": 99}'),
        ("notes.txt", b"hello"),
    ],
)
def test_a_bad_file_gives_one_sentence_and_keeps_the_job(hand: Any, tmp_path: Path, name: str, content: bytes) -> None:
    bench = hand.bench
    before, part = bench.state.job, bench.session.part
    (tmp_path / name).write_bytes(content)
    bench.open_file(tmp_path / name)
    hand.wait(lambda: bench.message_bar.isVisible())
    text = bench.message_bar.text.text()
    assert 10 < len(text) <= 400 and "\n" not in text and "Traceback" not in text
    assert bench.state.job is before and bench.session.part is part


def test_a_job_whose_picks_do_not_fit_the_part_is_refused(hand: Any, tmp_path: Path) -> None:
    from core.job import Pick
    from core.job_file import save_job

    bench = hand.bench
    before = bench.state.job
    save_job(replace(before, picks=(Pick(runs=((0, 5_000_000),)),)), tmp_path / "other.underfin")
    bench.open_file(tmp_path / "other.underfin")
    hand.wait(lambda: bench.message_bar.isVisible())
    assert "5000000" in bench.message_bar.text.text() and bench.state.job is before


def test_a_part_dropped_on_the_window_opens(bench: Any, bracket: Path, qtbot: Any) -> None:
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(bracket))])
    drop = QDropEvent(
        QPointF(400, 300), Qt.DropAction.CopyAction, data, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    )
    bench.window.dropEvent(drop)
    qtbot.waitUntil(lambda: bench.session.part is not None, timeout=180_000)
    assert bench.stack.currentIndex() == 1
    assert bench.settings.recent_files() == [str(bracket)]


def test_the_empty_window_says_what_to_do_and_offers_a_sample_part(bench: Any, qtbot: Any) -> None:
    assert bench.stack.currentIndex() == 0
    assert bench.start_page.sample_button.isVisible()
    qtbot.mouseClick(bench.start_page.sample_button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: bench.session.part is not None, timeout=180_000)
    assert bench.session.part.name == "sensor-bracket"


def test_turning_the_part_finds_the_downskin_anew_and_lets_the_picks_go(hand: Any) -> None:
    bench = hand.bench
    bench.session.builder.at_once = False
    hand.click(hand.pixel_of_patch(2))
    with hand.qtbot.waitSignal(bench.session.part_changed, timeout=180_000):
        bench.place_panel.turns[1].setValue(90.0)
    part = bench.session.part
    assert part is not None and bench.state.job.picks == ()
    # Right-handed about Y by 90 degrees: x goes to -z, z to x; the part is lifted back onto the plate.
    raw = bench.session._raw
    assert raw is not None
    expected = np.column_stack([raw.vertices_mm[:, 2], raw.vertices_mm[:, 1], -raw.vertices_mm[:, 0]])
    expected[:, 2] -= expected[:, 2].min()
    assert np.allclose(part.vertices_mm, expected)
    with hand.qtbot.waitSignal(bench.session.part_changed, timeout=180_000):
        bench.state.undo()
    assert len(bench.state.job.picks) == 1


def test_changes_that_a_crash_left_behind_are_brought_back(hand: Any, tmp_path: Path) -> None:
    from PySide6.QtCore import QObject

    from app.autosave import Autosave

    state, folder = JobState(), tmp_path / "crash"
    crashed = Autosave(state, folder)
    state.open(hand.bench.state.job, None)
    state.set(replace(state.job, max_angle_deg=31.0), "Set low-angle limit")
    crashed.write()
    assert crashed._lock is not None
    crashed._lock.unlock()  # as the system does when the process dies
    owner = QObject()
    after = Autosave(JobState(owner), folder, owner)
    assert after.left_over is not None
    with hand.qtbot.waitSignal(hand.bench.session.patches_changed, timeout=180_000):
        hand.bench.session.open(after.left_over, bring_back=True)
    assert hand.bench.state.job.max_angle_deg == 31.0
    assert hand.bench.state.modified and hand.bench.state.file is None
    after.close()
