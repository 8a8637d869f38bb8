"""Measuring in the view: distances known from the drawing of the bracket, gaps known from what was asked for."""

from typing import Any

import numpy as np
import pytest
from PySide6.QtCore import QPoint


@pytest.fixture
def measuring(hand: Any) -> Any:
    hand.bench.session.builder.at_once = False
    hand.bench.view.look("front")
    hand.bench.view.settle()
    hand.bench.commands["measure"].trigger()
    return hand


def _pixel(hand: Any, at_mm: tuple[float, float, float]) -> QPoint:
    x, y = hand.bench.view.moves.project(np.array(at_mm))[0]
    return QPoint(round(x), round(y))


def _seen_corner(hand: Any, near_mm: Any) -> np.ndarray:
    """The corner of the part nearest to a place that lies on the side towards the eye."""
    points = hand.bench.session.part.vertices_mm
    return points[np.linalg.norm(points - near_mm, axis=1).argmin()]


def test_two_corners_of_the_bracket_lie_apart_as_on_the_drawing(measuring: Any) -> None:
    """The foot of the bracket is 70 mm long in x: from one lower front corner to the other."""
    bench, view = measuring.bench, measuring.bench.view
    part = bench.session.part
    low = [_seen_corner(measuring, (x, part.low_mm[1], part.low_mm[2])) for x in (part.low_mm[0], part.high_mm[0])]
    for corner, inwards in zip(low, (2, -2), strict=True):
        at = _pixel(measuring, tuple(corner))
        measuring.click(QPoint(at.x() + inwards, at.y() - 2))
    points = np.array(bench.view_tools.measure.points)
    assert len(points) == 2 and np.linalg.norm(part.vertices_mm[:, None] - points, axis=2).min(axis=0).max() < 1e-9
    dx, dy, dz = points[1] - points[0]
    lines = bench.view_tools.measure.lines()
    assert lines[0] == f"Distance {np.sqrt(dx**2 + dy**2 + dz**2):.3f} mm"
    assert lines[1] == f"dx {dx:.3f}  dy {dy + 0.0:.3f}  dz {dz + 0.0:.3f}"
    assert lines[0] in bench.read_out.text() and dx > 20
    measuring.click(_pixel(measuring, tuple(low[0] + [2.0, 0.0, 2.0])))
    assert len(bench.view_tools.measure.points) == 1  # the third click starts over
    view.take(None)
    assert bench.view_tools.measure.points == [] and bench.read_out.text() == ""


def test_a_click_beside_the_part_measures_nothing_and_says_so(measuring: Any) -> None:
    measuring.click(QPoint(3, 300))
    assert measuring.bench.view_tools.measure.points == []
    assert "Nothing lies there" in measuring.bench.read_out.text()


def test_the_gap_at_a_point_of_the_ceiling_is_the_gap_asked_for(hand: Any) -> None:
    """Over a flat ceiling the sink's top is flat too, 0.3 mm below; the other way round it is the same."""
    bench = hand.bench
    hand.click(hand.pixel_of_patch(2))
    hand.wait_for_sinks()
    bench.commands["see_through"].trigger()
    bench.commands["measure"].trigger()
    hand.click(hand.pixel_of_patch_from(2, "bottom"))
    measure = bench.view_tools.measure
    hand.wait(lambda: measure.gap is not None)
    assert measure.points[0][2] == pytest.approx(40.0, abs=1e-4)
    assert measure.gap.mm == pytest.approx(0.3, rel=0.0165)  # the accuracy the sink's top is built to
    assert measure.gap.body == "sink-01" and "gap here 0.3" in bench.read_out.text()
    sink = bench.session.result.sinks[0]
    top = sink.vertices_mm[sink.vertices_mm[:, 2] > 39.0]
    middle = tuple(top.mean(axis=0))
    got: list[Any] = []
    bench.view_tools.gaps.ask((middle[0], middle[1], float(top[:, 2].max())), 0, got.append)
    hand.wait(lambda: bool(got))
    assert got[0].body == "the part" and got[0].mm == pytest.approx(0.3, rel=0.0165)
    assert got[0].to_mm == pytest.approx((middle[0], middle[1], 40.0), abs=1e-3)


def test_without_sinks_there_is_no_gap_to_tell(measuring: Any) -> None:
    view = measuring.bench.view
    at = next(
        QPoint(x, y)
        for y in range(view.height() // 2, 40, -5)
        for x in range(20, view.width() - 20, 5)
        if view.face_at(QPoint(x, y).toPointF())[0] is not None
    )
    measuring.click(at)
    assert len(measuring.bench.view_tools.measure.points) == 1
    assert measuring.bench.view_tools.measure.gap is None and measuring.bench.view_tools.measure.lines() == []
