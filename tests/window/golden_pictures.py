"""Pictures of the window on the sample bracket, page by page, light and dark, small enough to be kept.

Run as a program (`python tests/window/golden_pictures.py`, on a screen) it renews those in tests/golden.
"""

import os
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from PySide6.QtCore import QElapsedTimer, Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication

ROOT = Path(__file__).resolve().parents[2]
if __name__ == "__main__":
    sys.path[:0] = [str(ROOT)]

from app.appearance import use_look  # noqa: E402
from app.docks import HELP  # noqa: E402
from app.workbench import PAGES, Workbench  # noqa: E402
from core.units import FloatArray  # noqa: E402

GOLDEN = ROOT / "tests" / "golden"
LOOKS = ("light", "dark")
WIDE, HIGH = 480, 270


def settle(ms: int) -> None:
    """Let the window work for a while."""
    timer = QElapsedTimer()
    timer.start()
    while timer.elapsed() < ms:
        QApplication.processEvents()


def pictures(bench: Workbench) -> Iterator[tuple[str, QImage]]:
    """Name and picture of every page and dock in both looks; the bracket is open and its sinks are built."""
    for look in LOOKS:
        use_look(look)
        for page in PAGES:
            bench.show_page(page)
            bench.view.fit()
            yield f"{page}-{look}", _picture(bench)
        bench.show_page(PAGES[0])
        for dock in HELP:
            bench.show_help(dock, True)
            yield f"dock-{dock}-{look}", _picture(bench)
            bench.show_help(dock, False)
    use_look("light")


def _picture(bench: Workbench) -> QImage:
    settle(400)
    whole = bench.window.grab().toImage().convertToFormat(QImage.Format.Format_RGB888)
    smooth = Qt.TransformationMode.SmoothTransformation
    return whole.scaled(WIDE, HIGH, Qt.AspectRatioMode.IgnoreAspectRatio, smooth)


def levels(picture: QImage) -> FloatArray:
    """(HIGH, WIDE, 3) grey levels of red, green and blue, 0 to 255."""
    plain = picture.convertToFormat(QImage.Format.Format_RGB888)
    rows = np.frombuffer(plain.constBits(), dtype=np.uint8).reshape(HIGH, plain.bytesPerLine())
    return rows[:, : 3 * WIDE].reshape(HIGH, WIDE, 3).astype(float)


def _renew() -> None:
    import tempfile

    from PySide6.QtCore import QSettings

    from app.main_window import MainWindow, prepare_graphics
    from app.settings import Settings

    prepare_graphics()
    application = QApplication.instance() or QApplication(sys.argv[:1])
    GOLDEN.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        os.environ["XDG_DATA_HOME"] = folder
        use_look("light")
        window = MainWindow(Settings(QSettings(f"{folder}/s.ini", QSettings.Format.IniFormat)))
        window.show()
        bench = window.fill()
        open_and_build(bench)
        for name, picture in pictures(bench):
            picture.save(str(GOLDEN / f"{name}.png"))
            print(name)
        bench.state.mark_saved(Path(folder) / "a.underfin")
        window.close()
    del application


def open_and_build(bench: Workbench) -> None:
    """The bracket with sinks under both patches, and all that follows by itself done."""
    bench.open_file(ROOT / "sample_parts" / "sensor-bracket.stl")
    while not bench.session.patches:
        settle(50)
    bench.session.picker.pick_all()
    while not bench.session.result_is_current or bench.background.busy():
        settle(50)
    settle(1500)


if __name__ == "__main__":
    _renew()
