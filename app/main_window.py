"""The window itself: shown at once, filled a moment later, closed in order."""

import gc
import logging
import sys
from logging.handlers import RotatingFileHandler
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QStandardPaths, Qt, QTimer, Signal
from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent, QSurfaceFormat
from PySide6.QtOpenGLWidgets import QOpenGLWidget
from PySide6.QtWidgets import QApplication, QLabel, QMainWindow, QVBoxLayout, QWidget

from app.appearance import icon, use_look
from app.graphics import say_when_there_is_no_screen, screen_was_found, tell, why_no_view
from app.language import chosen_language, use_language
from app.settings import Settings
from app.warm_up import WarmUp

if TYPE_CHECKING:
    from app.workbench import Workbench

ENDINGS = (".stl", ".3mf", ".obj", ".ply", ".step", ".stp", ".underfin")


class MainWindow(QMainWindow):
    """A frame with a word in it until `fill` has loaded the rest; then the workbench does the work."""

    filled = Signal()

    def __init__(self, settings: Settings | None = None) -> None:
        super().__init__()
        self.settings = settings or Settings()
        self.workbench: Workbench | None = None
        self.setWindowTitle("Underfin")
        self.setAcceptDrops(True)
        self.resize(1280, 720)
        placeholder = QWidget(self)
        column = QVBoxLayout(placeholder)
        word = QLabel(self.tr("Underfin is starting…"), placeholder)
        word.setAlignment(Qt.AlignmentFlag.AlignCenter)
        column.addWidget(word)
        # The window must know from its first moment that it will hold a 3-D view, else it is made anew later.
        hint = QOpenGLWidget(placeholder)
        hint.setFixedSize(1, 1)
        self.setCentralWidget(placeholder)
        layout = self.settings.layout()
        if layout is not None:
            self.restoreGeometry(layout[0])

    def fill(self) -> "Workbench":
        """Load the 3-D library and build everything inside."""
        if self.workbench is None:
            from app.safe_keeping import keep_safe
            from app.workbench import Workbench  # takes a second, so it comes after the first paint

            self.workbench = Workbench(self)
            keep_safe(self.workbench)
            self.filled.emit()
        return self.workbench

    def open_file(self, path: Path) -> None:
        """Open a part or a job, as if asked for in the menu."""
        self.fill().open_file(path)

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        paths = [url.toLocalFile() for url in event.mimeData().urls()]
        if paths and all(path.lower().endswith(ENDINGS) for path in paths):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        """A file is opened; with Shift or Ctrl held it is put beside the parts of the job."""
        event.acceptProposedAction()
        paths = [Path(url.toLocalFile()) for url in event.mimeData().urls()]
        held = Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.ControlModifier
        add = bool(event.modifiers() & held)
        QTimer.singleShot(0, self, lambda: self.take_dropped(paths, add=add))

    def take_dropped(self, paths: list[Path], *, add: bool) -> None:
        """Open or add what was dropped."""
        from app.parts_link import take_dropped  # comes with the workbench

        take_dropped(self.fill(), paths, add=add)

    def closeEvent(self, event: QCloseEvent) -> None:
        if self.workbench is not None:
            if not self.workbench.may_discard():
                event.ignore()
                return
            self.workbench.close()
            self.settings.set_layout(self.saveGeometry(), self.saveState())
        super().closeEvent(event)


def prepare_graphics() -> None:
    """Ask for the OpenGL that the 3-D view needs; must come before the first window (on Wayland above all)."""
    wanted = QSurfaceFormat()
    wanted.setRenderableType(QSurfaceFormat.RenderableType.OpenGL)
    wanted.setProfile(QSurfaceFormat.OpenGLContextProfile.CoreProfile)
    wanted.setVersion(3, 2)
    wanted.setSwapBehavior(QSurfaceFormat.SwapBehavior.DoubleBuffer)
    for set_bits in (
        wanted.setRedBufferSize,
        wanted.setGreenBufferSize,
        wanted.setBlueBufferSize,
        wanted.setDepthBufferSize,
        wanted.setAlphaBufferSize,
    ):
        set_bits(8)
    wanted.setStencilBufferSize(0)
    wanted.setSamples(0)
    QSurfaceFormat.setDefaultFormat(wanted)


def log_folder() -> Path:
    """Where the log goes."""
    return Path(QStandardPaths.writableLocation(QStandardPaths.StandardLocation.AppLocalDataLocation)) / "log"


def _start_log() -> None:
    try:
        log_folder().mkdir(parents=True, exist_ok=True)
        handler = RotatingFileHandler(log_folder() / "underfin.log", maxBytes=500_000, backupCount=2, encoding="utf-8")
    except OSError:
        return
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(name)s: %(message)s"))
    logging.getLogger().addHandler(handler)
    logging.getLogger("underfin").setLevel(logging.INFO)


def make_application(argv: list[str]) -> QApplication:
    """The one QApplication with name, icon and look."""
    prepare_graphics()
    app = QApplication([sys.argv[0], *argv])
    app.setApplicationName("Underfin")
    app.setOrganizationName("Underfin")
    app.setApplicationDisplayName("Underfin")
    use_language(app, chosen_language(Settings().language()))
    use_look(Settings().look())
    app.setWindowIcon(icon("underfin"))
    return app


def spare_what_stays() -> None:
    """Leave what is loaded for good out of the search for garbage, and search all the rest rarely.

    Else it halts all threads for 0.1 s, again and again while libraries load.
    """
    gc.freeze()
    gc.set_threshold(10_000, 10, 100)


def run(argv: list[str]) -> int:
    """Open the window; argv may hold a part or a job to open. Returns the exit code."""
    say_when_there_is_no_screen()
    app = make_application(argv)
    screen_was_found()
    _start_log()
    refusal = why_no_view()
    if refusal:
        tell(refusal)
        return 2
    window = MainWindow()
    window.show()
    files = [Path(text) for text in argv if not text.startswith("-")]

    def load() -> None:
        try:
            bench = window.fill()
        except Exception:
            logging.getLogger("underfin").exception("the window could not be filled")
            tell(f"Underfin failed to start by a fault of its own; details in '{log_folder()}'.")
            app.exit(1)
            return
        spare_what_stays()
        bench.session.builder.loaded.connect(spare_what_stays)
        warm_up = WarmUp(window.settings, bench.background.readiness, window)
        warm_up.said.connect(bench.message_bar.say)
        warm_up.start_if_needed()
        if files:
            window.open_file(files[0])

    QTimer.singleShot(0, window, load)
    code = app.exec()
    for warm_up in window.findChildren(WarmUp):
        warm_up.close()
    return code
