"""See-through sinks, the words at the plate, fitting to what is picked, and pictures at a chosen size."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PySide6.QtCore import QPointF
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication

from app.view.big_picture import CLEAR, WHITE, PictureChoice, big_picture
from app.view.picture_dialog import PictureDialog
from app.view.sink_things import SEE_THROUGH


@pytest.fixture
def sunk(hand: Any) -> Any:
    """The bracket with a sink under its flat ceiling, seen from below."""
    hand.click(hand.pixel_of_patch(2))
    hand.wait_for_sinks()
    hand.bench.view.look("below")
    hand.bench.view.settle()
    return hand


def _on_a_sink(view: Any) -> QPointF:
    for x in np.linspace(0.1, 0.9, 60) * view.width():
        for y in np.linspace(0.1, 0.9, 60) * view.height():
            if view.face_at(QPointF(x, y))[1] >= 0:
                return QPointF(x, y)
    raise AssertionError("No sink is seen.")


def _seen(hand: Any) -> np.ndarray:
    """The view as it is drawn next, (rows, columns, 3)."""
    view = hand.bench.view
    with hand.qtbot.waitSignal(view.drawn):
        view.changed()
    return _channels(view.picture().toImage())[..., :3].astype(float)


def test_see_through_sinks_let_what_lies_behind_be_seen_and_picked(sunk: Any) -> None:
    """By hand: n layers of opacity a leave (1 - a)^n of what lies behind; a ray meets one to four walls here."""
    bench, view = sunk.bench, sunk.bench.view
    at = _on_a_sink(view)
    solid = _seen(sunk)
    bench.commands["see_through"].trigger()
    through = _seen(sunk)
    assert view.face_at(at)[1] == -1
    view.set_sinks_visible(False)
    without = _seen(sunk)
    view.set_sinks_visible(True)
    bench.commands["see_through"].trigger()
    assert view.face_at(at)[1] == 0 and np.abs(_seen(sunk) - solid).max() <= 1
    covered = np.abs(solid - without).max(axis=2) > 40
    assert covered.mean() > 0.02  # the sink hides that much of the view
    ways = solid - without
    of_the_sink = ((through - without) * ways).sum(axis=2)[covered] / (ways**2).sum(axis=2)[covered]
    one_wall, four_walls = (1 - (1 - SEE_THROUGH) ** walls for walls in (1, 4))
    assert one_wall - 0.1 < np.median(of_the_sink) < four_walls + 0.1


def test_gap_colours_make_the_sinks_see_through_and_say_so_once(sunk: Any) -> None:
    bench, see_through = sunk.bench, sunk.bench.commands["see_through"]
    bench.commands["colour_gap"].trigger()
    assert see_through.isChecked() and "see-through" in bench.message_bar.text.text()
    assert bench.message_bar.isVisible()
    bench.commands["colour_angle"].trigger()
    assert not see_through.isChecked()
    bench.message_bar.hide()
    bench.commands["colour_gap"].trigger()
    assert see_through.isChecked() and not bench.message_bar.isVisible()
    see_through.trigger()  # the engineer wants them solid
    bench.commands["colour_angle"].trigger()
    assert not see_through.isChecked()


def test_sinks_the_engineer_made_see_through_stay_so(sunk: Any) -> None:
    bench = sunk.bench
    bench.commands["see_through"].trigger()
    bench.commands["colour_gap"].trigger()
    bench.commands["colour_angle"].trigger()
    assert bench.commands["see_through"].isChecked()


def test_the_plate_tells_its_size_and_all_of_it_can_be_shown(hand: Any) -> None:
    bench, view = hand.bench, hand.bench.view
    view.look("above")
    bench.commands["fit_plate"].trigger()
    view.settle()
    assert view.marks.front_word.isVisible() and view.marks.front_word.text().endswith("250 × 250 mm")
    ground = view.scene.plate_ground.ends_mm
    corners = np.array([[x, y, 0.0] for x in ground[:, 0] for y in ground[:, 1]])
    px = view.moves.project(corners)
    assert (px > 0).all() and (px < [view.width(), view.height()]).all()
    plate = replace(bench.state.job.plate, size_mm=(100.0, 120.0))
    bench.state.set(replace(bench.state.job, plate=plate), "Plate")
    assert view.marks.front_word.text().endswith("100 × 120 mm")


@pytest.mark.parametrize("blade_deg", [90.0, 0.0, 30.0, -45.0])
def test_the_recoater_blade_lies_on_the_plate_in_its_direction(hand: Any, blade_deg: float) -> None:
    """By hand: at 90 degrees the blade runs along y, from rim to rim, beside the part."""
    bench, view = hand.bench, hand.bench.view
    plate = replace(bench.state.job.plate, blade_deg=blade_deg)
    bench.state.set(replace(bench.state.job, plate=plate), "Blade")
    ends = view.scene.blade_ends_mm
    way = (ends[1] - ends[0])[:2]
    angle = np.radians(blade_deg)
    assert abs(way @ [np.sin(angle), -np.cos(angle)]) < 1e-3 and np.linalg.norm(way) > 100
    low, high = view.scene.plate_ground.ends_mm
    for end in ends:  # both ends on the rim
        assert np.isclose(end[:2], [low[:2], high[:2]], atol=1e-3).any()
    if blade_deg == 90.0:
        part = bench.session.part
        assert ends[0, 0] == pytest.approx(ends[1, 0]) and ends[0, 0] < part.low_mm[0]
        assert np.linalg.norm(way) == pytest.approx(250.0, abs=1e-3)


def test_the_word_of_the_blade_is_seen_from_above_only(hand: Any) -> None:
    view = hand.bench.view
    for look in ("below", "above"):
        with hand.qtbot.waitSignal(view.drawn):
            view.look(look)
    assert view.marks.blade_word.isVisible() and view.scene.blade.visible
    with hand.qtbot.waitSignal(view.drawn):
        view.look("below")
    assert not view.marks.blade_word.isVisible() and not view.scene.blade.visible


def _share_of_view(view: Any, points_mm: np.ndarray) -> float:
    """How much of the view's width or height points fill, whichever is more; above 1 some are out of sight."""
    px = view.moves.project(points_mm)
    share = np.abs(px / [view.width(), view.height()] - 0.5) * 2
    return float(share.max())


def test_fitting_to_what_is_picked_fills_the_view_with_it(sunk: Any) -> None:
    bench, view = sunk.bench, sunk.bench.view
    patch = next(patch for patch in bench.session.patches if patch.id == 2)
    ceiling = bench.session.part.corners_mm[patch.faces].reshape(-1, 3)
    bench.commands["fit_selection"].trigger()
    assert 0.6 < _share_of_view(view, ceiling) < 1.0
    assert _share_of_view(view, bench.session.part.corners_mm.reshape(-1, 3)) > 1.0
    view.look("below")
    view.settle()
    sunk.click(_on_a_sink(view).toPoint())
    bench.commands["fit_selection"].trigger()
    assert 0.6 < _share_of_view(view, bench.session.result.sinks[0].vertices_mm) < 1.0
    bench.session.picker.clear()
    bench.commands["fit_selection"].trigger()
    view.settle()
    assert 0.6 < _share_of_view(view, bench.session.part.corners_mm.reshape(-1, 3)) < 1.0


@pytest.mark.parametrize("size_px", [(1920, 1080), (600, 900)])
def test_a_picture_has_the_size_asked_for_shows_the_whole_part_and_leaves_the_view_as_it_was(
    hand: Any, size_px: tuple[int, int]
) -> None:
    view = hand.bench.view
    before = view.picture().toImage()
    image = big_picture(view, PictureChoice(size_px=size_px, ground=CLEAR, marks=False))
    assert (image.width(), image.height()) == size_px
    alpha = _channels(image)[..., 3]
    assert alpha[0, 0] == 0 and alpha.max() == 255
    rim = np.concatenate([alpha[0], alpha[-1], alpha[:, 0], alpha[:, -1]])
    assert (rim > 128).mean() < 0.02  # only lines of the plate leave the picture
    assert view.picture().toImage() == before
    with_marks = _channels(big_picture(view, PictureChoice(size_px=size_px, ground=CLEAR)))
    assert (with_marks[-60:, -120:, 3] > 200).mean() > 0.5  # the colour scale
    white = _channels(big_picture(view, PictureChoice(size_px=size_px, ground=WHITE, marks=False)))
    assert white[0, 0].tolist() == [255, 255, 255, 255]


def test_a_large_picture_shows_finer_what_the_view_shows(hand: Any) -> None:
    """Made small again, it is the picture of the view: the outline of the part covers the same share."""
    view = hand.bench.view
    view.set_plate_visible(False)
    size = (view.width(), view.height())
    small, large = (
        (_channels(big_picture(view, PictureChoice(size_px=px, ground=CLEAR, marks=False)))[..., 3] > 128).mean()
        for px in (size, (3 * size[0], 3 * size[1]))
    )
    assert small > 0.05 and large == pytest.approx(small, rel=0.01)


def _channels(image: QImage) -> np.ndarray:
    """(rows, columns, 4) red, green, blue, alpha."""
    image = image.convertToFormat(QImage.Format.Format_RGBA8888)
    rows = np.frombuffer(image.constBits(), dtype=np.uint8).reshape(image.height(), image.bytesPerLine())
    return rows[:, : 4 * image.width()].reshape(image.height(), image.width(), 4).copy()


def _dialog(hand: Any) -> PictureDialog:
    hand.bench.commands["save_picture"].trigger()
    (dialog,) = (d for d in QApplication.topLevelWidgets() if isinstance(d, PictureDialog) and d.isVisible())
    return dialog


def test_the_dialog_writes_the_picture_and_remembers_the_choice(
    hand: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "bracket.png"
    monkeypatch.setattr("app.messages.ask_picture_file", lambda parent, folder: file)
    dialog = _dialog(hand)
    assert not dialog.width_px.isEnabled()
    dialog.size_choice.show_choice("own")
    assert dialog.width_px.isEnabled()
    dialog.width_px.setValue(640)
    dialog.height_px.setValue(360)
    dialog.ground.show_choice(WHITE)
    dialog.accept()
    assert (QImage(str(file)).width(), QImage(str(file)).height()) == (640, 360)
    assert "640 × 360" in hand.bench.message_bar.text.text()
    again = _dialog(hand)
    assert again.choice() == PictureChoice(size_px=(640, 360), ground=WHITE)
    again.reject()


def test_a_picture_that_can_not_be_written_is_said_in_one_sentence(
    hand: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("app.messages.ask_picture_file", lambda parent, folder: tmp_path / "none" / "x.png")
    _dialog(hand).accept()
    assert "could not be written" in hand.bench.message_bar.text.text()
