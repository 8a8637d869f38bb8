"""How long the window is deaf while the main job is done, step by step. `python tests/window/measure_waits.py [PARTS]`.

The window answers the mouse between two turns of its event loop; the longest time between two turns is what a click
may have to wait. Measured with a timer that fires in every turn.
"""

import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from PySide6.QtCore import QSettings, QTimer  # noqa: E402
from PySide6.QtWidgets import QApplication  # noqa: E402

import app.messages  # noqa: E402
import app.workbench  # noqa: E402
from app.main_window import MainWindow, make_application, spare_what_stays  # noqa: E402
from app.orient_link import orient_link  # noqa: E402
from app.panels.images_panel import ImagesPanel  # noqa: E402
from app.panels.scan_panel import ScanPanel  # noqa: E402
from app.settings import Settings  # noqa: E402

LONG_S = 600.0
PARTS = ("sensor-bracket.stl", "impeller-shroud.stl")


class Waits:
    """Does steps in a window of its own and keeps the longest wait of each, in ms."""

    def __init__(self, folder: Path) -> None:
        app.workbench.autosave_folder = lambda: folder
        app.messages.ask_before_discard = lambda parent, name: "discard"
        self.app = QApplication.instance() or make_application([])
        self.folder = folder
        self.window = MainWindow(Settings(QSettings(str(folder / "settings.ini"), QSettings.Format.IniFormat)))
        self.window.resize(1280, 720)
        self.window.show()
        self.bench = self.window.fill()
        spare_what_stays()  # as the program does
        self.bench.session.builder.loaded.connect(spare_what_stays)
        self.longest_ms: dict[str, float] = {}
        self._step, self._last_s = "", time.perf_counter()
        self._timer = QTimer(interval=0)
        self._timer.timeout.connect(self._tick)
        self._rest(0.5)  # the start is measured by itself

    def _tick(self) -> None:
        now = time.perf_counter()
        waited_ms = 1000 * (now - self._last_s)
        self.longest_ms[self._step] = max(self.longest_ms.get(self._step, 0.0), waited_ms)
        self._last_s = now

    def do(self, step: str, action: Callable[[], object], rest_s: float = 0.6) -> None:
        """An action, all the work that follows from it, and a moment of rest."""
        self._step, self._last_s = step, time.perf_counter()
        self._timer.start()
        action()
        self._rest(rest_s)
        end = time.monotonic() + LONG_S
        while self.bench.background.busy() and time.monotonic() < end:
            self.app.processEvents()
        self._rest(rest_s)
        self._timer.stop()

    def _rest(self, seconds: float) -> None:
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            self.app.processEvents()

    def close(self) -> None:
        self.bench.state.mark_saved(self.folder / "x.underfin")
        self.window.close()


def main_job(waits: Waits, part: Path) -> None:
    """Everything an engineer does with one part, in the order of the work."""
    bench = waits.bench
    session, view, trigger = bench.session, bench.view, {k: a.trigger for k, a in bench.commands.actions.items()}
    waits.do("open", lambda: bench.open_file(part), rest_s=1.5)
    patches = session.patches
    waits.do("pick a face", lambda: session.picker.pick_face(int(patches[0].faces[0]), "only"), rest_s=1.0)
    waits.do("pick all", trigger["pick_all"], rest_s=1.0)
    for page in ("sink", "process", "check", "heat", "place"):
        waits.do("pages", lambda page=page: bench.show_page(page), rest_s=0.3)
    bench.show_page("sink")
    slider = bench.sink_panel.slider
    slider.setSliderDown(True)
    for gap_um in range(320, 400, 4):
        waits.do("move the gap slider", lambda gap_um=gap_um: slider.setValue(gap_um), rest_s=0.02)
    waits.do("let go of the slider", lambda: slider.setSliderDown(False), rest_s=1.0)
    for _ in range(10):
        waits.do("turn the view", lambda: (view.moves.turn(9, 3), view.moved()), rest_s=0.02)
    for name in ("below", "above", "iso", "fit", "fit_plate"):
        waits.do("looks", trigger[name])
    for height_mm in (8.0, 9.0, 10.0, 11.0):
        waits.do("section", lambda height_mm=height_mm: view.cut_at(height_mm), rest_s=0.3)
    waits.do("section", lambda: view.cut_at(None))
    for key in bench.colours.available:
        waits.do("colours", lambda key=key: bench.colours.choose(key))
    bench.colours.choose("angle")
    for name in bench.docks:
        waits.do("docks", lambda name=name: bench.show_help(name, True))
    for name in bench.docks:
        if name not in ("job", "inspector"):
            waits.do("docks", lambda name=name: bench.show_help(name, False), rest_s=0.1)
    waits.do("undo", trigger["undo"], rest_s=1.0)
    waits.do("redo", trigger["redo"], rest_s=1.0)
    job = session.job
    zones = replace(job, zone=replace(job.zone, layers=4))
    waits.do("ask for zones", lambda: bench.state.set(zones, "zones"), rest_s=1.0)
    waits.do("save", lambda: session.save(waits.folder / "job.underfin"))
    waits.do("export", lambda: session.builder.export(waits.folder / "out"), rest_s=1.0)
    waits.do("follow the build", trigger["follow_build"], rest_s=1.0)
    waits.do("heat colours", lambda: [bench.colours.choose(key) for key in bench.colours.available])
    turned = replace(session.job, pose=replace(session.job.pose, rotate_deg=(8.0, 0.0, 0.0)))
    waits.do("turn the part", lambda: bench.state.set(turned, "turn"), rest_s=1.5)
    waits.do("open a saved job", lambda: bench.open_file(waits.folder / "job.underfin"), rest_s=1.5)


def beside(waits: Waits) -> None:
    """What goes beside the main job, on the small part and on the invented build."""
    bench = waits.bench
    trigger = {k: a.trigger for k, a in bench.commands.actions.items()}
    waits.do("open", lambda: bench.open_file(ROOT / "sample_parts" / "sensor-bracket.stl"), rest_s=1.5)
    waits.do("propose sinks", trigger["propose"], rest_s=1.5)
    waits.do("compare orientations", lambda: orient_link(bench).panel.run(), rest_s=1.0)
    waits.do("open the demo", bench.open_demo, rest_s=1.5)
    waits.do("invent a build", bench.start_page.invented_wanted.emit, rest_s=2.0)
    for kind in (ImagesPanel, ScanPanel):
        panel = bench.docks["after"].findChild(kind)
        waits.do(f"{kind.__name__.removesuffix('Panel').lower()} compared", panel.run_button.click, rest_s=1.0)
    for key in ("colour_images", "colour_scan"):
        waits.do("after the build: colours", trigger[key])


def main(parts: list[str]) -> int:
    """Print the longest wait of every step, in ms."""
    for name in parts or [*PARTS, "beside"]:
        with tempfile.TemporaryDirectory() as folder:
            waits = Waits(Path(folder))
            try:
                beside(waits) if name == "beside" else main_job(waits, ROOT / "sample_parts" / name)
            finally:
                waits.close()
        for step, longest_ms in waits.longest_ms.items():
            print(f"{Path(name).stem}\t{step}\t{longest_ms:.1f}", flush=True)
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
