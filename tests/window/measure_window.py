"""How fast the window is here: start, first picture, picking, slider. `python tests/window/measure_window.py`."""

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

START_SCRIPT = """
import sys, time
start = float(sys.argv[1])
from pathlib import Path
from app.main_window import MainWindow, make_application
from app.settings import Settings
from PySide6.QtCore import QEventLoop, QSettings
def tell(what):
    print(what + "_s", time.time() - start)
    print(what + "_cpu_s", time.process_time())
app = make_application([])
window = MainWindow(Settings(QSettings(sys.argv[2] + "/settings.ini", QSettings.Format.IniFormat)))
window.show()
app.processEvents()
tell("placeholder")
bench = window.fill()
app.processEvents()
tell("filled")
drawn = []
bench.view.drawn.connect(lambda: drawn.append(bench.session.part is not None))
bench.open_file(Path(sys.argv[3]))
while not any(drawn):
    app.processEvents(QEventLoop.ProcessEventsFlag.WaitForMoreEvents)
tell("first_picture_of_a_part")
"""


def measure_start(part: Path, n_runs: int = 5) -> dict[str, float]:
    """Seconds from the start of a fresh Python to the first window, its contents, and the first picture of a part.

    The least of several runs, since other work on the machine can only make them longer; cpu is our own share.
    """
    runs: list[dict[str, float]] = []
    for _ in range(n_runs):
        with tempfile.TemporaryDirectory() as folder:
            command = [sys.executable, "-c", START_SCRIPT, repr(time.time()), folder, str(part)]
            done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True, timeout=120)
        runs.append({name: float(value) for name, value in map(str.split, done.stdout.splitlines())})
    return {name: min(run[name] for run in runs) for name in runs[0]}


def measure_pick(n_triangles: int = 1_000_000) -> dict[str, float]:
    """Building the search tree of a bumpy sheet and the median of 200 rays, milliseconds."""
    import numpy as np

    from app.view.face_picking import FacePicker

    n = round((n_triangles / 2) ** 0.5)
    x, y = np.meshgrid(np.linspace(0, 100, n + 1), np.linspace(0, 100, n + 1))
    points = np.column_stack([x.ravel(), y.ravel(), (2 * np.sin(x) * np.cos(y)).ravel()])
    corner = (np.arange(n)[:, None] * (n + 1) + np.arange(n)).ravel()
    triangles = np.concatenate(
        [
            np.column_stack([corner, corner + 1, corner + n + 2]),
            np.column_stack([corner, corner + n + 2, corner + n + 1]),
        ]
    ).astype(np.int32)
    picker = FacePicker(points, triangles)
    start = time.perf_counter()
    while picker.prepare():
        pass
    built_ms = 1000 * (time.perf_counter() - start)
    took = []
    for at in np.random.default_rng(1).uniform(5, 95, (200, 2)):
        start = time.perf_counter()
        hit = picker.first_hit(np.array([*at, 50.0]), np.array([*at, -50.0]))
        took.append(1000 * (time.perf_counter() - start))
        if hit is None:
            raise RuntimeError("A ray slipped through.")
    return {
        "triangles": len(triangles),
        "pick_tree_ms": built_ms,
        "pick_median_ms": median(took),
        "pick_worst_ms": max(took),
    }


def measure_slider(part: Path) -> dict[str, float]:
    """One move of the gap slider: preview and estimate, and the same with everything painted, milliseconds."""
    from PySide6.QtCore import QSettings
    from PySide6.QtWidgets import QApplication

    from app.main_window import MainWindow, make_application
    from app.settings import Settings

    app = QApplication.instance() or make_application([])
    with tempfile.TemporaryDirectory() as folder:
        window = MainWindow(Settings(QSettings(folder + "/settings.ini", QSettings.Format.IniFormat)))
        window.show()
        bench = window.fill()
        bench.session.builder.at_once = False
        bench.open_file(part)
        while bench.session.part is None or bench.background.busy():
            app.processEvents()
        bench.session.picker.pick_all()
        bench.show_page("sink")
        app.processEvents()
        slider = bench.sink_panel.slider
        slider.setSliderDown(True)
        slider.setValue(310)
        app.processEvents()
        followed, painted = [], []
        for gap_um in range(320, 720, 10):
            start = time.perf_counter()
            slider.setValue(gap_um)
            followed.append(1000 * (time.perf_counter() - start))
            app.processEvents()
            painted.append(1000 * (time.perf_counter() - start))
        triangles = bench.session.part.n_faces
        slider.setSliderDown(False)
        bench.state.mark_saved(Path(folder) / "x.underfin")
        window.close()
    return {
        "triangles": triangles,
        "slider_follow_median_ms": median(followed),
        "slider_painted_least_ms": min(painted),
        "slider_painted_median_ms": median(painted),
        "slider_painted_worst_ms": max(painted),
    }


def measure_window() -> dict[str, dict[str, float]]:
    """All of it on the sample parts; prints and returns the figures."""
    figures = {
        "start": measure_start(ROOT / "sample_parts" / "sensor-bracket.stl"),
        "pick": measure_pick(),
        "slider": measure_slider(ROOT / "sample_parts" / "impeller-shroud.stl"),
    }
    for what, values in figures.items():
        for name, value in values.items():
            print(f"{what:7} {name:28} {value:12.2f}")
    return figures


if __name__ == "__main__":
    os.environ.setdefault("QT_QPA_PLATFORM", "xcb" if sys.platform.startswith("linux") else "")
    if not os.environ["QT_QPA_PLATFORM"]:
        del os.environ["QT_QPA_PLATFORM"]
    measure_window()
