"""Following the build in the window: run, stop and go on, colours, layer strip, out of date, files."""

import csv
import json
from dataclasses import replace
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication, QImage

from app.heat_follower import effort
from app.settings import Settings
from app.view.colour_scales import round_range
from app.view.heat_curves import HeatCurves
from core.heat.heat_choice import HeatChoice

COARSE_MM = 4.0


@pytest.fixture
def coarse(hand: Any) -> Any:
    """The bracket with sinks under both patches, cells of 4 mm, ready to be followed."""
    hand.bench.session.picker.pick_all()
    hand.wait_for_sinks()
    hand.bench.show_page("heat")
    hand.bench.heat_panel.fields["cell_mm"].setValue(COARSE_MM)
    return hand


@pytest.fixture
def followed(coarse: Any) -> Any:
    coarse.qtbot.mouseClick(coarse.bench.heat_panel.run_button, Qt.MouseButton.LeftButton)
    coarse.wait(lambda: not coarse.bench.heat.running)
    assert coarse.bench.heat.is_current
    return coarse


def _heights(image: QImage, colour: Any) -> Any:
    """Rows of an image that hold a pixel of some colour, found by a rule on (red, green, blue)."""
    image = image.convertToFormat(QImage.Format.Format_RGB888)
    rows = np.frombuffer(image.constBits(), dtype=np.uint8).reshape(image.height(), image.bytesPerLine())
    red, green, blue = (rows[:, i : 3 * image.width() : 3].astype(int) for i in range(3))
    return np.flatnonzero(colour(red, green, blue).any(axis=1))


def test_the_table_shows_what_core_found_and_the_part_stays_cooler_over_its_sinks(followed: Any) -> None:
    bench, panel = followed.bench, followed.bench.heat_panel
    comparison = bench.heat.comparison
    assert comparison.cell_mm == COARSE_MM and len(comparison.patches) == 2
    for number, heat in enumerate(comparison.patches):
        panel.which.setCurrentIndex(number)
        shown = {key: label.text() for key, label in panel.table.values.items()}
        assert shown["between with"] == f"{heat.with_c.nominal:.0f}"
        assert float(shown["between with"]) < float(shown["between without"])  # metal below leads heat away
        low, high = (float(text) for text in shown["band with"].split(" – "))
        assert low < heat.with_c.nominal < high
        cooler_k = heat.without_c.nominal - heat.with_c.nominal
        assert shown["cooler"] == f"{cooler_k:.0f} ± {heat.cells.cooler_k:.0f} K"
        assert shown["cells with"] == f"± {heat.cells.with_k:.0f} K"
        assert panel.depths.values["full build"][0].text() == shown["between with"]
    assert panel.result.isVisible() and not panel.out_of_date.isVisible() and panel.table.isEnabled()
    assert "agree to 0.01 %" in panel.facts.text()
    panel.copy_button.click()
    lines = QGuiApplication.clipboard().text().splitlines()
    assert [line.split("\t")[0] for line in lines] == ["patch", *(str(heat.patch) for heat in comparison.patches)]


def test_the_colours_on_the_part_are_those_of_its_scale(followed: Any) -> None:
    """Cividis from dark blue to yellow: the ceiling over the sink is the brightest where sinks gain most."""
    bench = followed.bench
    assert bench.view.colour_choice.isVisible()
    assert [bench.view.colour_choice.itemData(i) for i in range(6)] == [
        "angle", "gap", "with", "without", "cooler", "peak"
    ]  # fmt: skip
    bench.view.set_sinks_visible(False)
    at = followed.pixel_of_patch_from(2, "bottom")
    for key, unit in (("with", "°C"), ("without", "°C"), ("cooler", "K"), ("peak", "°C")):
        bench.commands[f"colour_{key}"].trigger()
        assert bench.view.scale.title.endswith(f", {unit}") and bench.view.colour_choice.currentData() == key
        colouring = next(one for one in bench.heat_link.colourings if one.key == key)
        values = colouring.values(bench.heat.comparison)
        low, high = bench.view.scale.ends
        assert low <= values.min() and values.max() <= high
        drawn = [thing.mesh.GetCellData().GetScalars().GetRange() for thing in (bench.view.scene.part,
                                                                                 bench.view.scene.low)]  # fmt: skip
        assert max(top for _, top in drawn) == pytest.approx(values.max(), rel=1e-6)
        assert min(bottom for bottom, _ in drawn) == pytest.approx(values.min(), rel=1e-6)
    bench.colours.choose("cooler")
    bright = bench.view.picture().toImage().pixelColor(at)
    assert bright.red() > 1.15 * bright.blue()  # towards yellow
    bench.colours.choose("with")
    with_ends = bench.view.scale.ends
    bench.colours.choose("without")
    assert bench.view.scale.ends == with_ends, "both are to be compared by eye"
    bench.colours.choose("angle")
    assert not bench.view.scene.part.coloured and bench.view.scale.title == "Downskin angle"


def test_the_read_out_tells_both_temperatures_of_the_face_under_the_mouse(followed: Any) -> None:
    bench = followed.bench
    face = int(bench.session.patches[0].faces[0])
    bench.view.face_hovered.emit(face)
    comparison = bench.heat.comparison
    with_c, without_c = comparison.with_sinks.face_between_c[face], comparison.without.face_between_c[face]
    words = f"with sinks {with_c:.0f} °C, without {without_c:.0f} °C"
    assert words in bench.read_out.text() and "height" in bench.read_out.text()


def test_the_strip_shows_both_curves_and_the_values_of_the_layer_under_the_hand(followed: Any) -> None:
    bench, strip = followed.bench, followed.bench.strip
    narrow = strip.sizeHint().width() - 104
    assert strip.width() >= narrow + 100 and strip.curves is not None
    run = bench.heat.comparison.with_sinks
    axis = strip._axis()
    followed.qtbot.mousePress(strip, Qt.MouseButton.LeftButton, pos=axis.center().toPoint())
    followed.qtbot.mouseRelease(strip, Qt.MouseButton.LeftButton, pos=axis.center().toPoint())
    layer = int(strip._cut_mm // COARSE_MM)  # cells stand on the plate, one above the other
    assert bench.view.cut.at_mm == strip._cut_mm
    assert f"with {run.layer_mean_c[layer]:.0f} °C" in strip.curves.words(strip._cut_mm)
    assert f"without {bench.heat.comparison.without.layer_mean_c[layer]:.0f} °C" in strip.curves.words(strip._cut_mm)
    strip.set_cut(None)
    place = strip._curves_place(axis).toRect()
    teal = _heights(strip.grab(place).toImage(), lambda r, g, b: (g > r + 60) & (b > r + 50))
    metal = run.z_mm[np.isfinite(run.layer_mean_c)]
    first, last = (round(strip._y(float(z_mm)) - place.top()) for z_mm in (metal[-1], metal[0]))
    assert teal.min() == pytest.approx(first, abs=3) and teal.max() == pytest.approx(last, abs=3)


def test_a_layer_without_metal_breaks_the_curve_and_gives_no_value() -> None:
    nan = float("nan")
    curves = HeatCurves(
        z_mm=np.array([1.0, 3.0, 5.0]), with_c=np.array([90.0, nan, 120.0]), without_c=np.array([95.0, nan, 140.0])
    )
    assert curves.at(5.9) == (120.0, 140.0) and curves.words(3.2) == "no metal here"
    assert "with 90 °C" in curves.words(0.0)


def test_temperatures_that_no_longer_fit_the_job_are_grey_and_come_back_with_undo(followed: Any) -> None:
    bench, panel = followed.bench, followed.bench.heat_panel
    bench.session.builder.at_once = False
    bench.colours.choose("with")
    bench.sink_panel.spin.setValue(420)
    assert not bench.heat.is_current and panel.out_of_date.isVisible()
    assert not panel.table.isEnabled() and not panel.export_button.isEnabled()
    assert bench.strip.curves.stale and "out of date" in bench.strip.curves.words(10.0)
    assert bench.view.scale.title == "Downskin angle" and not bench.view.scene.part.coloured
    assert not bench.commands["colour_with"].isEnabled() and not bench.commands["export_heat"].isEnabled()
    bench.view.face_hovered.emit(int(bench.session.patches[0].faces[0]))
    assert "°C" not in bench.read_out.text()
    bench.commands["undo"].trigger()
    assert bench.heat.is_current and not panel.out_of_date.isVisible() and panel.table.isEnabled()
    assert bench.view.scale.title.startswith("Between layers, with sinks")
    panel.fields["recoat_s"].setValue(12.0)
    assert panel.out_of_date.isVisible() and not bench.heat.is_current


def test_a_stopped_run_goes_on_from_where_it_was(coarse: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """Stopped in the second build: the first is whole on disk, so no layer of it is built again."""
    from core.heat.build_3d import Build

    bench, panel, layers = coarse.bench, coarse.bench.heat_panel, []
    add_layer = Build.add_layer
    many = 200_000

    def counted(build: Build) -> None:
        layers.append(build.grid.n_cells)
        if len(layers) == stop_at:
            bench.background.stop("heat")
        add_layer(build)

    monkeypatch.setattr(Build, "add_layer", counted)
    stop_at = many
    coarse.qtbot.mouseClick(panel.run_button, Qt.MouseButton.LeftButton)
    coarse.wait(lambda: not bench.heat.running)
    whole, told = len(layers), bench.heat.comparison.patches[0].with_c.nominal
    n_layers = len(bench.heat.comparison.with_sinks.z_mm)
    panel.fields["recoat_s"].setValue(11.0)
    layers.clear()
    stop_at = whole - n_layers // 2
    coarse.qtbot.mouseClick(panel.run_button, Qt.MouseButton.LeftButton)
    coarse.wait(lambda: bench.heat.halfway)
    assert not bench.heat.is_current and not bench.heat.running
    assert panel.run_button.text() == "Go on following" and "kept" in panel.state_words.text()
    kept = list(Path(bench.heat._half_done).glob("*.half"))
    assert kept and bench.heat._half_done.stat().st_mode & 0o077 == 0, "nobody else may read it"
    layers.clear()
    stop_at = many
    coarse.qtbot.mouseClick(panel.run_button, Qt.MouseButton.LeftButton)
    coarse.wait(lambda: not bench.heat.running)
    assert bench.heat.is_current and len(layers) <= whole - n_layers
    assert bench.heat.comparison.patches[0].with_c.nominal < told  # a longer wait between layers
    folder = bench.heat._half_done
    bench.window.close()
    assert not folder.exists()


def test_the_job_can_be_edited_while_the_build_is_followed_and_that_stops_it(coarse: Any) -> None:
    bench = coarse.bench
    bench.session.builder.at_once = False
    bench.heat_panel.fields["cell_mm"].setValue(1.0)
    coarse.qtbot.mouseClick(bench.heat_panel.run_button, Qt.MouseButton.LeftButton)
    assert bench.heat.running and bench.heat_panel.stop_button.isEnabled()
    bench.sink_panel.spin.setValue(430)
    assert not bench.heat.running
    coarse.wait(lambda: not bench.background.busy() and not bench.progress.isVisible())
    assert bench.heat.comparison is None


def test_the_files_hold_the_temperatures_shown(
    followed: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    bench, folder = followed.bench, tmp_path / "heat"
    monkeypatch.setattr("app.messages.ask_export_folder", lambda *_: folder)
    with followed.qtbot.waitSignal(bench.heat.exported, timeout=60_000):
        bench.commands["export_heat"].trigger()
    run = bench.heat.comparison.without
    rows = list(csv.DictReader((folder / "heat-layers.csv").open(encoding="utf-8")))
    assert [float(row["z_mm"]) for row in rows] == pytest.approx(run.z_mm.tolist(), abs=1e-3)
    means = [float(row["without_mean_c"] or "nan") for row in rows]  # no metal of the part, no value
    assert means == pytest.approx(run.layer_mean_c.tolist(), abs=1e-3, nan_ok=True)
    told = json.loads((folder / "heat.json").read_text(encoding="utf-8"))
    assert told["patches"][0]["cooler_by_k"] == pytest.approx(bench.heat.comparison.patches[0].cooler_by_k, rel=1e-3)
    picture = QImage(str(folder / "heat.png"))
    assert not picture.isNull() and picture.width() > 400 and picture.height() > 400
    words = " ".join("".join(node.itertext()) for node in ElementTree.parse(folder / "heat.svg").iter())  # noqa: S314
    assert "with sinks" in words and "°C" in words and "calibrate with the coupon" in words
    assert "7 files" in bench.message_bar.text.text()


def test_there_is_nothing_to_follow_without_a_sink(hand: Any) -> None:
    bench = hand.bench
    assert not bench.heat_panel.run_button.isEnabled() and not bench.commands["follow_build"].isEnabled()
    assert bench.heat_panel.state_words.text() == "Pick a face first; the build is compared with its sink and without."
    bench.heat.run()
    assert bench.heat_panel.state_words.text() in bench.message_bar.text.text() and not bench.heat.running


def test_a_setting_out_of_range_is_refused_at_its_field_and_others_are_kept(bench: Any, settings: Settings) -> None:
    fields = bench.heat_panel.fields
    assert fields["cell_mm"].text() == "automatic" and bench.heat.choice == HeatChoice()
    fields["recoat_s"].setValue(-3.0)
    assert bench.heat.choice == HeatChoice()
    fields["recoat_s"].setValue(8.5)
    assert bench.heat.choice == HeatChoice(recoat_s=8.5) and settings.heat_choice() == HeatChoice(recoat_s=8.5)


def test_the_share_of_work_is_that_of_layers_that_take_longer_and_longer() -> None:
    """By hand: if layer n costs n, half the layers are a quarter of the work."""
    assert effort(0.05) == 0.05 and effort(1.0) == 1.0
    assert effort(0.325) == pytest.approx(0.1 + 0.45 * 0.25)  # half of the first build
    assert effort(0.775) == pytest.approx(0.55 + 0.45 * 0.25)
    assert np.all(np.diff([effort(share) for share in np.linspace(0, 1, 101)]) > 0)


def test_scales_end_at_round_numbers_that_hold_all_values() -> None:
    assert round_range(83.0, 846.0) == (0.0, 900.0)
    assert round_range(-12.0, 234.0) == (-50.0, 250.0)
    low, high = round_range(120.0, 120.0)
    assert low <= 120.0 < high


def test_looking_closer_for_powder_builds_again_with_the_thorough_check(
    hand: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    import core.run_job

    bench, asked, run_job = hand.bench, [], core.run_job.run_job

    def listened(*args: Any, **words: Any) -> Any:
        asked.append(words["thorough"])
        return run_job(*args, **{**words, "thorough": False})

    monkeypatch.setattr("core.run_job.run_job", listened)
    hand.click(hand.pixel_of_patch(2))
    hand.wait_for_sinks()
    bench.show_page("check")
    bench.check_panel.closer.click()
    assert not bench.session.result_is_current
    hand.wait_for_sinks()
    bench.check_panel.closer.click()
    assert bench.session.result_is_current, "what was looked at closely need not be looked at again"
    assert asked == [False, True]


def test_blade_and_border_of_the_plate_are_set_on_the_first_page(bench: Any) -> None:
    fields = bench.place_panel.plate_fields
    assert fields["blade_deg"].text() == "90.00°" and fields["border_mm"].text() == "2.00 mm"
    fields["blade_deg"].setValue(45.0)
    fields["border_mm"].setValue(6.0)
    assert bench.state.job.plate == replace(bench.state.job.plate, blade_deg=45.0, border_mm=6.0)
    assert bench.state.undo_name == "Set plate border"
    fields["blade_deg"].setValue(400.0)
    assert bench.state.job.plate.blade_deg == 45.0
