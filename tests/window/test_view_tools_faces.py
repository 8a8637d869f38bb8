"""Brush and loop: what a stroke takes is what is seen under it, and it is one step of undo."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QApplication

from core.job import faces_of

SHROUD = Path(__file__).resolve().parents[2] / "sample_parts" / "impeller-shroud.stl"
PLAIN, CTRL, ALT = Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier


@pytest.fixture
def ready(hand: Any) -> Any:
    """The bracket from below, with no building after every change."""
    hand.bench.session.builder.at_once = False
    hand.bench.view.look("below")
    hand.bench.view.settle()
    return hand


@pytest.fixture
def shroud(ready: Any) -> Any:
    ready.open(SHROUD)
    ready.bench.view.look("below")
    ready.bench.view.settle()
    return ready


def stroke(hand: Any, places: list[tuple[float, float]], keys: Qt.KeyboardModifier = PLAIN) -> None:
    """Press, drag through places, release: real mouse events in the view."""
    view, points = hand.bench.view, [QPoint(round(x), round(y)) for x, y in places]
    hand.qtbot.mousePress(view, Qt.MouseButton.LeftButton, keys, points[0])
    for at in points[1:]:
        place = QPointF(at)
        event = QMouseEvent(
            QMouseEvent.Type.MouseMove,
            place,
            QPointF(view.mapToGlobal(at)),
            Qt.MouseButton.NoButton,
            Qt.MouseButton.LeftButton,
            keys,
        )
        QApplication.sendEvent(view, event)
    hand.qtbot.mouseRelease(view, Qt.MouseButton.LeftButton, keys, points[-1])


def picked(hand: Any) -> np.ndarray:
    picks = hand.bench.state.job.picks
    return np.unique(np.concatenate([faces_of(pick) for pick in picks])) if picks else np.zeros(0, dtype=int)


def centres_px(hand: Any, faces: np.ndarray) -> np.ndarray:
    return hand.bench.view.moves.project(hand.bench.session.part.corners_mm[faces].mean(axis=1))


def first_face_on_the_way(hand: Any, face: int) -> int:
    """The face that a straight look at a face's centre meets first: Möller and Trumbore (1997), every triangle."""
    part, view = hand.bench.session.part, hand.bench.view
    start, end = view.moves.ray(*centres_px(hand, np.array([face]))[0])
    corners, way = part.corners_mm, end - start
    a, ab, ac = corners[:, 0], corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    across = np.cross(way, ac)
    size = np.einsum("ij,ij->i", ab, across)
    with np.errstate(divide="ignore", invalid="ignore"):
        u = np.einsum("ij,ij->i", start - a, across) / size
        turned = np.cross(start - a, ab)
        v, share = turned @ way / size, np.einsum("ij,ij->i", ac, turned) / size
        met = (u >= 0) & (v >= 0) & (u + v <= 1) & (share > 0)
    return int(np.where(met, share, np.inf).argmin())


def circle(middle: np.ndarray, radius: float, n: int = 40) -> list[tuple[float, float]]:
    angles = np.linspace(0, 2 * np.pi, n)
    return [(middle[0] + radius * np.cos(angle), middle[1] + radius * np.sin(angle)) for angle in angles]


def test_a_brush_over_the_flat_ceiling_takes_its_two_triangles_in_one_step_of_undo(ready: Any) -> None:
    bench = ready.bench
    at = ready.pixel_of_patch(2)
    bench.commands["brush"].trigger()
    ceiling = next(patch for patch in bench.session.patches if patch.id == 2).faces
    ends = centres_px(ready, ceiling)
    stroke(ready, [(at.x(), at.y()), *map(tuple, np.linspace(ends[0], ends[-1], 12))])
    assert set(ceiling) <= set(picked(ready))
    assert bench.state.undo_name == "Add faces"
    bench.state.undo()
    assert bench.state.job.picks == () and bench.state.undo_name == ""


@pytest.mark.parametrize("keys", [CTRL, ALT])
def test_ctrl_or_alt_takes_faces_out_again(ready: Any, keys: Qt.KeyboardModifier) -> None:
    bench = ready.bench
    bench.session.picker.pick_all()
    at = ready.pixel_of_patch(2)
    bench.commands["brush"].trigger()
    before = picked(ready)
    stroke(ready, [(at.x(), at.y()), (at.x() + 1, at.y())], keys)
    ceiling = next(patch for patch in bench.session.patches if patch.id == 2).faces
    gone = np.setdiff1d(before, picked(ready))
    assert len(gone) >= 1 and set(gone) <= set(ceiling)
    assert bench.state.undo_name == "Take faces out"


def test_a_brush_takes_what_lies_under_it_and_faces_the_eye_and_nothing_else(shroud: Any) -> None:
    bench, view = shroud.bench, shroud.bench.view
    bench.commands["brush"].trigger()
    bench.view_tools.brush.set_radius(14.0)
    low = bench.session.placed.low_faces
    at = centres_px(shroud, low)
    middle = np.median(at, axis=0)
    way = [(middle[0] - 60 + 10 * i, middle[1] - 10.0) for i in range(13)]
    stroke(shroud, way)
    taken = picked(shroud)
    assert len(taken) > 500 and np.isin(taken, low).all()
    ends = np.round(np.array(way))
    away = np.linalg.norm(centres_px(shroud, taken)[:, None] - np.linspace(ends[0], ends[-1], 121)[None], axis=2)
    under = away.min(axis=1) <= 14.0 + 0.5
    assert under.mean() > 0.998  # a face whose centre lies outside was under the very middle of the brush
    normals = bench.session.part.normals[taken]
    assert (normals @ view.moves.axes()[2] > 0).all()
    inside = np.flatnonzero(np.linalg.norm(at[:, None] - np.linspace(ends[0], ends[-1], 121)[None], axis=2).min(1) < 13)
    random = np.random.default_rng(3)
    for number in random.choice(inside, 60, replace=False):
        seen = first_face_on_the_way(shroud, int(low[number])) == low[number]
        assert seen == (low[number] in taken)


def test_a_loop_takes_the_faces_whose_centre_is_seen_inside(shroud: Any) -> None:
    bench = shroud.bench
    bench.commands["loop"].trigger()
    low = bench.session.placed.low_faces
    at = centres_px(shroud, low)
    middle = np.median(at, axis=0)
    stroke(shroud, circle(middle, 70.0))
    assert len(bench.state.job.picks) >= 1 and bench.state.undo_name == "Add faces"
    first = picked(shroud)
    away = np.linalg.norm(at - middle, axis=1)
    assert (np.linalg.norm(centres_px(shroud, first) - middle, axis=1) <= 71.5).all()
    random = np.random.default_rng(5)
    for number in random.choice(np.flatnonzero(away < 68.0), 150, replace=False):
        seen = first_face_on_the_way(shroud, int(low[number])) == low[number]
        assert seen == (low[number] in first)
    # The outline of the picked faces lies over some of them now; the same loop takes the same faces out all the same.
    stroke(shroud, circle(middle, 70.0), CTRL)
    assert len(picked(shroud)) <= 0.002 * len(first)


def test_a_loop_reaches_through_see_through_sinks_but_not_through_solid_ones_nor_what_is_cut_away(ready: Any) -> None:
    bench, view = ready.bench, ready.bench.view
    ready.click(ready.pixel_of_patch(2))
    bench.session.builder.build()
    ready.wait_for_sinks()
    ceiling = next(patch for patch in bench.session.patches if patch.id == 2).faces
    bench.session.picker.paint(ceiling, add=True)
    view.look("bottom")
    view.settle()
    around = circle(centres_px(ready, ceiling).mean(axis=0), 0.4 * view.height())
    bench.commands["loop"].trigger()
    stroke(ready, around, CTRL)
    assert np.isin(ceiling, picked(ready)).all()  # the sink lies before it
    bench.commands["see_through"].trigger()
    bench.strip.set_cut(30.0)
    view.settle()
    stroke(ready, around, CTRL)
    assert np.isin(ceiling, picked(ready)).all()  # the ceiling at 40 mm is cut away
    bench.strip.set_cut(None)
    view.settle()
    stroke(ready, around, CTRL)
    assert not np.isin(ceiling, picked(ready)).any()


def test_what_a_stroke_goes_over_is_drawn_while_it_lasts(shroud: Any) -> None:
    bench, view = shroud.bench, shroud.bench.view
    bench.commands["loop"].trigger()
    places = circle(np.median(centres_px(shroud, bench.session.placed.low_faces), axis=0), 60.0)
    shroud.qtbot.mousePress(view, Qt.MouseButton.LeftButton, PLAIN, QPoint(*map(round, places[0])))
    view.tool.drag(QPointF(*places[15]), PLAIN)
    view.tool.drag(QPointF(*places[28]), PLAIN)
    shroud.wait(lambda: not view.scene.painted.empty)
    assert view._front_only and bench.state.job.picks == ()
    shroud.qtbot.keyClick(view, Qt.Key.Key_Escape)
    assert view.scene.painted.empty and view.tool is None and bench.state.job.picks == ()


@pytest.mark.parametrize("name", ["brush", "loop", "measure"])
def test_a_tool_says_what_to_do_and_escape_puts_it_down_before_it_clears_the_picks(ready: Any, name: str) -> None:
    bench, view = ready.bench, ready.bench.view
    bench.session.picker.pick_all()
    bench.commands[name].trigger()
    assert bench.commands[name].isChecked() and view.tool is not None
    assert bench.read_out.text() == view.tool.words() and "Esc" in bench.read_out.text()
    ready.qtbot.keyClick(view, Qt.Key.Key_Escape)
    assert view.tool is None and not bench.commands[name].isChecked() and bench.read_out.text() == ""
    assert bench.state.job.picks != ()
    ready.qtbot.keyClick(view, Qt.Key.Key_Escape)
    assert bench.state.job.picks == ()


def test_one_tool_takes_the_place_of_another_and_the_right_button_turns(ready: Any) -> None:
    bench, view = ready.bench, ready.bench.view
    bench.commands["brush"].trigger()
    bench.commands["loop"].trigger()
    assert not bench.commands["brush"].isChecked() and view.tool is bench.view_tools.loop
    before = view.moves.axes().copy()
    ready.qtbot.mousePress(view, Qt.MouseButton.RightButton, pos=QPoint(200, 200))
    place = QPointF(260, 220)
    event = QMouseEvent(
        QMouseEvent.Type.MouseMove,
        place,
        view.mapToGlobal(place),
        Qt.MouseButton.NoButton,
        Qt.MouseButton.RightButton,
        PLAIN,
    )
    QApplication.sendEvent(view, event)
    ready.qtbot.mouseRelease(view, Qt.MouseButton.RightButton, pos=QPoint(260, 220))
    assert not np.allclose(before, view.moves.axes()) and bench.state.job.picks == ()
    ready.open(SHROUD)
    assert view.tool is None and not bench.commands["loop"].isChecked()


def test_the_size_of_the_brush_follows_keys_and_ctrl_wheel_within_bounds(ready: Any) -> None:
    bench, view = ready.bench, ready.bench.view
    bench.commands["brush"].trigger()
    brush = bench.view_tools.brush
    start = brush.radius_px
    ready.qtbot.keyClick(view, Qt.Key.Key_Period)
    assert brush.radius_px == pytest.approx(1.25 * start)
    ready.qtbot.keyClick(view, Qt.Key.Key_Comma)
    assert brush.radius_px == pytest.approx(start)
    assert brush.wheel(1.0, CTRL) and brush.radius_px > start
    assert not brush.wheel(1.0, PLAIN)
    for _ in range(40):
        ready.qtbot.keyClick(view, Qt.Key.Key_Period)
    assert brush.radius_px == 150.0


def test_steep_faces_under_the_brush_are_left_alone_and_the_reason_is_said(ready: Any) -> None:
    bench, view = ready.bench, ready.bench.view
    view.look("top")
    view.settle()
    bench.commands["brush"].trigger()
    stroke(ready, [(view.width() / 2, view.height() / 2), (view.width() / 2 + 20, view.height() / 2)])
    assert bench.state.job.picks == () and "No low-angle face" in bench.message_bar.text.text()
