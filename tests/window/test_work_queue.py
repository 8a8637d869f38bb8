"""Several pieces of work at once: who waits, what is listed, what is stopped, and what is said of the time left."""

import threading
from typing import Any

import pytest
from PySide6.QtCore import QObject, Qt

from app.pace import Pace, elapsed_time, rough_time
from core.progress import GoesOn


class Gate:
    """Work that goes on until it is let go or stopped."""

    def __init__(self) -> None:
        self.begun, self.free = threading.Event(), threading.Event()

    def __call__(self, goes_on: GoesOn) -> str:
        self.begun.set()
        while not self.free.wait(0.01):
            if not goes_on(0.3):
                break
        return "done"


class Heard(QObject):
    def __init__(self) -> None:
        super().__init__()
        self.done: list[object] = []

    def take(self, answer: object) -> None:
        self.done.append(answer)

    def ignore(self, text: str) -> None:
        pass


def _start(bench: Any, heard: Heard, title: str, gate: Gate, **more: Any) -> Any:
    return bench.background.start(
        "write", title, gate, done=heard.take, refused=heard.ignore, failed=heard.ignore, **more
    )


def test_a_second_run_waits_is_listed_with_its_state_and_can_be_stopped(bench: Any, qtbot: Any) -> None:
    heard, first, second, third = Heard(), Gate(), Gate(), Gate()
    works = [
        _start(bench, heard, title, gate, waits=True)
        for title, gate in (("Write A", first), ("Write B", second), ("Write C", third))
    ]
    qtbot.waitUntil(first.begun.is_set)
    line = bench.progress
    qtbot.waitUntil(lambda: line.isVisible() and line.more.isVisible())
    assert line.more.text() == "1 at work, 2 waiting" and not second.begun.is_set()
    qtbot.mouseClick(line.more, Qt.MouseButton.LeftButton)
    rows = line.list.rows
    assert [row.title.text() for row in rows] == ["Write A", "Write B", "Write C"]
    assert [row.state.text() for row in rows[1:]] == ["waits", "waits"] and rows[0].state.text() != "waits"
    assert line.list.isVisible() and all(row.stop_button.isVisible() for row in rows)
    list_box = line.list.geometry()
    assert bench.window.rect().contains(list_box) and list_box.bottom() <= bench.window.statusBar().y()

    qtbot.mouseClick(rows[1].stop_button, Qt.MouseButton.LeftButton)  # one that waits
    qtbot.waitUntil(lambda: [row.title.text() for row in line.list.rows] == ["Write A", "Write C"])
    qtbot.mouseClick(line.list.rows[0].stop_button, Qt.MouseButton.LeftButton)  # the one at work
    qtbot.waitUntil(third.begun.is_set)
    assert not second.begun.is_set() and heard.done == []
    third.free.set()
    qtbot.waitUntil(lambda: heard.done == ["done"])
    qtbot.waitUntil(lambda: not line.isVisible() and not line.list.isVisible())
    assert all(not bench.background.busy(work.kind) for work in works)


def test_the_stop_command_stops_all_of_it(bench: Any, qtbot: Any) -> None:
    heard, first, second = Heard(), Gate(), Gate()
    for gate in (first, second):
        _start(bench, heard, "Write", gate, waits=True)
    qtbot.waitUntil(first.begun.is_set)
    bench.commands["stop"].trigger()
    qtbot.waitUntil(lambda: not bench.progress._works)
    assert heard.done == [] and not second.begun.is_set()


def test_a_second_export_waits_for_the_first(hand: Any, tmp_path: Any) -> None:
    """Both folders are complete: nothing is cut off because another folder was asked for."""
    bench = hand.bench
    hand.click(hand.pixel_of_patch(2))
    hand.wait_for_sinks()
    folders = [tmp_path / "one", tmp_path / "two"]
    for folder in folders:
        bench.session.builder.export(folder)
    hand.wait(lambda: not bench.background.busy("export"))
    hand.wait(lambda: all((folder / "result.json").exists() for folder in folders))
    assert {p.name for p in folders[0].iterdir()} == {p.name for p in folders[1].iterdir()}


@pytest.mark.parametrize("share", [0.03, 0.08, 0.5])
def test_an_even_pace_gives_the_time_left_also_in_the_first_tenth(share: float) -> None:
    """By hand: 100 s of work at an even pace has 100 s less the share left."""
    pace = Pace()
    for step in range(1, round(share * 1000) + 1):
        pace.note(step / 1000, step / 10)
    assert pace.left_s(100 * share) == pytest.approx(100 * (1 - share), rel=0.1)


def test_nothing_is_said_too_soon_or_when_the_pace_jumps_or_stands_still() -> None:
    pace = Pace()
    assert pace.left_s(10.0) is None
    for step in range(1, 21):
        pace.note(step / 1000, step / 10)
    assert pace.left_s(1.9) is None and pace.left_s(2.05) is not None
    assert pace.left_s(60.0) is None, "nothing came for a long while"
    jump = Pace()
    for share, at_s in ((0.01, 0.5), (0.02, 1.0), (0.03, 8.0), (0.04, 30.0)):
        jump.note(share, at_s)
    assert jump.left_s(30.0) is None, "20 s a hundredth of late, 7.5 s so far"


def test_times_are_said_as_roughly_as_they_are_known() -> None:
    assert [rough_time(s) for s in (1, 12, 80, 150, 8000)] == ["5 s", "10 s", "80 s", "2 min", "2.2 h"]
    assert [elapsed_time(s) for s in (0.4, 99.9, 100, 3725)] == ["0 s", "99 s", "1 min 40 s", "62 min 05 s"]
