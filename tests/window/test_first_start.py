"""At the first start work waits until its inner loops are compiled by a process beside the window."""

from typing import Any

import pytest
from pytestqt.qtbot import QtBot

from app.background import Background
from app.panels.work_list import state_words
from app.readiness import ALL, PART, SINKS
from app.settings import Settings
from app.warm_up import WarmUp, loops_version


def ignore(*words: Any) -> None:
    """A listener that needs nothing."""


def start(background: Background, kind: str, done: list[str]) -> Any:
    return background.start(
        kind, kind, lambda goes_on: kind, done=done.append, refused=ignore, failed=ignore, waits=True
    )


def test_work_waits_for_the_stage_it_needs(qtbot: QtBot) -> None:
    background = Background()
    done: list[str] = []
    background.readiness.begin()
    for kind in ("open", "build", "export"):
        start(background, kind, done)
    qtbot.wait(250)
    assert done == []
    for stage, expected in ((PART, ["open"]), (SINKS, ["open", "build"]), (ALL, ["open", "build", "export"])):
        background.readiness.reach(stage)
        qtbot.waitUntil(lambda expected=expected: done == expected)
        qtbot.wait(150)
        assert done == expected
    background.close()


def test_work_that_waits_can_be_stopped_and_the_window_closed_over_it(qtbot: QtBot) -> None:
    background = Background()
    done: list[str] = []
    background.readiness.begin()
    work = start(background, "open", done)
    qtbot.waitUntil(lambda: work.held)
    assert not work.begun and "ready" in state_words(work, background)
    with qtbot.waitSignal(work.stopped, timeout=2000):
        work.stop()
    start(background, "open", done)
    background.close()  # returns
    assert done == []


def test_a_process_that_ends_badly_lets_work_go_on_and_is_started_again(qtbot: QtBot, settings: Settings) -> None:
    background = Background()
    warm_up = WarmUp(settings, background.readiness)
    warm_up.arguments = ["-c", "print('part', flush=True); raise SystemExit(1)"]
    done: list[str] = []
    warm_up.start_if_needed()
    start(background, "export", done)
    qtbot.waitUntil(lambda: done == ["export"], timeout=20_000)
    assert settings.warmed_up_for() != loops_version()
    background.close()


@pytest.mark.slow
def test_the_process_tells_of_its_stages_and_is_not_started_twice(qtbot: QtBot, settings: Settings) -> None:
    background = Background()
    warm_up = WarmUp(settings, background.readiness)
    with qtbot.waitSignal(warm_up.said):
        warm_up.start_if_needed()
    assert not background.readiness.complete
    qtbot.waitUntil(lambda: background.readiness.complete, timeout=300_000)
    qtbot.waitUntil(lambda: settings.warmed_up_for() == loops_version())
    again = WarmUp(settings, background.readiness)
    with qtbot.assertNotEmitted(again.said):
        again.start_if_needed()
    assert background.readiness.complete
    background.close()
