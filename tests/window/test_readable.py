"""No text is cut off or lies over other text, in any size, and every control can be named to those who can't see it."""

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import Qt

from tests.window.reading import cut_off, faults_of_all_pages, nameless

ROOT = Path(__file__).resolve().parents[2]


def test_every_control_of_the_window_has_a_name(hand: Any) -> None:
    hand.bench.session.picker.pick_all()
    hand.wait_for_sinks()
    assert nameless(hand.bench.window) == []


def test_a_text_that_is_cut_off_would_be_found(bench: Any) -> None:
    """The search itself: a label squeezed to half its width is named."""
    bench.show_page("place")
    word = bench.place_panel.facts
    assert not any("No part is open." in fault for fault in cut_off(bench.window))
    word.setMaximumHeight(word.sizeHint().height() // 2)
    bench.window.repaint()
    assert any("No part is open." in fault for fault in cut_off(bench.window))


def test_all_pages_are_readable_at_1280_by_720(hand: Any) -> None:
    hand.bench.session.picker.pick_all()
    hand.wait_for_sinks()
    assert faults_of_all_pages(hand.bench) == []


def test_columns_give_way_from_the_right_and_come_back(hand: Any, qtbot: Any) -> None:
    """The name of a patch can always be read; nothing flickers once the tree has its size."""
    bench, tree = hand.bench, hand.bench.tree
    name = tree.fontMetrics().horizontalAdvance("Patch 888")

    def hidden() -> list[bool]:
        return [tree.isColumnHidden(column) for column in range(5)]

    for width, hides in ((420, [False] * 5), (215, [False, False, False, True, True]), (420, [False] * 5)):
        bench.window.resizeDocks([bench.docks["job"]], [width], Qt.Orientation.Horizontal)
        qtbot.waitUntil(lambda hides=hides: hidden() == hides)
        qtbot.wait(100)
        fits: list[int] = []
        tree.header().sectionResized.connect(lambda *_, fits=fits: fits.append(1))
        qtbot.wait(100)
        assert fits == [] and hidden() == hides
        assert tree.columnWidth(0) >= name


@pytest.mark.slow
@pytest.mark.parametrize(("scale", "font", "language"), [("2", "1", "en"), ("1", "1.5", "en"), ("1", "1", "de")])
def test_all_pages_are_readable_when_all_is_larger_or_in_german(scale: str, font: str, language: str) -> None:
    """A window of its own: twice the pixels (2560 x 1440), text half as large again, and the German texts."""
    command = [sys.executable, "-m", "tests.window.reading", font, language]
    setting = os.environ | {"QT_SCALE_FACTOR": scale}
    done = subprocess.run(command, cwd=ROOT, env=setting, capture_output=True, text=True, timeout=400, check=True)
    told = json.loads(done.stdout.splitlines()[-1])
    assert told == {"built": True, "scale": float(scale), "faults": []}
