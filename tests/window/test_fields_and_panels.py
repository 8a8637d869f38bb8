"""Fields, units, refusals at the field, and what the panels show."""

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PySide6.QtCore import QLocale, Qt

from app.panels.fields import NumberField
from app.panels.gap_window_bar import GapWindowBar
from app.panels.sink_panel import SinkPanel
from app.settings import Settings
from app.view.meshes import points_of
from core.heat.estimate import Band


@pytest.fixture
def german() -> Any:
    before = QLocale()
    QLocale.setDefault(QLocale(QLocale.Language.German, QLocale.Country.Germany))
    yield
    QLocale.setDefault(before)


def test_a_point_is_a_decimal_point_under_a_german_locale(german: Any, bench: Any, qtbot: Any) -> None:
    """Qt's own spin box reads "0.5" as 5 there."""
    bench.sink_panel.unit.setCurrentText("mm")
    field = bench.sink_panel.spin
    field.clear()
    qtbot.keyClicks(field, "0.5")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert bench.state.job.gap.gap_mm == 0.5
    assert field.text() == "0.500 mm"


def test_every_number_field_of_the_window_reads_the_c_locale(german: Any, window: Any) -> None:
    fields = window.findChildren(NumberField)
    assert len(fields) > 25
    assert all(field.locale() == QLocale.c() for field in fields)
    assert all(float(field.textFromValue(1234.5)) == 1234.5 for field in fields if field.decimals() >= 1)


def test_every_field_of_a_length_or_angle_shows_its_unit(window: Any) -> None:
    without = {field.accessibleName() for field in window.findChildren(NumberField) if not field.suffix()}
    pure = {"Absorptivity", "Emissivity", "Layers", "Passes", "Passes in the zone", "Porosity"}
    assert without == pure | {"Of each kind", "Seed of the places", "Layer shown", "Directions"}


def test_the_gap_is_in_micrometres_and_can_be_had_in_millimetres_for_good(
    bench: Any, settings: Settings, qtbot: Any
) -> None:
    panel = bench.sink_panel
    assert panel.spin.text() == "300 µm"
    panel.spin.setValue(420)
    assert bench.state.job.gap.gap_mm == pytest.approx(0.42) and bench.state.undo_name == "Set gap to 420 µm"
    others = [field.suffix() for field in bench.window.findChildren(NumberField) if field is not panel.spin]
    assert others.count(" mm") > 10 and others.count(" µm") == 2  # the two grain sizes of the powder
    panel.unit.setCurrentText("mm")
    assert panel.spin.text() == "0.420 mm" and bench.state.job.gap.gap_mm == pytest.approx(0.42)
    assert "Default: 0.300 mm" in panel.spin.toolTip()
    later = SinkPanel(bench.session, settings.gap_unit())
    qtbot.addWidget(later)
    assert later.spin.text() == "0.420 mm"


def test_a_value_out_of_range_is_refused_at_its_field_and_the_job_stays(bench: Any) -> None:
    panel, before = bench.sink_panel, bench.state.job
    panel.spin.setValue(50)
    assert panel.note.text() == (
        "A gap of 0.05 mm is less than two layers of 0.04 mm and may fuse shut; set at least 0.08 mm."
    )
    assert not panel.note.isHidden() and bench.state.job is before
    panel.spin.setValue(310)
    assert panel.note.isHidden() and bench.state.job.gap.gap_mm == 0.31


def test_the_proposed_gap_and_the_verdict_are_those_of_the_command_line(hand: Any, capsys: Any, tmp_path: Path) -> None:
    from app.cli import main
    from core.job_file import save_job

    bench, panel = hand.bench, hand.bench.sink_panel
    bench.session.builder.at_once = False
    hand.click(hand.pixel_of_patch(2))
    save_job(bench.state.job, tmp_path / "job.underfin")
    assert main(["window", str(tmp_path / "job.underfin"), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)["windows"][0]
    assert panel.verdict.text().startswith(f"At this gap: {told['gap_is']}")
    hand.qtbot.mouseClick(panel.propose, Qt.MouseButton.LeftButton)
    assert bench.state.job.gap.gap_mm == pytest.approx(told["proposed_gap_mm"])
    assert not panel.propose.isEnabled()


def test_the_slider_starts_at_two_layers(bench: Any) -> None:
    assert bench.sink_panel.slider.minimum() == 80
    bench.state.set(replace(bench.state.job, laser=replace(bench.state.job.laser, layer_mm=0.06)), "Set layer")
    assert bench.sink_panel.slider.minimum() == 120


def test_only_the_dimensions_of_the_chosen_kind_are_shown(bench: Any) -> None:
    bench.show_page("sink")
    fields = bench.sink_panel.sink.fields
    for kind, shown in (
        ("fins", {"fin_thickness_mm", "fin_pitch_mm", "skin_mm", "roof_deg", "foot_mm", "neck_mm", "drain_mm"}),
        ("block", {"margin_mm"}),
        ("edge", {"margin_mm", "edge_width_mm", "foot_mm", "neck_mm"}),
    ):
        bench.state.set(replace(bench.state.job, sink=replace(bench.state.job.sink, kind=kind)), "Set kind of sink")
        seen = {key for key, field in fields.items() if field.isVisible()}
        assert shown <= seen and ("edge_width_mm" in seen) == (kind == "edge")


def test_another_alloy_brings_its_own_absorptivity(bench: Any) -> None:
    from core.heat.materials import alloy

    bench.process_panel.alloy.textActivated.emit("AlSi10Mg")
    assert bench.state.job.laser.absorptivity == alloy("AlSi10Mg").absorptivity.value
    assert bench.state.undo_name == "Set alloy to AlSi10Mg"


def test_the_gap_window_is_drawn_even_when_a_limit_is_infinite_or_out_of_reach(hand: Any, qtbot: Any) -> None:
    bench = hand.bench
    bench.session.builder.at_once = False
    hand.click(hand.pixel_of_patch(2))
    estimate = bench.session.window().estimate
    bar = GapWindowBar()
    qtbot.addWidget(bar)
    bar.resize(320, bar.sizeHint().height())
    pictures = set()
    for heat in (
        Band(low=np.inf, nominal=np.inf, high=np.inf),
        Band(low=0.0, nominal=0.0, high=0.0),
        Band(low=0.4, nominal=0.8, high=np.inf),
        Band(low=0.05, nominal=0.1, high=0.2),
    ):
        bar.show_estimate(replace(estimate, heat_limit_mm=heat), 0.3)
        pictures.add(bytes(bar.grab().toImage().constBits()))
    assert len(pictures) == 4


def test_no_text_of_the_inspector_is_cut_off_at_1280_by_720(hand: Any) -> None:
    bench = hand.bench
    for number in range(bench.pages.count()):
        bench.pages.setCurrentIndex(number)
        area = bench.pages.widget(number)
        assert area.widget().minimumSizeHint().width() <= area.viewport().width()
    tabs = bench.pages.tabBar()
    assert tabs.tabRect(tabs.count() - 1).right() <= tabs.width()


def test_colours_of_the_scales_are_those_that_matplotlib_has() -> None:
    """Cividis: Nuñez, Anderton, Renslow, PLoS ONE 13(7) e0199239 (2018); viridis: Smith, van der Walt (2015)."""
    from matplotlib import colormaps

    from app.view.colour_scales import ANGLES, GAPS, HEAT, rgb_along

    share = np.linspace(0.0, 1.0, 256)
    for ours, theirs in ((ANGLES, "cividis_r"), (HEAT, "cividis"), (GAPS, "viridis")):
        assert np.abs(rgb_along(ours, share) - colormaps[theirs](share)[:, :3]).max() < 0.025  # 6 of 255


def test_colours_reach_the_picture_of_the_part(hand: Any) -> None:
    """A flat ceiling is drawn yellow, a wall grey: blue is far below red only on the ceiling."""
    bench = hand.bench
    at = hand.pixel_of_patch_from(2, "bottom")
    image = bench.view.picture().toImage()
    colour = image.pixelColor(at)
    assert colour.blue() < 0.5 * colour.red() and abs(colour.red() - colour.green()) < 0.25 * colour.red()
    bench.commands["show_angles"].trigger()
    grey = bench.view.picture().toImage().pixelColor(at)
    assert grey.blue() > 0.7 * grey.red()


def test_the_layer_strip_cuts_the_part_and_clicks_go_below_the_cut(hand: Any) -> None:
    bench, strip = hand.bench, hand.bench.strip
    axis = strip._axis()
    middle = axis.center().toPoint()
    hand.qtbot.mousePress(strip, Qt.MouseButton.LeftButton, pos=middle)
    hand.qtbot.mouseRelease(strip, Qt.MouseButton.LeftButton, pos=middle)
    height = strip._cut_mm
    assert height == pytest.approx(35.0, abs=0.5)  # the bracket is 70 mm high
    bench.view.look("top")
    with hand.qtbot.waitSignal(bench.view.drawn):
        bench.view.changed()
    seen = [
        bench.view.face_at(hand.point(x, y))[0]
        for x in np.linspace(0.3, 0.7, 12) * bench.view.width()
        for y in np.linspace(0.3, 0.7, 12) * bench.view.height()
    ]
    heights = [hit.at_mm[2] for hit in seen if hit is not None]
    assert len(heights) > 20 and max(heights) <= height + 1e-6
    hand.wait(lambda: bench.view.scene.section.mesh.GetNumberOfLines() > 0)
    outline = points_of(bench.view.scene.section.mesh)
    assert np.allclose(outline[:, 2], height, atol=1e-4)
    strip.set_cut(None)
    assert bench.view.scene.section.mesh.GetNumberOfLines() == 0


def test_a_finding_leads_to_its_place(hand: Any) -> None:
    bench = hand.bench
    hand.click(hand.pixel_of_patch(2))
    hand.wait_for_sinks()
    rows = [bench.check_panel.list.item(i) for i in range(bench.check_panel.list.count())]
    levels = [row.data(Qt.ItemDataRole.UserRole).level for row in rows]
    assert levels == sorted(levels, key=("stop", "note", "ok").index)
    row = next(row for row in rows if row.data(Qt.ItemDataRole.UserRole).at_mm is not None)
    bench.show_page("check")
    bench.check_panel.list.itemClicked.emit(row)
    x, y = bench.view.moves.project(np.array(row.data(Qt.ItemDataRole.UserRole).at_mm))[0]
    assert (x, y) == pytest.approx((bench.view.width() / 2, bench.view.height() / 2), abs=1.0)


def test_the_limits_of_the_method_can_be_read_in_the_window(bench: Any) -> None:
    bench.commands["limits"].trigger()
    text = bench.limits.toPlainText()
    for words in (
        "does not change the melt pool",
        "no hold-down",
        "Below about 20°",
        "coupon",
        "suffocates",
        "explodes",
    ):
        assert words in text
    assert bench.docks["limits"].isVisible()


def test_a_command_is_found_by_part_of_its_name(hand: Any) -> None:
    from app.command_palette import CommandPalette

    bench = hand.bench
    palette = CommandPalette(list(bench.commands.actions.values()), bench.window)
    hand.qtbot.addWidget(palette)
    palette.open()
    palette._line.setText("pick all")
    assert palette._list.count() == 1
    hand.qtbot.keyClick(palette._line, Qt.Key.Key_Return)
    assert len(bench.state.job.picks) == 2
