"""A picture that takes long is made in two turns, looks the same as one made at once, and is never shown half made."""

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PySide6.QtGui import QImage

from app.view.picture_maker import FIRST, SECOND


def pixels(view: Any) -> np.ndarray:
    """(height, width, 3) what the view shows now, without making it anew."""
    image = view.grabFramebuffer().convertToFormat(QImage.Format.Format_RGB888)
    rows = np.frombuffer(image.constBits(), dtype=np.uint8).reshape(image.height(), image.bytesPerLine())
    return rows[:, : 3 * image.width()].reshape(image.height(), image.width(), 3).astype(int)


@pytest.fixture
def sunk(hand: Any, bracket: Path) -> Any:
    """The bracket with a sink, seen from below."""
    hand.click(hand.pixel_of_patch(2))
    hand.wait_for_sinks()
    hand.wait(lambda: not hand.bench.background.busy())
    hand.bench.view.look("below")
    hand.bench.view.settle()
    return hand


@pytest.mark.parametrize("cut_mm", [None, 9.0])
def test_the_picture_made_in_two_turns_is_the_one_made_at_once(sunk: Any, cut_mm: float | None) -> None:
    view = sunk.bench.view
    view.cut_at(cut_mm)
    sunk.wait(lambda: not (view.coarse or view._rest_timer.isActive() or view._dirty))
    view.expect(slow=False)
    with sunk.qtbot.waitSignal(view.drawn):
        view.changed()
    at_once = pixels(view)
    view.expect(slow=True)
    halves = []
    before = view.make_picture
    view.make_picture = lambda: (halves.append(view._half), before())
    with sunk.qtbot.waitSignal(view.drawn):
        view.changed()
    view.make_picture = before
    assert halves[0] == FIRST and len(halves) == 2
    assert np.array_equal(pixels(view), at_once)


def test_until_both_halves_are_made_the_last_picture_stays(sunk: Any) -> None:
    view = sunk.bench.view
    sunk.wait(lambda: not (view.coarse or view._dirty))
    before, seen = pixels(view), []
    made = view.draw

    def draw(*, shown: bool = True) -> None:
        made(shown=shown)
        seen.append((shown, view._half))

    view.draw = draw
    view.look("above")
    view.expect(slow=True)
    sunk.wait(lambda: len(seen) == 2)
    assert seen == [(False, FIRST), (True, SECOND)] and not np.array_equal(pixels(view), before)


def test_the_slider_moves_on_while_the_ground_under_it_is_half_made(sunk: Any) -> None:
    """Every move of a hand that never rests must not begin the picture anew, or none would ever be shown."""
    view, session = sunk.bench.view, sunk.bench.session
    view.expect(slow=True)
    view._full_ms = math.inf
    drawn: list[int] = []
    view.drawn.connect(lambda: drawn.append(1))
    for number in range(30):
        session.preview_gap(0.3 + 0.002 * number)
        sunk.bench.window.repaint()
        sunk.qtbot.wait(1)
    assert len(drawn) > 10
