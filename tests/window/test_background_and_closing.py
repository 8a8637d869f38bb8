"""Work in the background, the promise to draw once, and opening and closing over and over."""

import errno
import gc
import threading
import time
import weakref
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import QObject, Qt, Signal, Slot

from app.background import Background
from app.main_window import MainWindow
from app.settings import Settings
from core.progress import GoesOn
from core.refusal import Refusal


class Ear(QObject):
    """Remembers what it was told, and in which thread."""

    def __init__(self) -> None:
        super().__init__()
        self.heard: list[tuple[str, object]] = []
        self.threads: set[int] = set()

    def _note(self, kind: str, what: object) -> None:
        self.heard.append((kind, what))
        self.threads.add(threading.get_ident())

    def done(self, answer: object) -> None:
        self._note("done", answer)

    def refused(self, text: str) -> None:
        self._note("refused", text)

    def failed(self, details: str) -> None:
        self._note("failed", details)


@pytest.fixture
def background(qtbot: Any) -> Any:
    made = Background()
    yield made
    made.close()


def _start(background: Background, ear: Ear, work: Any, kind: str = "test") -> Any:
    return background.start(kind, "Test", work, done=ear.done, refused=ear.refused, failed=ear.failed)


def test_answers_refusals_and_faults_arrive_in_the_windows_thread(background: Any, qtbot: Any) -> None:
    ear = Ear()

    def refuse(goes_on: GoesOn) -> None:
        raise Refusal("There is no room.")

    def fill_up(goes_on: GoesOn) -> None:
        raise OSError(errno.ENOSPC, "No space left on device", "/far/away")

    _start(background, ear, lambda goes_on: threading.get_ident(), "one")
    _start(background, ear, refuse, "two")
    _start(background, ear, lambda goes_on: 1 / 0, "three")
    _start(background, ear, fill_up, "four")
    qtbot.waitUntil(lambda: len(ear.heard) == 4)
    assert [kind for kind, _ in ear.heard] == ["done", "refused", "failed", "refused"]
    assert ear.heard[0][1] != threading.get_ident(), "the work itself ran elsewhere"
    assert ear.heard[1][1] == "There is no room." and "ZeroDivisionError" in str(ear.heard[2][1])
    assert "'/far/away': No space left on device" in str(ear.heard[3][1])
    assert ear.threads == {threading.get_ident()}


def test_new_work_of_a_kind_stops_the_earlier_and_its_answer_never_comes(background: Any, qtbot: Any) -> None:
    ear = Ear()

    def long_work(goes_on: GoesOn) -> str:
        for step in range(1000):
            if not goes_on(step / 1000):
                break
            time.sleep(0.005)
        return "old"

    first = _start(background, ear, long_work)
    with qtbot.waitSignal(first.progress):
        pass
    _start(background, ear, lambda goes_on: "new")
    qtbot.waitUntil(lambda: bool(ear.heard))
    qtbot.wait(50)
    assert ear.heard == [("done", "new")]


def test_work_that_ends_at_once_is_still_heard_to_end(background: Any, qtbot: Any) -> None:
    """Whoever watches from `started` on would else show it as running for good."""
    ended: list[object] = []
    background.started.connect(lambda work: (time.sleep(0.005), work.ended.connect(ended.append)))
    for number in range(20):
        _start(background, Ear(), lambda goes_on: None, f"short {number}")
    qtbot.waitUntil(lambda: len(ended) == 20)


def test_what_takes_minutes_holds_nothing_up(background: Any, qtbot: Any) -> None:
    ear, free = Ear(), threading.Event()
    _start(background, ear, lambda goes_on: free.wait(60), "heat")
    _start(background, ear, lambda goes_on: "short", "export")
    qtbot.waitUntil(lambda: ("done", "short") in ear.heard)
    assert background.busy("heat")
    free.set()
    qtbot.waitUntil(lambda: not background.busy())


class Speaker(QObject):
    told = Signal(bool, object)


class Listener(QObject):
    def __init__(self) -> None:
        super().__init__()
        self.count = 0

    @Slot(bool, object)
    def hear(self, on: bool, what: object) -> None:
        self.count += on


def test_five_thousand_signals_with_true_do_not_bring_python_down() -> None:
    """PySide6 6.12.0 on Python 3.11 lost a reference of True at every emit and aborted after a few thousand."""
    speaker, listener = Speaker(), Listener()
    speaker.told.connect(listener.hear)
    for _ in range(5000):
        speaker.told.emit(True, True)
    assert listener.count == 5000


def test_stop_ends_a_build_and_keeps_what_was_there(hand: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    bench = hand.bench
    reached = threading.Event()

    def slow_run(job: object, goes_on: GoesOn, part: object, thorough: bool) -> None:
        from core.progress import report

        for step in range(4000):
            report(goes_on, step / 4000)
            reached.set()
            time.sleep(0.005)

    monkeypatch.setattr("core.run_job.run_job", slow_run)
    hand.click(hand.pixel_of_patch(2))
    hand.wait(reached.is_set)
    hand.wait(lambda: bench.progress.isVisible())
    hand.qtbot.mouseClick(bench.progress.stop_button, Qt.MouseButton.LeftButton)
    hand.wait(lambda: not bench.background.busy() and not bench.progress.isVisible())
    assert bench.session.result is None and len(bench.state.job.picks) == 1
    assert bench.commands["build"].isEnabled()


def test_the_view_draws_once_per_change_however_often_it_is_told(hand: Any) -> None:
    view, drawn = hand.bench.view, []
    hand.qtbot.wait(100)
    view.drawn.connect(lambda: drawn.append(1))
    for _ in range(20):
        view.moves.turn(3, 0)
        view.changed()
    hand.wait(lambda: bool(drawn))
    hand.qtbot.wait(50)
    assert len(drawn) == 1
    hand.bench.read_out.setText("a child of the window was painted")
    hand.bench.window.repaint()
    hand.qtbot.wait(50)
    assert len(drawn) == 1


def _window_opened_and_closed(qtbot: Any, settings: Settings, part: Path) -> "weakref.ref[Any]":
    """A window that opens a part and is closed again; its session, as far as something still holds it."""
    window = MainWindow(settings)
    window.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    window.show()
    bench = window.fill()
    bench.open_file(part)
    qtbot.waitUntil(lambda bench=bench: bench.session.part is not None, timeout=180_000)
    qtbot.wait(20)
    session = weakref.ref(bench.session)
    assert window.close()
    del window, bench
    qtbot.wait(20)
    return session


def test_windows_open_a_part_and_close_ten_times(
    qtbot: Any, tmp_path: Path, settings: Settings, bracket: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("app.workbench.autosave_folder", lambda: tmp_path / "unsaved")
    gone = []
    for _ in range(10):
        gone.append(_window_opened_and_closed(qtbot, settings, bracket))
    gc.collect()
    assert sum(ref() is not None for ref in gone) <= 1, "closed windows are not kept"
    assert not any(thread.name.startswith("underfin-work") for thread in threading.enumerate())


@pytest.mark.slow
def test_fifty_windows_leave_no_memory_behind(
    qtbot: Any, tmp_path: Path, settings: Settings, bracket: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Resident memory after ten windows that warm up, against after forty more with a part each."""
    monkeypatch.setattr("app.workbench.autosave_folder", lambda: tmp_path / "unsaved")
    held = []
    for _ in range(50):
        _window_opened_and_closed(qtbot, settings, bracket)
        gc.collect()
        held.append(int(Path("/proc/self/statm").read_text().split()[1]) * 4096 / 1e6)
    print(f"resident: {held[9]:.0f} MB after 10 windows, {held[-1]:.0f} MB after 50")
    assert held[-1] - held[9] < 40 * 1.0, "less than 1 MB a window"


def test_closing_in_the_middle_of_a_build_waits_for_it_and_is_clean(hand: Any) -> None:
    bench = hand.bench
    hand.click(hand.pixel_of_patch(2))
    bench.session.builder.build()
    assert bench.window.close()
    assert not any(thread.name.startswith("underfin-work") for thread in threading.enumerate())


def test_the_first_window_needs_no_3d_library() -> None:
    """What makes the window appear at once: a fresh Python, up to the first paint, loads neither pyvista nor numba."""
    import subprocess
    import sys

    script = (
        "import sys\n"
        "from app.main_window import MainWindow, make_application\n"
        "app = make_application([])\n"
        "window = MainWindow()\n"
        "window.show()\n"
        "app.processEvents()\n"
        "print(sorted(name for name in ('pyvista', 'vtkmodules', 'numba', 'trimesh') if name in sys.modules))\n"
    )
    root = Path(__file__).resolve().parents[2]
    done = subprocess.run(
        [sys.executable, "-c", script], cwd=root, capture_output=True, text=True, timeout=60, check=True
    )
    assert done.stdout.strip() == "[]"


def test_the_first_picture_of_a_part_does_not_wait_for_what_builds(tmp_path: Path, bracket: Path) -> None:
    """A fresh Python draws the part before it loads the libraries of the sinks, and loads them after."""
    import subprocess
    import sys

    script = (
        "import sys\n"
        "from pathlib import Path\n"
        "from PySide6.QtCore import QEventLoop, QSettings\n"
        "from app.main_window import MainWindow, make_application\n"
        "from app.settings import Settings\n"
        "app = make_application([])\n"
        "window = MainWindow(Settings(QSettings(sys.argv[1], QSettings.Format.IniFormat)))\n"
        "window.show()\n"
        "bench = window.fill()\n"
        "late, drawn = ('scipy.optimize', 'manifold3d', 'shapely', 'core.run_job'), []\n"
        "bench.view.drawn.connect(lambda: drawn.append([name for name in late if name in sys.modules]))\n"
        "bench.open_file(Path(sys.argv[2]))\n"
        "while not drawn or bench.background.busy():\n"
        "    app.processEvents(QEventLoop.ProcessEventsFlag.WaitForMoreEvents)\n"
        "print(bench.session.part is not None, drawn[0], all(name in sys.modules for name in late))\n"
    )
    root = Path(__file__).resolve().parents[2]
    command = [sys.executable, "-c", script, str(tmp_path / "settings.ini"), str(bracket)]
    done = subprocess.run(command, cwd=root, capture_output=True, text=True, timeout=180, check=True)
    assert done.stdout.strip() == "True [] True"


def test_the_warming_run_goes_through_a_bent_way_out_and_a_hollow_part(tmp_path: Path) -> None:
    """By hand: the plug must go sideways until it stands over the shaft, then down, so its way has two legs."""
    from app.warm_up import warm_up_bent_way
    from core.checks import removal_path
    from core.part import bodies

    assert warm_up_bent_way(tmp_path / "chamber.stl") == 2
    for kernel in (removal_path._wave, removal_path._bends, bodies._shells_above):
        assert len(kernel.signatures) > 0
