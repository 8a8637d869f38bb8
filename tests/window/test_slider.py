"""What follows the gap slider while it moves: the estimate, and the sinks' tops in the view."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from PySide6.QtGui import QImage

from core.run_job import estimate_of


def test_the_estimate_follows_the_slider_and_agrees_with_the_command_line(hand: Any) -> None:
    bench = hand.bench
    bench.session.builder.at_once = False
    hand.click(hand.pixel_of_patch(2))
    bench.sink_panel.slider.setSliderDown(True)
    bench.sink_panel.slider.setValue(500)
    shown = bench.sink_panel.table._values[0][0].text()
    job = replace(bench.state.job, gap=replace(bench.state.job.gap, gap_mm=0.5))
    assert shown == f"{estimate_of(job, bench.session.picked[0]).rise_with_k.nominal:.0f} K"
    bench.sink_panel.slider.setSliderDown(False)


def _teal_pixels(view: Any) -> int:
    """Pixels in the colour of the sinks: blue and green well above red."""
    view.settle()
    image = view.grabFramebuffer().convertToFormat(QImage.Format.Format_RGB888)
    rows = np.frombuffer(image.constBits(), dtype=np.uint8).reshape(image.height(), image.bytesPerLine())
    red, green, blue = (rows[:, : 3 * image.width()].reshape(-1, 3)[:, i].astype(int) for i in range(3))
    return int(((green > red + 30) & (blue > red + 30)).sum())


@pytest.mark.parametrize(("look", "covered"), [("below", False), ("bottom", False), ("top", True)])
def test_the_quick_picture_while_the_slider_moves_hides_and_shows_what_the_full_one_does(
    hand: Any, look: str, covered: bool
) -> None:
    """Depths count in both: what the shelf covers of the sink's top is covered, what it doesn't is seen."""
    bench = hand.bench
    bench.session.builder.at_once = False
    hand.click(hand.pixel_of_patch(2))
    view, slider = bench.view, bench.sink_panel.slider
    view.look(look)
    slider.setSliderDown(True)
    slider.setValue(900)
    for gap_um in (1200, 1400):  # the first keeps the picture of the rest, the second draws over it
        slider.setValue(gap_um)
        assert view._front_only
        quick = _teal_pixels(view)
        hand.wait(lambda: not view._front_only)
        full = _teal_pixels(view)
        assert quick == pytest.approx(full, rel=0.06, abs=30)  # the full picture has smoothed edges
    assert (full < 30) == covered
    slider.setSliderDown(False)


def test_a_rough_top_stays_on_a_plane_and_keeps_its_outline_within_a_box() -> None:
    """A net of 200 by 200 squares on a slope of 1 in 4: means of points on a plane lie on it."""
    from app.view.rough_top import CELLS, RoughTop

    x, y = (values.ravel() for values in np.meshgrid(np.linspace(0, 50, 201), np.linspace(0, 30, 201)))
    corner = (np.arange(200)[:, None] * 201 + np.arange(200)).ravel()
    lower = np.column_stack([corner, corner + 1, corner + 202])
    triangles = np.concatenate([lower, np.column_stack([corner, corner + 202, corner + 201])])
    points = np.column_stack([x, y, 10 + x / 4])
    rough = RoughTop(points, triangles)
    assert len(rough.triangles) < len(triangles) / 4
    for shift in (0.0, -0.7):
        moved = rough.points_mm(points + [0, 0, shift])
        assert np.allclose(moved[:, 2], 10 + moved[:, 0] / 4 + shift)
        assert np.abs(moved.min(axis=0)[:2]).max() < 50 / CELLS
        assert np.abs(moved.max(axis=0)[:2] - [50, 30]).max() < 50 / CELLS
    a, b, c = (moved[rough.triangles[:, i], :2] for i in range(3))
    area = (np.cross(np.column_stack([b - a, np.zeros(len(a))]), np.column_stack([c - a, np.zeros(len(a))]))[:, 2]) / 2
    assert (area > 0).all() and area.sum() == pytest.approx(50 * 30, rel=0.05)  # still facing up, no hole, no overlap
