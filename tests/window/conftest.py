"""A filled window with its own settings and folders, and hands to use it like an engineer does."""

from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, QSettings, Qt
from pytestqt.qtbot import QtBot

from app.appearance import use_look
from app.main_window import MainWindow, prepare_graphics
from app.settings import Settings
from app.workbench import Workbench

SAMPLES = Path(__file__).resolve().parents[2] / "sample_parts"
BRACKET = SAMPLES / "sensor-bracket.stl"
LONG_MS = 180_000

prepare_graphics()


class Hand:
    """Opens, looks and clicks in one window."""

    def __init__(self, bench: Workbench, qtbot: QtBot) -> None:
        self.bench, self.qtbot = bench, qtbot

    def wait(self, condition: Callable[[], bool]) -> None:
        """Let the window work until the condition holds."""
        self.qtbot.waitUntil(condition, timeout=LONG_MS)

    def open(self, path: Path) -> None:
        """Open a file and wait until the view shows it."""
        with self.qtbot.waitSignal(self.bench.session.patches_changed, timeout=LONG_MS):
            self.bench.open_file(path)
        with self.qtbot.waitSignal(self.bench.view.drawn, timeout=LONG_MS):
            self.bench.view.changed()

    def pixel_of_patch(self, patch_id: int) -> QPoint:
        """A pixel of the view that shows a face of the patch, found by looking, not by asking the picker."""
        part = self.bench.session.part
        assert part is not None
        patch = next(patch for patch in self.bench.session.patches if patch.id == patch_id)
        largest = patch.faces[np.argsort(part.areas_mm2[patch.faces])[::-1]]
        for face in largest[:200]:
            x, y = self.bench.view.moves.project(part.corners_mm[face].mean(axis=0))[0]
            hit, owner = self.bench.view.face_at(QPointF(x, y))
            if hit is not None and owner < 0 and hit.face == face:
                return QPoint(round(x), round(y))
        raise AssertionError(f"No face of patch {patch_id} can be seen from here.")

    def pixel_of_patch_from(self, patch_id: int, look: str) -> QPoint:
        """Look from a side first; the pixel is right until the view turns again."""
        self.bench.view.look(look)
        with self.qtbot.waitSignal(self.bench.view.drawn, timeout=LONG_MS):
            self.bench.view.changed()
        return self.pixel_of_patch(patch_id)

    def point(self, x: float, y: float) -> QPointF:
        return QPointF(x, y)

    def click(self, at: QPoint, keys: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        """A real press and release of the left button in the view."""
        self.qtbot.mouseClick(self.bench.view, Qt.MouseButton.LeftButton, keys, at)

    def wait_for_sinks(self) -> None:
        """Until the exact sinks of the job as it is are built."""
        self.wait(lambda: self.bench.session.result_is_current)


@pytest.fixture
def bracket() -> Path:
    return BRACKET


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    return Settings(QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat))


@pytest.fixture
def window(qtbot: QtBot, settings: Settings, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[MainWindow]:
    """A window of 1280 by 720 that never asks before it closes."""
    monkeypatch.setattr("app.workbench.autosave_folder", lambda: tmp_path / "unsaved")
    monkeypatch.setattr("app.messages.ask_before_discard", lambda parent, name: "discard")
    use_look("light")
    made = MainWindow(settings)
    qtbot.addWidget(made)
    made.show()
    made.fill()
    qtbot.waitExposed(made)
    yield made
    made.close()


@pytest.fixture
def bench(window: MainWindow) -> Workbench:
    return window.fill()


@pytest.fixture
def hand(bench: Workbench, qtbot: QtBot) -> Hand:
    """With the sensor bracket open: patch 2 is its flat ceiling, patch 1 lies at 30 degrees behind it."""
    made = Hand(bench, qtbot)
    made.open(BRACKET)
    return made
