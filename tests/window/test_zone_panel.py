"""Downskin zones in the window: one for all or one of its own, shown with what it melts, drawn, undone, exported."""

import json
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import Qt


def test_a_zone_of_one_of_two_sinks_is_set_drawn_hidden_undone_and_exported(hand: Any, tmp_path: Path) -> None:
    bench = hand.bench
    panel, session, settings = bench.process_panel.zone, bench.session, bench.session.settings
    session.builder.at_once = False
    assert "No zone" in panel.figures.text() and not panel.fields["power_w"].isEnabled()
    session.picker.pick_patches({1, 2})
    number = next(k for k, patch in enumerate(session.picked) if patch.id == 2)
    settings.look_at(number)
    panel.own.click()
    panel.fields["layers"].setValue(5)
    panel.fields["power_w"].setValue(180.0)
    own = session.job.picks[number].zone
    assert (own.layers, own.power_w, own.speed_mm_s) == (5, 180.0, None) and session.job.zone.layers == 0
    assert panel.fields["speed_mm_s"].value() == session.job.laser.speed_mm_s
    # 180 W at 960 mm/s: 0.1875 J/mm, over a hatch of 0.11 mm 1.70 J/mm²
    assert "0.2 mm high; 0.188 J/mm, 1.70 J/mm²" in panel.figures.text()
    assert "whole tracks are laid on powder" in panel.figures.text()  # patch 2 is a flat ceiling
    bench.commands.actions["build"].trigger()
    hand.wait_for_sinks()

    (row,) = [bench.tree.zone_row.child(k) for k in range(bench.tree.zone_row.childCount())]
    assert row.text(0).startswith("zone-01 above patch 2, 5 layers") and not bench.tree.zone_row.isHidden()
    things = bench.view.scene.zone_things
    (drawn,) = things.bodies
    # patch 2 lies flat at 40 mm; five layers of 0.04 mm end at 40.2 mm
    assert drawn.visible and drawn.ends_mm[:, 2] == pytest.approx([40.0, 40.2], abs=1e-3)
    blue, red = drawn.actor.GetProperty().GetColor()[2], drawn.actor.GetProperty().GetColor()[0]
    assert 0 < drawn.actor.GetProperty().GetOpacity() < 1 and blue > red > drawn.actor.GetProperty().GetColor()[1]
    row.setCheckState(0, Qt.CheckState.Unchecked)
    assert not drawn.visible
    bench.commands["show_zones"].trigger()
    bench.commands["show_zones"].trigger()
    assert drawn.visible and row.checkState(0) == Qt.CheckState.Checked

    with hand.qtbot.waitSignal(session.builder.exported, timeout=60_000):
        session.builder.export(tmp_path / "out", None)
    values = json.loads((tmp_path / "out" / "result.json").read_text())
    assert [(zone["patch"], zone["laser"]["power_w"]) for zone in values["zones"]] == [(2, 180.0)]
    assert (tmp_path / "out" / "zones.stl").exists()

    session.state.undo()
    assert session.job.picks[number].zone.power_w is None and "out of date" in bench.tree.zone_row.text(0)
    red, green, blue = drawn.actor.GetProperty().GetColor()
    assert abs(red - blue) < 0.05 and abs(red - green) < 0.05  # grey while out of date
    session.state.undo()
    assert session.job.for_pick(session.job.picks[number]).zone.layers == 0 and "No zone" in panel.figures.text()
    assert session.state.undo_name == "Give a patch a zone of its own"
    session.state.undo()
    assert session.job.picks[number].zone is None


def test_zones_are_copied_given_to_all_and_set_for_all_that_have_none_of_their_own(hand: Any) -> None:
    bench = hand.bench
    panel, state, settings = bench.process_panel.zone, bench.state, bench.session.settings
    bench.session.builder.at_once = False
    bench.session.picker.pick_patches({1, 2})
    layers = lambda: [state.job.for_pick(pick).zone.layers for pick in state.job.picks]  # noqa: E731
    settings.look_at(0)
    panel.own.click()
    panel.fields["layers"].setValue(6)
    settings.copy()
    settings.look_at(1)
    assert not panel.own.isChecked()
    panel.fields["layers"].setValue(3)
    assert layers() == [6, 3] and state.job.zone.layers == 3
    assert [panel.which.itemText(k).endswith(f"{n} layers") for k, n in enumerate((6, 3))] == [True, True]
    settings.paste()
    assert layers() == [6, 6] and state.job.picks[1].zone is not None
    panel.fields["layers"].setValue(9)
    panel.for_all.click()
    assert layers() == [9, 9] and not any(pick.zone for pick in state.job.picks)
    state.undo()
    assert layers() == [6, 9]
    faces = bench.session.patches[0].faces
    bench.session.picker.paint(faces[:1], add=True)
    assert sorted(layers()) == [6, 9]  # painted faces join a pick with its zone

    panel.fields["power_w"].setValue(200.0)
    panel.fields["power_w"].setValue(state.job.laser.power_w)
    assert settings.job.zone.power_w is None  # a setting equal to the job's follows the job
    before = state.job
    panel.fields["hatch_mm"].setValue(9.0)
    assert state.job is before
    panel.fields["layers"].setValue(4)
    assert panel.fields["hatch_mm"].value() == pytest.approx(state.job.laser.hatch_mm)
