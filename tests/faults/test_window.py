"""The window without OpenGL or screen, killed with unsaved changes, and with a part that changes under it."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import QSettings

from app.main_window import MainWindow, prepare_graphics
from app.part_watch import PartWatch
from app.settings import Settings
from app.workbench import Workbench
from core.job_file import file_sha256, open_job

ROOT = Path(__file__).resolve().parents[2]
BRACKET = ROOT / "sample_parts" / "sensor-bracket.stl"
LONG_MS = 180_000
Sentence = Callable[[str], str]

prepare_graphics()


# No graphics ------------------------------------------------------------------------------------------------------


def first_sentence(settings: dict[str, str], tmp_path: Path) -> tuple[str, int | None]:
    """What the window says when it starts so, and its exit code; None while a box waits to be closed."""
    private = {f"XDG_{name}_HOME": str(tmp_path / name) for name in ("DATA", "CONFIG")}
    command = [sys.executable, "-m", "app", str(BRACKET)]
    with open(tmp_path / "said.txt", "wb") as said:
        process = subprocess.Popen(
            command, cwd=ROOT, env=dict(os.environ) | private | settings, stdout=subprocess.DEVNULL, stderr=said
        )
    code, start = None, time.monotonic()
    while time.monotonic() - start < 60:
        code = process.poll()
        lines = [line for line in (tmp_path / "said.txt").read_text().splitlines() if "underfin-cli" in line]
        if code is not None or lines:
            break
        time.sleep(0.1)
    time.sleep(0.5)
    code = process.poll()
    process.kill()
    process.wait()
    text = (tmp_path / "said.txt").read_text()
    assert "Traceback" not in text and len(lines) == 1, text
    return lines[0], code


@pytest.mark.parametrize(
    ("settings", "word"),
    [
        ({"LIBGL_DRIVERS_PATH": "/nonexistent", "LIBGL_ALWAYS_SOFTWARE": "1"}, "OpenGL"),
        ({"QT_XCB_GL_INTEGRATION": "none"}, "OpenGL"),
        ({"MESA_GL_VERSION_OVERRIDE": "2.1"}, "gives 2.1"),
        ({"QT_QPA_PLATFORM": "offscreen"}, "offscreen"),
        ({"DISPLAY": ":4242", "QT_QPA_PLATFORM": "xcb"}, "no screen"),
    ],
    ids=["no driver", "no integration", "old driver", "offscreen", "no screen"],
)
def test_where_no_view_can_be_drawn_one_sentence_says_so_and_offers_the_command_line(
    tmp_path: Path, sentence: Sentence, settings: dict[str, str], word: str
) -> None:
    said, code = first_sentence(settings, tmp_path)
    assert word in sentence(said) and "underfin-cli build" in said
    assert code in (None, 2)  # a box waits where there is a screen for it


# Killed -----------------------------------------------------------------------------------------------------------

KILLED = """
import os, signal, sys
from dataclasses import replace
from pathlib import Path
from PySide6.QtCore import QTimer
from app import main_window, workbench
from app.main_window import MainWindow, make_application
app = make_application([])
window = MainWindow()
window.show()
bench = window.fill()
bench.session.builder.at_once = False
def edit():
    bench.state.set(replace(bench.state.job, max_angle_deg=31.0), "Set low-angle limit")
    QTimer.singleShot(200, look)
def look():
    if any(workbench.autosave_folder().glob("job-*.underfin")):
        os.kill(os.getpid(), signal.SIGKILL)
    QTimer.singleShot(50, look)
bench.session.patches_changed.connect(edit)
bench.open_file(Path(sys.argv[1]))
app.exec()
"""


def test_a_window_that_is_killed_loses_no_change_that_is_two_seconds_old(tmp_path: Path) -> None:
    settings = dict(os.environ) | {f"XDG_{name}_HOME": str(tmp_path / name) for name in ("DATA", "CONFIG")}
    done = subprocess.run(
        [sys.executable, "-c", KILLED, str(BRACKET)],
        cwd=ROOT,
        env=settings,
        capture_output=True,
        timeout=170,
        check=False,
    )
    assert done.returncode == -signal.SIGKILL, done.stderr.decode()
    copies = list((tmp_path / "DATA").rglob("job-*.underfin"))
    assert len(copies) == 1 and open_job(copies[0]).max_angle_deg == 31.0


# A part that changes while it is open -----------------------------------------------------------------------------


@pytest.fixture
def part_file(tmp_path: Path) -> Path:
    path = tmp_path / "parts" / "bracket.stl"
    path.parent.mkdir()
    path.write_bytes(BRACKET.read_bytes())
    return path


@pytest.fixture
def bench(qtbot: Any, tmp_path: Path, part_file: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Workbench]:
    monkeypatch.setattr("app.workbench.autosave_folder", lambda: tmp_path / "unsaved")
    monkeypatch.setattr("app.messages.ask_before_discard", lambda parent, name: "discard")
    window = MainWindow(Settings(QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat)))
    qtbot.addWidget(window)
    window.show()
    bench = window.fill()
    bench.session.builder.at_once = False
    qtbot.waitExposed(window)
    with qtbot.waitSignal(bench.session.patches_changed, timeout=LONG_MS):
        bench.open_file(part_file)
    yield bench
    window.close()


def watch_of(bench: Workbench) -> PartWatch:
    watch = bench.findChild(PartWatch)
    assert watch is not None
    return watch


def replaced(path: Path, data: bytes) -> None:
    """As most programs save: beside it, then in one move."""
    path.with_suffix(".new").write_bytes(data)
    path.with_suffix(".new").replace(path)


@pytest.mark.parametrize("way", ["written over", "replaced"])
def test_a_part_changed_by_another_program_is_said_and_read_again_when_wanted(
    bench: Workbench, qtbot: Any, part_file: Path, way: str
) -> None:
    other = (ROOT / "sample_parts" / "valve-body.stl").read_bytes()
    before, part = bench.state.job, bench.session.part
    assert part is not None
    with qtbot.waitSignal(watch_of(bench).changed, timeout=LONG_MS):
        replaced(part_file, other) if way == "replaced" else part_file.write_bytes(other)
    bar = bench.message_bar
    assert bar.isVisible() and "bracket.stl" in bar.text.text() and "changed by another program" in bar.text.text()
    assert bench.state.job is before and bench.session.part is part  # nothing was taken unasked
    with qtbot.waitSignal(bench.session.patches_changed, timeout=LONG_MS):
        bar._do.click()
    again = bench.session.part
    assert again is not None and again.n_faces != part.n_faces
    assert bench.state.job.part_sha256 == file_sha256(part_file) != before.part_sha256
    assert bench.state.modified and bench.window.isWindowModified()
    with qtbot.waitSignal(watch_of(bench).changed, timeout=LONG_MS):  # and it is still watched
        replaced(part_file, BRACKET.read_bytes())


def test_a_part_that_goes_away_is_said_and_the_job_goes_on(bench: Workbench, qtbot: Any, part_file: Path) -> None:
    with qtbot.waitSignal(watch_of(bench).gone, timeout=LONG_MS):
        part_file.unlink()
    assert "no longer in its folder" in bench.message_bar.text.text()
    assert bench.session.part is not None and bench.state.job.part_file == str(part_file)
    bench.message_bar.hide()
    with qtbot.assertNotEmitted(watch_of(bench).changed, wait=2500):
        replaced(part_file, BRACKET.read_bytes())  # the same bytes come back
    assert not bench.message_bar.isVisible()


def test_a_part_put_out_of_reach_of_its_picks_is_refused_and_the_old_one_stays(
    bench: Workbench, qtbot: Any, part_file: Path
) -> None:
    from dataclasses import replace

    from core.job import Pick

    n = bench.session.part.n_faces if bench.session.part else 0
    bench.state.set(replace(bench.state.job, picks=(Pick(runs=((n - 1, n - 1),)),)), "Pick face")
    job, part = bench.state.job, bench.session.part
    shelf = (ROOT / "sample_parts" / "sensor-bracket.stl").read_bytes()
    few = shelf[:80] + (12).to_bytes(4, "little") + shelf[84 : 84 + 12 * 50]
    with qtbot.waitSignal(watch_of(bench).changed, timeout=LONG_MS):
        replaced(part_file, few)
    with qtbot.waitSignal(bench.session.said, timeout=LONG_MS):
        bench.message_bar._do.click()
    assert bench.state.job is job and bench.session.part is part
