"""Standard views and the free section: where the eye stands, what is cut away, what can still be picked."""

from typing import Any

import manifold3d
import numpy as np
import pytest
from PySide6.QtCore import QPointF, Qt
from vtkmodules.util.numpy_support import vtk_to_numpy

from app.view.meshes import points_of


@pytest.mark.parametrize(
    ("name", "right", "up"),
    [
        ("front", (1, 0, 0), (0, 0, 1)),
        ("back", (-1, 0, 0), (0, 0, 1)),
        ("left", (0, -1, 0), (0, 0, 1)),
        ("right", (0, 1, 0), (0, 0, 1)),
        ("top", (1, 0, 0), (0, 1, 0)),
        ("bottom", (1, 0, 0), (0, -1, 0)),
    ],
)
def test_a_standard_view_shows_the_axes_as_a_drawing_does(hand: Any, name: str, right: Any, up: Any) -> None:
    """By hand: from the left the eye stands at negative x, so that y runs to the left."""
    view = hand.bench.view
    hand.bench.commands[name].trigger()
    assert np.allclose(view.moves.axes()[:2], [right, up], atol=0.02)
    corners = view.moves.project(np.array([[0.0, 0.0, 0.0], right]))
    assert corners[1, 0] > corners[0, 0]


def test_the_isometric_view_shortens_all_axes_alike(hand: Any) -> None:
    """ISO 5456-3: lines along the axes cross at 60 or 120 degrees; each is shortened to the root of 2/3."""
    hand.bench.commands["iso"].trigger()
    seen = hand.bench.view.moves.axes()[:2].T
    assert np.linalg.norm(seen, axis=1) == pytest.approx(np.sqrt(2 / 3), abs=1e-4)
    assert np.abs([seen[0] @ seen[1], seen[1] @ seen[2], seen[2] @ seen[0]]) * 1.5 == pytest.approx(0.5, abs=1e-3)


def test_perspective_keeps_what_is_in_the_middle_at_its_size(hand: Any) -> None:
    view = hand.bench.view
    before = view.moves.visible_height_mm
    hand.bench.commands["orthographic"].trigger()
    assert not view.moves.parallel and view.moves.visible_height_mm == pytest.approx(before)


def _hits(view: Any) -> np.ndarray:
    """(n, 3) points that are picked all over the view."""
    view.settle()
    places = [
        view.face_at(QPointF(x, y))[0]
        for x in np.linspace(0.05, 0.95, 30) * view.width()
        for y in np.linspace(0.1, 0.95, 30) * view.height()
    ]
    return np.array([hit.at_mm for hit in places if hit is not None])


def test_a_section_across_x_takes_away_what_lies_beyond_and_the_other_side_when_flipped(hand: Any) -> None:
    view, bar = hand.bench.view, hand.bench.view.section_bar
    view.look("iso")
    hand.bench.commands["section"].trigger()
    assert bar.isVisible() and bar.at.value() == pytest.approx(35.0)  # the bracket is 70 mm wide from x = 0
    bar.at.setValue(20.0)
    hits = _hits(view)
    assert len(hits) > 15 and hits[:, 0].max() <= 20.0 + 1e-5
    bar.flip.click()
    hits = _hits(view)
    assert len(hits) > 15 and hits[:, 0].min() >= 20.0 - 1e-5


def test_the_cut_face_is_that_of_another_library_and_comes_when_the_hand_rests(hand: Any) -> None:
    """manifold3d cuts the same part at the same x; it slices across z, so the axes are turned round for it."""
    bench, bar = hand.bench, hand.bench.view.section_bar
    bench.commands["section"].trigger()
    bar.slider.setValue(301)
    assert bench.view.scene.section_cut.faces[0].empty and bench.view.scene.section.empty
    hand.wait(lambda: not bench.view.scene.section_cut.faces[0].empty)
    mesh = bench.view.scene.section_cut.faces[0].mesh
    corners = points_of(mesh)[vtk_to_numpy(mesh.GetPolys().GetConnectivityArray()).reshape(-1, 3)]
    area = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1).sum() / 2
    assert np.allclose(corners[..., 0], bar.at.value(), atol=1e-4)
    part = bench.session.part
    turned = manifold3d.Mesh(part.vertices_mm[:, [1, 2, 0]].astype(np.float32), part.triangles.astype(np.uint32))
    assert area == pytest.approx(manifold3d.Manifold(turned).slice(bar.at.value()).area(), rel=1e-4)
    assert bench.view.scene.section.mesh.GetNumberOfLines() > 10


def test_a_section_facing_me_keeps_the_direction_of_the_view_it_was_asked_from(hand: Any) -> None:
    view, bar = hand.bench.view, hand.bench.view.section_bar
    view.look("above")
    towards_eye = view.moves.axes()[2].copy()
    hand.bench.commands["section"].trigger()
    bar.direction.setCurrentIndex(bar.direction.findData("view"))
    bar.direction.activated.emit(bar.direction.currentIndex())
    hits = _hits(view)
    assert len(hits) > 15 and (hits @ towards_eye).max() <= bar.at.value() + 1e-4
    view.look("front")
    assert view.cut.along == pytest.approx(towards_eye)


def test_layer_strip_and_section_end_each_other(hand: Any) -> None:
    bench = hand.bench
    bench.strip.set_cut(30.0)
    assert bench.view.cut.at_mm == 30.0
    bench.commands["section"].trigger()
    assert bench.strip._cut_mm is None and bench.view.cut.along == (1.0, 0.0, 0.0)
    bench.strip.set_cut(30.0)
    assert bench.view.section_bar.isHidden() and not bench.commands["section"].isChecked()
    assert bench.view.cut.along == (0.0, 0.0, 1.0)


@pytest.mark.parametrize("by", ["escape", "command", "button"])
def test_the_section_ends_by_escape_by_its_command_and_by_its_button(hand: Any, by: str) -> None:
    bench = hand.bench
    bench.commands["section"].trigger()
    if by == "escape":
        hand.qtbot.keyClick(bench.view.section_bar.slider, Qt.Key.Key_Escape)
    elif by == "command":
        bench.commands["section"].trigger()
    else:
        hand.qtbot.mouseClick(bench.view.section_bar._close, Qt.MouseButton.LeftButton)
    assert bench.view.cut is None and not bench.commands["section"].isChecked()
    assert bench.view.scene.part.mapper.GetClippingPlanes() is None or (
        bench.view.scene.part.mapper.GetClippingPlanes().GetNumberOfItems() == 0
    )


def test_sinks_that_come_during_a_section_are_cut_too(hand: Any) -> None:
    bench = hand.bench
    bench.commands["section"].trigger()
    bench.session.picker.pick_all()
    hand.wait_for_sinks()
    assert all(thing.mapper.GetClippingPlanes().GetNumberOfItems() == 1 for thing in bench.view.scene.sinks)
    assert bench.view.cut is not None
