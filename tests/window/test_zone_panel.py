"""The downskin zone in the window: set as any other value, shown with what it melts, undone, and exported."""

import json
from pathlib import Path
from typing import Any

import pytest


def test_a_zone_is_set_shown_undone_and_exported(hand: Any, tmp_path: Path) -> None:
    bench = hand.bench
    panel, session = bench.process_panel.zone, bench.session
    assert "No zone" in panel.figures.text() and not panel.fields["power_w"].isEnabled()
    hand.click(hand.pixel_of_patch(2))
    panel.fields["layers"].setValue(5)
    panel.fields["power_w"].setValue(180.0)
    assert session.job.zone.layers == 5 and session.job.zone.power_w == 180.0
    assert session.job.zone.speed_mm_s is None and panel.fields["speed_mm_s"].value() == session.job.laser.speed_mm_s
    # 180 W at 960 mm/s: 0.1875 J/mm, over a hatch of 0.11 mm 1.70 J/mm²
    assert "0.2 mm high; 0.188 J/mm, 1.70 J/mm²" in panel.figures.text()
    assert "whole tracks are laid on powder" in panel.figures.text()  # patch 2 is a flat ceiling
    hand.wait_for_sinks()
    assert [zone.name for zone in session.result.zones] == ["zone-01"]
    with hand.qtbot.waitSignal(session.builder.exported, timeout=60_000):
        session.builder.export(tmp_path / "out", None)
    values = json.loads((tmp_path / "out" / "result.json").read_text())
    assert values["zones"][0]["laser"]["power_w"] == 180.0 and (tmp_path / "out" / "zones.stl").exists()
    session.state.undo()
    assert session.job.zone.power_w is None and panel.fields["power_w"].value() == session.job.laser.power_w
    session.state.undo()
    assert session.job.zone.layers == 0 and "No zone" in panel.figures.text()


def test_a_setting_equal_to_the_jobs_follows_the_job_and_a_wrong_one_is_refused_at_its_field(hand: Any) -> None:
    bench = hand.bench
    panel, state = bench.process_panel.zone, bench.session.state
    panel.fields["layers"].setValue(3)
    panel.fields["power_w"].setValue(200.0)
    panel.fields["power_w"].setValue(state.job.laser.power_w)
    assert state.job.zone.power_w is None
    before = state.job
    panel.fields["hatch_mm"].setValue(9.0)
    assert state.job is before
    panel.fields["layers"].setValue(4)
    assert panel.fields["hatch_mm"].value() == pytest.approx(state.job.laser.hatch_mm)
