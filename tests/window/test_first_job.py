"""The main job from opening a part to the exported files, with real mouse events."""

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QStyle, QStyleOptionSlider

from app.view.meshes import points_of
from app.workbench import Workbench
from core.job_file import open_job


def _handle(bench: Workbench) -> QPoint:
    """Middle of the slider's handle."""
    slider = bench.sink_panel.slider
    option = QStyleOptionSlider()
    slider.initStyleOption(option)
    return (
        slider.style()
        .subControlRect(QStyle.ComplexControl.CC_Slider, option, QStyle.SubControl.SC_SliderHandle, slider)
        .center()
    )


def test_an_engineer_opens_a_part_clicks_a_face_moves_the_gap_and_exports_the_sink(
    hand: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    bench, qtbot = hand.bench, hand.qtbot
    hand.click(hand.pixel_of_patch(2))
    assert [patch.id for patch in bench.session.picked] == [2]
    hand.wait_for_sinks()

    slider, start = bench.sink_panel.slider, _handle(bench)
    qtbot.mousePress(slider, Qt.MouseButton.LeftButton, pos=start)
    for step in range(1, 16):
        qtbot.mouseMove(slider, start + QPoint(2 * step, 0))
    assert slider.isSliderDown()
    gap_mm = slider.value() / 1000
    assert gap_mm > 0.35
    assert bench.state.job.gap.gap_mm == 0.3, "the job changes on release only"
    top = bench.view.scene.preview
    assert top.visible
    # The patch is a flat ceiling at z = 40 mm (sample_parts/known_answers.json), so its sink's top lies one gap lower.
    assert np.allclose(points_of(top.mesh)[:, 2], 40.0 - gap_mm, atol=1e-4)
    qtbot.mouseRelease(slider, Qt.MouseButton.LeftButton, pos=start + QPoint(30, 0))
    assert bench.state.job.gap.gap_mm == pytest.approx(gap_mm)
    assert not bench.session.result_is_current
    hand.wait_for_sinks()
    assert not top.visible

    out = tmp_path / "export"
    monkeypatch.setattr("app.messages.ask_export_folder", lambda parent, folder: out)
    with qtbot.waitSignal(bench.session.builder.exported, timeout=180_000):
        bench.commands["export"].trigger()

    result = json.loads((out / "result.json").read_text(encoding="utf-8"))
    assert sorted(path.name for path in out.iterdir()) == sorted(result["files"])
    sink = trimesh.load(out / "sink-01.stl")  # read back by another library
    assert sink.is_watertight and sink.volume == pytest.approx(result["sinks"][0]["volume_mm3"], rel=1e-6)
    assert sink.bounds[1][2] == pytest.approx(40.0 - gap_mm, abs=0.01)
    assert sink.bounds[0][2] == 0.0
    assert "data:image/png;base64," in (out / "report.html").read_text(encoding="utf-8")
    assert open_job(out / "job.underfin").gap.gap_mm == pytest.approx(gap_mm)


def test_the_sink_shown_is_the_sink_that_the_command_line_builds(hand: Any, tmp_path: Path) -> None:
    from app.cli import main

    hand.click(hand.pixel_of_patch(2))
    hand.wait_for_sinks()
    shown = hand.bench.view.scene.sinks[0].mesh
    assert main(["build", hand.bench.state.job.part_file, "--patch", "2", "--out", str(tmp_path / "cli")]) == 0
    written = trimesh.load(tmp_path / "cli" / "sink-01.stl")
    assert len(written.faces) == shown.GetNumberOfCells()
    assert np.allclose(written.bounds.T.ravel(), shown.GetBounds(), atol=1e-5)


def test_export_is_refused_with_the_reason_while_no_sink_is_built(hand: Any) -> None:
    bench = hand.bench
    assert not bench.commands["export"].isEnabled()
    assert not bench.check_panel.export_button.isEnabled()
    assert bench.check_panel.reason.text() == "Pick a face first; then its sink is built and can be exported."


def test_a_stop_finding_forbids_the_export_and_says_why(hand: Any) -> None:
    from dataclasses import replace

    bench = hand.bench
    small = replace(bench.state.job.plate, size_mm=(60.0, 60.0))  # the bracket is 70 mm long
    bench.state.set(replace(bench.state.job, plate=small), "Set plate width")
    hand.click(hand.pixel_of_patch(2))
    hand.wait_for_sinks()
    assert bench.session.result is not None and bench.session.result.stopped
    assert not bench.commands["export"].isEnabled()
    assert bench.check_panel.reason.text().startswith("Export is not allowed: ")
    first = bench.check_panel.list.item(0).data(Qt.ItemDataRole.UserRole)
    assert first.level == "stop" and first.remedy


def test_a_change_makes_the_sinks_out_of_date_and_builds_them_again(hand: Any) -> None:
    from dataclasses import replace

    bench = hand.bench
    hand.click(hand.pixel_of_patch(2))
    hand.wait_for_sinks()
    before = bench.session.result
    bench.state.set(replace(bench.state.job, sink=replace(bench.state.job.sink, kind="block")), "Set kind of sink")
    assert not bench.session.result_is_current and bench.old_sign.isVisible()
    assert "out of date" in bench.tree.sink_row.text(0)
    hand.wait_for_sinks()
    assert bench.session.result is not before and not bench.old_sign.isVisible()
    assert bench.session.result is not None and bench.session.result.sinks[0].kind == "block"
