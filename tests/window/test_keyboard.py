"""The main job without the mouse, from opening a part to the exported files."""

import json
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

Key, Mod = Qt.Key, Qt.KeyboardModifier


class Keys:
    """Types into whatever has the focus, as a keyboard does."""

    def __init__(self, window: QWidget, qtbot: Any) -> None:
        self.window, self.qtbot = window, qtbot
        window.activateWindow()
        qtbot.waitUntil(window.isActiveWindow, timeout=5000)

    def press(self, key: Qt.Key, held: Qt.KeyboardModifier = Mod.NoModifier) -> None:
        """One key, to the widget with the focus."""
        QTest.keyClick(QApplication.activePopupWidget() or QApplication.focusWidget() or self.window, key, held)
        QApplication.processEvents()

    def type(self, text: str) -> None:
        """Letters and digits."""
        QTest.keyClicks(QApplication.focusWidget(), text)
        QApplication.processEvents()

    def command(self, words: str) -> None:
        """Through the command palette."""
        self.press(Key.Key_K, Mod.ControlModifier)
        self.qtbot.waitUntil(lambda: QApplication.activePopupWidget() is not None)
        QTest.keyClicks(QApplication.activePopupWidget().focusWidget(), words)
        QTest.keyClick(QApplication.activePopupWidget().focusWidget(), Key.Key_Return)
        QApplication.processEvents()


def test_the_whole_job_is_done_by_keyboard(
    bench: Any, qtbot: Any, bracket: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "export"
    monkeypatch.setattr("app.messages.ask_part_file", lambda parent, folder: bracket)
    monkeypatch.setattr("app.messages.ask_export_folder", lambda parent, folder: out)
    bench.session.builder.at_once = False
    keys = Keys(bench.window, qtbot)

    with qtbot.waitSignal(bench.session.patches_changed, timeout=180_000):
        keys.command("open")
    keys.press(Key.Key_0, Mod.AltModifier)
    assert QApplication.focusWidget() is bench.tree
    for _ in range(10):
        keys.press(Key.Key_Down)
        if bench.tree.currentItem().text(0) == "Patch 2":
            break
    assert [patch.id for patch in bench.session.picked] == [2]
    keys.press(Key.Key_Down, Mod.ShiftModifier)
    assert [patch.id for patch in bench.session.picked] == [2, 1]
    keys.press(Key.Key_Up, Mod.ShiftModifier)
    assert [patch.id for patch in bench.session.picked] == [2]

    keys.press(Key.Key_2, Mod.AltModifier)
    assert bench.pages.currentIndex() == 1 and QApplication.focusWidget() is bench.sink_panel.spin
    keys.press(Key.Key_A, Mod.ControlModifier)
    keys.type("350")
    keys.press(Key.Key_Return)
    assert bench.state.job.gap.gap_mm == 0.35

    keys.press(Key.Key_F5)
    qtbot.waitUntil(lambda: bench.session.result_is_current, timeout=180_000)
    keys.press(Key.Key_4, Mod.AltModifier)
    assert QApplication.focusWidget() is bench.check_panel.list
    with qtbot.waitSignal(bench.session.builder.exported, timeout=180_000):
        keys.press(Key.Key_E, Mod.ControlModifier)
    result = json.loads((out / "result.json").read_text(encoding="utf-8"))
    assert [sink["gap_mm"] for sink in result["sinks"]] == [0.35]


def test_a_remedy_is_reached_and_pressed_by_keyboard(bench: Any, hand: Any, qtbot: Any) -> None:
    bench.session.picker.pick_patches({2})
    hand.wait_for_sinks()
    bench.session.builder.at_once = False
    keys = Keys(bench.window, qtbot)
    keys.press(Key.Key_4, Mod.AltModifier)
    keys.press(Key.Key_Tab)
    button = QApplication.focusWidget()
    assert button.text().startswith("Make the walls ")
    keys.press(Key.Key_Space)
    qtbot.waitUntil(lambda: bench.state.job.sink.fin_thickness_mm > 1.5)


def test_all_keys_are_listed_copied_and_used_once(bench: Any, qtbot: Any) -> None:
    bench.commands["shortcuts"].trigger()
    assert bench.docks["keys"].isVisible() and not bench.docks["keys"].isModal()
    page = bench.keys.page.toPlainText()
    qtbot.keyClick(bench.keys.copy_button, Key.Key_Space)
    copied = QGuiApplication.clipboard().text()
    listed = bench.commands.shortcut_list()
    assert len(listed) > 30
    for name, key in listed:
        assert f"{key}\t{name}" in copied and key in page and name in page
    own = [key for _, key in listed]
    assert sorted(own) == sorted(set(own)), "no key has two commands"
    every = [key.toString() for action in bench.commands.actions.values() for key in action.shortcuts()]
    assert sorted(every) == sorted(set(every)), "nor a second key that another command has too"
    bench.commands["shortcuts"].trigger()
    assert not bench.docks["keys"].isVisible()


def test_docks_can_be_moved_closed_and_put_back(bench: Any, qtbot: Any) -> None:
    job, inspector = bench.docks["job"], bench.docks["inspector"]
    first = [(dock.geometry(), bench.window.dockWidgetArea(dock)) for dock in (job, inspector)]
    bench.window.addDockWidget(Qt.DockWidgetArea.LeftDockWidgetArea, inspector)
    job.close()
    inspector.setFloating(True)
    qtbot.wait(50)
    bench.commands["reset_layout"].trigger()
    qtbot.waitUntil(lambda: job.isVisible() and not inspector.isFloating())
    qtbot.waitUntil(lambda: abs(inspector.width() - first[1][0].width()) <= 2)
    assert [(bench.window.dockWidgetArea(dock)) for dock in (job, inspector)] == [area for _, area in first]


def test_the_demo_job_comes_in_one_click_with_its_sinks(bench: Any, qtbot: Any) -> None:
    assert len(bench.start_page.samples) == 5
    assert {link.text() for link in bench.start_page.samples} >= {"Sensor bracket", "Valve body", "Impeller shroud"}
    qtbot.mouseClick(bench.start_page.demo_button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: bench.session.result_is_current, timeout=180_000)
    assert len(bench.session.result.sinks) == 2 and bench.pages.currentIndex() == 1
