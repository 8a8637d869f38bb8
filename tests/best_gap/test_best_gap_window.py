"""In the window one button gives the sink looked at its best gap, as one step, and says what the powder does to it."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QSettings
from pytestqt.qtbot import QtBot

from app.main_window import MainWindow, prepare_graphics
from app.settings import Settings

BRACKET = Path(__file__).resolve().parents[2] / "sample_parts" / "sensor-bracket.stl"
prepare_graphics()


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[MainWindow]:
    monkeypatch.setattr("app.workbench.autosave_folder", lambda: tmp_path / "unsaved")
    monkeypatch.setattr("app.messages.ask_before_discard", lambda parent, name: "discard")
    monkeypatch.setattr("core.trial.trial_library.library_folder", lambda: tmp_path / "none")
    made = MainWindow(Settings(QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat)))
    qtbot.addWidget(made)
    made.show()
    yield made
    made.close()


def test_one_button_sets_the_best_gap_of_the_sink_looked_at(window: MainWindow, qtbot: QtBot) -> None:
    bench = window.fill()
    bench.set_build_at_once(False)
    with qtbot.waitSignal(bench.session.patches_changed, timeout=180_000):
        bench.open_file(BRACKET)
    button, action, state = bench.sink_panel.best, bench.commands["best_gap"], bench.state
    assert button.isHidden() and not action.isEnabled()
    bench.session.picker.pick_all()
    bench.session.settings.look_at(0)
    assert not button.isHidden() and action.isEnabled()
    before = state.job
    button.click()
    first, second = state.job.picks
    high_mm = bench.session.window().estimate.fuse_limit_mm.high
    assert high_mm <= first.gap.gap_mm < high_mm + 0.001 and second.gap is None and state.job.gap == before.gap
    assert bench.sink_panel.spin.value() == round(1000 * first.gap.gap_mm)
    said = bench.message_bar.text.text()
    assert f"best gap {first.gap.gap_mm:.3f} mm" in said and "With 10 % less or more powder conductivity" in said
    assert state.undo_name == "Set the best gap"
    state.undo()
    assert state.job == before
