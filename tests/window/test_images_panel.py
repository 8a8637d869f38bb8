"""Layer images in the window: a planted hot spot is found, listed and shown; what doesn't fit is said or greyed."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh
from PySide6.QtCore import Qt
from scipy import ndimage

from app.appearance import level_colour
from app.panels.images_panel import ImagesPanel
from app.view.hot_layers import HOT
from tests.trial_images.invented import BRACKET, LAYER_MM, NOISE, Stack, camera, draw_stack, pairs_of, write_pairs

LAYER, SIDE = 33, 5
"""Counted from 0, and the edge of the planted spot in pixels."""


@pytest.fixture(scope="module")
def stack() -> Stack:
    mesh = trimesh.load(BRACKET)
    seen_by = camera(31.0, 0.5, mirrored=True, middle_mm=mesh.bounds.mean(axis=0)[:2], shape=(220, 210))
    return draw_stack(mesh, seen_by, 70)


@pytest.fixture
def panel(hand: Any, stack: Stack, tmp_path: Path) -> tuple[ImagesPanel, tuple[float, float]]:
    """The panel filled in for a stack with one hot spot, and where that is on the plate."""
    values = stack.images.copy()
    deep = np.argwhere(ndimage.binary_erosion(stack.solid[LAYER], iterations=5))
    row, column = deep[len(deep) // 2]
    values[LAYER, row - 2 : row + 3, column - 2 : column + 3] += 8 * NOISE
    np.save(tmp_path / "stack.npy", values)
    hand.bench.commands["after"].trigger()
    panel = hand.bench.docks["after"].findChild(ImagesPanel)
    panel.images.show_path(tmp_path / "stack.npy")
    panel.points.show_path(write_pairs(tmp_path / "points.csv", pairs_of(stack.seen_by, hand.bench.session.part)))
    panel.fields["layer_mm"].setValue(LAYER_MM)
    x, y = (grid[row, column] for grid in stack.seen_by.plate())
    return panel, (float(x), float(y))


def test_a_planted_spot_is_listed_and_a_click_shows_it(hand: Any, panel: Any, tmp_path: Path) -> None:
    panel, (x, y) = panel
    bench, results = hand.bench, panel.results
    hand.click(hand.pixel_of_patch(2))
    hand.wait_for_sinks()
    panel.run_button.click()
    hand.wait(lambda: bench.images.result is not None and results.picture.image is not None)
    (item,) = (results.spots.topLevelItem(i) for i in range(results.spots.topLevelItemCount()))
    assert item.text(0) == str(LAYER + 1) and float(item.text(1)) == LAYER_MM * (LAYER + 1)
    assert float(item.text(2)) == pytest.approx(SIDE**2 * 0.5**2, rel=0.3)
    assert "turned −31.00°, mirrored" in results.place.text() and "RMS 0.000 px = 0.0000 mm" in results.place.text()
    assert "Patches with a sink" in results.difference.text() and "95 %" in results.difference.text()
    rows = {item.text(0): item.text(1) for item in map(results.patches.topLevelItem, range(2))}
    assert rows == {"1": "no", "2": "yes"}

    # a click flies there, marks the layer and cuts nothing
    cuts: list[object] = []
    bench.strip.height_chosen.connect(cuts.append)
    results.spots.itemClicked.emit(item, 0)
    middle = np.array([bench.view.width(), bench.view.height()]) / 2
    seen = bench.view.moves.project(np.array([[x, y, LAYER_MM * (LAYER + 1)]]))[0]
    assert np.linalg.norm(seen - middle) < 0.05 * bench.view.height() and cuts == []
    assert bench.strip.hot.chosen_mm == LAYER_MM * (LAYER + 1) and bench.strip.hot.heights_mm.tolist() == [34.0]
    shot = bench.strip.grab().toImage()
    at = bench.strip._y(34.0)
    ratio = shot.devicePixelRatio()
    assert shot.pixelColor(round(5 * ratio), round(at * ratio)).name() == HOT

    # the colouring has the scores of the comparison on its fixed scale
    bench.commands["colour_images"].trigger()
    scale = bench.view.scale
    assert scale.ends == (-3.0, 6.0) and scale.grey == "not told by the images"
    face = int(np.flatnonzero(np.isfinite(bench.images.result.face_scores))[0])
    bench.view.face_hovered.emit(face)
    assert f"layer images {bench.images.result.face_scores[face]:+.1f} σ".replace("-", "−") in bench.read_out.text()

    # an edit that changes what was compared greys it; undo brings it back
    bench.session.builder.at_once = False
    bench.sink_panel.spin.setValue(420)
    assert not results.page.isEnabled() and "Out of date" in results.out_of_date.text()
    assert bench.strip.hot.stale and bench.strip.hot.chosen_mm is None and scale.grey == "out of date"
    bench.images.export(tmp_path / "out")
    assert not (tmp_path / "out").exists()
    bench.commands["undo"].trigger()
    assert results.page.isEnabled() and not bench.strip.hot.stale and scale.grey == "not told by the images"
    with hand.qtbot.waitSignal(bench.images.exported, timeout=60_000):
        bench.images.export(tmp_path / "out")
    assert (tmp_path / "out" / "hot-spots.csv").read_text().count("\n") == 2


def test_bad_rows_are_said_with_file_and_row_and_values_at_their_field(hand: Any, panel: Any) -> None:
    panel, _ = panel
    points = panel.points.path
    rows = points.read_text().splitlines()
    points.write_text("\n".join([*rows[:3], "1,2,three,4", *rows[4:]]))
    panel.run_button.click()
    hand.wait(lambda: bool(panel.wrong.text()))
    assert panel.wrong.text() == "'points.csv' row 4 has 'three' as x_mm, where a number is needed; correct it."
    assert hand.bench.message_bar.text.text() == panel.wrong.text()
    assert level_colour("stop", panel.palette()).name() in panel.wrong.styleSheet()
    panel.fields["z_limit"].setValue(1.0)
    assert "set 2 to 50" in panel._notes["z_limit"].text()
    panel.images.line.clear()
    panel.run_button.click()
    assert panel._notes["images"].text() == "Give the folder or the file of layer images."
    assert panel.results.isHidden() and panel.images.line.focusPolicy() & Qt.FocusPolicy.TabFocus
