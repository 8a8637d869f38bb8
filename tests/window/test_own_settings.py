"""A sink with a gap and dimensions of its own: its fields, undo, the preview, and what is built and saved."""

from typing import Any

import numpy as np
import pytest

from core.job_file import open_job


@pytest.fixture
def two(hand: Any) -> Any:
    """Two picked patches of the bracket, the second looked at; nothing is built until asked for."""
    bench = hand.bench
    bench.session.builder.at_once = False
    bench.session.picker.pick_patches({1, 2})
    bench.session.settings.look_at(1)
    return bench


def test_settings_of_its_own_change_one_sink_and_leave_the_others(two: Any, hand: Any, tmp_path: Any) -> None:
    panel, job = two.sink_panel, lambda: two.state.job
    panel.own.click()
    assert job().picks[1].gap == job().gap and job().picks[1].sink == job().sink and not job().picks[0].has_own
    panel.spin.setValue(600)
    panel.sink.fields["fin_thickness_mm"].setValue(2.5)
    first, second = (job().for_pick(pick) for pick in job().picks)
    assert (first.gap.gap_mm, second.gap.gap_mm) == (0.3, 0.6)
    assert (first.sink.fin_thickness_mm, second.sink.fin_thickness_mm) == (1.5, 2.5)
    two.session.settings.look_at(0)
    assert panel.spin.value() == 300 and panel.sink.fields["fin_thickness_mm"].value() == 1.5
    assert not panel.own.isChecked() and panel.for_all.isHidden()
    two.commands.actions["build"].trigger()
    hand.wait_for_sinks()
    assert {sink.gap_mm for sink in two.session.result.sinks} == {0.3, 0.6}
    assert two.session.save(tmp_path / "a.underfin")
    assert open_job(tmp_path / "a.underfin").picks == job().picks


def test_own_settings_go_back_step_by_step_and_can_be_given_to_all(two: Any) -> None:
    panel, state = two.sink_panel, two.state
    panel.own.click()
    panel.spin.setValue(600)
    state.undo()
    assert state.job.picks[1].gap.gap_mm == 0.3
    state.redo()
    panel.for_all.click()
    assert state.job.gap.gap_mm == 0.6 and not any(pick.has_own for pick in state.job.picks)
    state.undo()
    panel.own.click()
    assert not state.job.picks[1].has_own and state.job.gap.gap_mm == 0.3


def test_the_slider_moves_only_the_tops_it_is_about(two: Any) -> None:
    session = two.session
    two.sink_panel.own.click()
    session.preview_gap(0.8)
    assert [gap_mm for _, gap_mm in session.previews()] == [0.3, 0.8]
    session.settings.look_at(0)
    assert [gap_mm for _, gap_mm in session.previews()] == [0.8, 0.3]
    session.preview_gap(None)
    assert [gap_mm for _, gap_mm in session.previews()] == [0.3, 0.3]


def test_painted_faces_join_and_leave_a_pick_and_only_downskin_counts(two: Any) -> None:
    session = two.session
    session.picker.clear()
    faces = session.patches[0].faces
    session.picker.paint(np.concatenate([faces[:1], np.flatnonzero(session.placed.angles_deg > 100)[:5]]), add=True)
    assert [pick.n_faces for pick in session.job.picks] == [1]
    session.picker.paint(faces, add=True)
    assert [pick.n_faces for pick in session.job.picks] == [len(faces)]
    session.picker.paint(faces[:1], add=False)
    assert [pick.n_faces for pick in session.job.picks] == [len(faces) - 1]
    session.picker.paint(faces, add=False)
    assert session.job.picks == () and two.state.undo_name == "Take faces out"


def test_patches_are_picked_by_rule(two: Any) -> None:
    session = two.session
    wanted = {p.id for p in session.patches if p.lowest_angle_deg < 35 and p.area_mm2 > 20}
    assert session.picker.pick_by_rule(35.0, 20.0) == len(wanted) > 0
    assert {p.id for p in session.picked} == wanted
