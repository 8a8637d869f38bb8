"""A click on a finding goes to its place and draws the way off that it tells of."""

from typing import Any

import numpy as np

from app.view.way_lines import way_lines


def _item(bench: Any, word: str) -> Any:
    rows = bench.check_panel.list
    return next(rows.item(i) for i in range(rows.count()) if word in rows.item(i).text())


def test_the_way_off_is_drawn_from_the_sinks_middle_and_goes_with_the_sinks(hand: Any) -> None:
    bench = hand.bench
    hand.click(hand.pixel_of_patch(2))
    hand.wait_for_sinks()
    bench.check_panel.list.itemClicked.emit(_item(bench, "comes off straight down"))
    sink = bench.session.result.sinks[0]
    low, high = bench.view.scene.way.ends_mm
    middle = (sink.vertices_mm.min(axis=0) + sink.vertices_mm.max(axis=0)) / 2
    assert np.allclose((low + high)[:2] / 2, middle[:2], atol=1e-3) and abs(high[2] - middle[2]) < 1e-3
    assert low[2] < -10, "the way ends below the plate"
    bench.check_panel.list.itemClicked.emit(_item(bench, "keeps"))
    assert bench.view.scene.way.empty
    bench.check_panel.list.itemClicked.emit(_item(bench, "comes off straight down"))
    bench.session.picker.clear()
    assert bench.view.scene.way.empty


def test_a_long_way_is_drawn_up_to_a_length_with_a_head_at_its_end() -> None:
    way = np.array([[0.0, 0, 0], [0, 0, -10], [100, 0, -10]])
    box = np.array(way_lines(way, 30.0).GetBounds())
    assert np.allclose(box[[0, 1, 4, 5]], [0, 20, -10.81, 0], atol=1e-4)  # barbs: 0.45 of a head of 0.06 * 30 mm
    assert np.allclose(np.array(way_lines(way, 1000.0).GetBounds())[1], 100)
