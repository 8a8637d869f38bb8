"""Faces of several patches picked together: side by side they share a sink, above each other they don't."""

import numpy as np
import pytest

from core.sink.build_sink import build_sink
from core.sink.sink_choice import SinkChoice
from tests.sink.simple_parts import box, low_faces, part_of
from tests.sink.test_build_sink import fcl_distance_mm

WALL = box(10, 30, 60)
GAP_MM = 0.3


def test_ceilings_side_by_side_at_two_heights_get_one_body() -> None:
    part = part_of(WALL + box(25, 30, 25, (0, 0, 35)) + box(40, 30, 15, (0, 0, 45)))
    (sink,) = build_sink(part, low_faces(part), SinkChoice(kind="block"), GAP_MM, name="s")
    assert sink.name == "s" and sink.pieces == 1
    assert fcl_distance_mm(part, sink) >= GAP_MM
    assert sink.vertices_mm[:, 2].max() == pytest.approx(45 - GAP_MM, abs=0.01)
    # 15 mm wide under the low ceiling at z 35, 15 mm under the high one at z 45, less the gap beside both walls
    assert sink.volume_mm3 == pytest.approx(30 * (14.7 * 34.7 + 15 * 44.7 - 0.3 * 10), rel=0.005)


def test_ceilings_apart_get_a_body_each_with_numbered_names() -> None:
    part = part_of(box(10, 30, 40) + box(40, 10, 5, (0, 0, 35)) + box(40, 10, 5, (0, 20, 35)))
    sinks = build_sink(part, low_faces(part), SinkChoice(kind="block"), GAP_MM, name="s")
    assert [sink.name for sink in sinks] == ["s-1", "s-2"]
    spans = sorted((sink.vertices_mm[:, 1].min(), sink.vertices_mm[:, 1].max()) for sink in sinks)
    assert np.array(spans) == pytest.approx(np.array([[0.0, 10.0], [20.0, 30.0]]), abs=0.01)
    assert all(fcl_distance_mm(part, sink) >= GAP_MM for sink in sinks)


def test_a_ceiling_half_above_another_gets_a_body_of_its_own_where_it_is_free() -> None:
    part = part_of(WALL + box(40, 30, 5, (0, 0, 25)) + box(60, 30, 5, (0, 0, 50)))
    low, high = build_sink(part, low_faces(part), SinkChoice(kind="block"), GAP_MM, name="s")
    assert (low.name, high.name) == ("s-1", "s-2")
    assert low.vertices_mm[:, 2].max() == pytest.approx(25 - GAP_MM, abs=0.01)
    assert high.vertices_mm[:, 2].max() == pytest.approx(50 - GAP_MM, abs=0.01)
    assert 40 + GAP_MM <= high.vertices_mm[:, 0].min() <= 40.5  # the lower shelf ends at x = 40
    assert any("blocks the way down elsewhere" in text for text in low.warnings)
    assert low.patch_area_mm2 == high.patch_area_mm2 == pytest.approx(30 * 30 + 50 * 30)


def test_a_ceiling_wholly_above_another_is_left_out_with_the_reason() -> None:
    room = box(60, 60, 60) - box(40, 40, 15, (10, 10, 30))
    part = part_of(room - box(40, 40, 20, (10, 10, -1)))
    (sink,) = build_sink(part, low_faces(part), SinkChoice(kind="block"), GAP_MM, name="s")
    assert sink.vertices_mm[:, 2].max() == pytest.approx(19 - GAP_MM, abs=0.01)
    assert any("left out" in text and "in the way down" in text for text in sink.warnings)
