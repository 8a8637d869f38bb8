"""The orientation study in the window: faces marked by a click, a study, its plot and table, one taken and undone."""

from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt

from app.panels.orient_panel import OrientPanel


def test_a_study_from_a_marked_face_to_the_orientation_taken(
    hand: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    bench, session = hand.bench, hand.bench.session
    session.builder.at_once = False
    hand.click(hand.pixel_of_patch(2))
    bench.commands["orient"].trigger()
    panel = bench.docks["orient"].findChild(OrientPanel)
    follower = panel._follower
    assert not panel.results.isVisible() and not bench.commands["never_clear"].isEnabled()

    bench.view.look("iso")
    with hand.qtbot.waitSignal(bench.view.drawn, timeout=60_000):
        bench.view.changed()
    bench.commands["never_downskin"].trigger()
    middle = QPoint(bench.view.width() // 2, bench.view.height() // 2)
    hit, owner = bench.view.face_at(QPointF(middle))
    assert hit is not None and owner < 0
    hand.click(middle)
    marked = set(follower.never_faces.tolist())
    assert hit.face in marked and f"{len(marked)} faces" in panel.never_words.text()
    hand.click(middle)
    assert not session.job.never_downskin, "a second click lets the side go"
    hand.click(middle)
    hand.qtbot.keyClick(bench.view, Qt.Key.Key_Escape)
    assert not bench.commands["never_downskin"].isChecked()

    panel.directions.setValue(100)
    panel.run_button.click()
    assert panel.stop_button.isEnabled() and not panel.run_button.isEnabled()
    hand.wait(lambda: follower.is_current and not follower.running)
    study, results = follower.study, panel.results
    part = session.part
    for one in study.front:
        assert one.never_down
    assert results.table.topLevelItemCount() == len(study.front) == len(follower.pictures)

    results.table.sortByColumn(3, Qt.SortOrder.AscendingOrder)
    heights = [float(results.table.topLevelItem(k).text(3)) for k in range(len(study.front))]
    assert heights == sorted(heights)
    number = max(range(len(study.front)), key=lambda k: study.front[k].height_mm)
    results.up.setCurrentIndex(2)
    results.up.activated.emit(2)
    places = results.plot.places_px(results.plot._front)
    hand.qtbot.mouseClick(results.plot, Qt.MouseButton.LeftButton, pos=QPoint(*places[number].round().astype(int)))
    chosen = study.front[results.current]
    assert chosen.height_mm == pytest.approx(study.front[number].height_mm, abs=0.5)

    job = session.job
    with hand.qtbot.waitSignal(session.part_changed, timeout=60_000):
        results.take_button.click()
    assert session.job.pose == chosen.pose and session.job.picks == ()
    assert session.job.never_downskin == job.never_downskin
    assert sum(patch.area_mm2 for patch in session.patches) == pytest.approx(chosen.low_angle_mm2, abs=1e-6)
    assert session.part.size_mm[2] == pytest.approx(chosen.height_mm) and session.part is not part
    assert follower.is_current, "how the part stands doesn't make the study old"
    bench.commands["undo"].trigger()
    assert session.job == job, "one step back brings pose and picks"

    monkeypatch.setattr("app.messages.ask_export_folder", lambda *_: tmp_path / "out")
    with hand.qtbot.waitSignal(follower.exported, timeout=60_000):
        results.export_button.click()
    assert (tmp_path / "out" / "orientation-01.png").exists()

    bench.commands["never_clear"].trigger()
    assert not follower.is_current and not results.page.isEnabled()
    assert "No face" in panel.never_words.text()
