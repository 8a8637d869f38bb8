"""Several parts in the window, from adding one to undoing it all."""

from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import Qt

from app.parts_link import take_dropped

VALVE = Path(__file__).resolve().parents[2] / "sample_parts" / "valve-body.stl"


def test_parts_are_added_moved_into_each_other_freed_doubled_and_removed_step_by_step(
    hand: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    bench = hand.bench
    session, state, parts = bench.session, bench.state, bench.parts
    session.builder.at_once = False
    panel = bench.docks["parts"].widget().widget()
    thing = bench.view.scene.too_near

    def placed(count: int) -> None:
        hand.wait(lambda: parts.count == count and parts.is_placed and not bench.background.busy("parts"))

    def click(name: str) -> None:
        hand.qtbot.mouseClick(panel.buttons[name], Qt.MouseButton.LeftButton)

    session.picker.pick_patches({2})
    first = session.part
    monkeypatch.setattr("app.messages.ask_more_parts", lambda parent, folder: [VALVE])
    bench.commands["add_part"].trigger()
    placed(2)
    assert bench.docks["parts"].isVisible() and state.undo_name == "Add valve-body"
    assert (session.part.corners_mm[: first.n_faces] == first.corners_mm).all()
    assert panel.list.count() == 2 and panel.chosen == 1 and thing.empty and parts.apart.findings == ()
    assert panel.list.item(0).text() == "sensor-bracket at 0.0, 0.0 mm"

    for axis in (0, 1):  # into the middle of the bracket
        panel.at[axis].setValue(panel.at[axis].value() + 1)
        placed(2)
        panel.at[axis].setValue(0.0)
        placed(2)
    assert parts.centre_mm(1) == pytest.approx((0.0, 0.0), abs=1e-4)
    hand.wait(lambda: not thing.empty)
    assert "'sensor-bracket' and 'valve-body' touch or share volume" in panel.findings.text()
    assert thing.mesh.GetNumberOfCells() == session.part.n_faces
    red, green, blue = thing.actor.GetProperty().GetColor()
    assert red > 2 * green and red > 2 * blue

    click("free")
    placed(2)
    hand.wait(lambda: thing.empty)
    assert state.undo_name == "Find a free place for valve-body" and not panel.findings.isVisible()
    low, high = parts.centre_mm(0), parts.centre_mm(1)
    panel.turns[2].setValue(90.0)
    placed(2)
    assert parts.centre_mm(1) == pytest.approx(high, abs=1e-4) and parts.centre_mm(0) == low

    panel.list.setCurrentRow(0)
    click("double")
    placed(3)
    assert [pick.n_faces for pick in session.job.picks] == [session.job.picks[0].n_faces] * 2
    panel.list.setCurrentRow(0)
    click("remove")
    placed(2)
    assert Path(session.job.part_file).name == "valve-body.stl" and len(session.job.picks) == 1
    assert [parts.name(k) for k in range(2)] == ["valve-body", "sensor-bracket"]
    assert parts.centre_mm(0) == pytest.approx(high, abs=1e-4)
    while state.undo_name != "Add valve-body":
        state.undo()
    state.undo()
    placed(1)
    assert len(session.job.picks) == 1 and not session.part.bodies
    take_dropped(bench, [VALVE], add=True)
    placed(2)
    assert state.undo_name == "Add valve-body"
