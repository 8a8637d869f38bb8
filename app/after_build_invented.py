"""Opens an invented build, to try what comes after one; as long as it is open, the window says that it is invented."""

import importlib.util
import shutil
import tempfile
import weakref
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QLabel

from app.after_build_report import AfterBuildReport
from app.panels.images_panel import ImagesPanel
from app.panels.scan_panel import ScanPanel
from app.panels.start_page import inventing_script
from core.progress import GoesOn, report

if TYPE_CHECKING:
    from app.workbench import Workbench

JOB, IMAGES, POINTS, SCAN = "demo.underfin", "images", "image-points.csv", "scan.stl"
"""What the script writes."""


class InventedBuild(QObject):
    """Written to a private folder that goes when the window does."""

    def __init__(
        self, bench: "Workbench", images: ImagesPanel, scan: ScanPanel, into_report: AfterBuildReport
    ) -> None:
        super().__init__(bench)
        self._bench, self._images, self._scan, self._report = bench, images, scan, into_report
        self._folder: Path | None = None
        self._layer_mm = 0.0
        self.words = self.tr("Invented build: nothing in it was measured on a machine.")
        self.sign = QLabel(self.tr("Invented build"), bench.window)
        self.sign.setToolTip(self.words)
        self.sign.setContentsMargins(8, 0, 8, 0)
        font = self.sign.font()
        font.setBold(True)
        self.sign.setFont(font)
        self.sign.hide()
        bench.window.statusBar().insertPermanentWidget(0, self.sign)
        bench.start_page.invented_wanted.connect(self.open)
        bench.session.opened.connect(self._opened)
        bench.state.changed.connect(self._show)

    def open(self) -> None:
        """Invent the build in the background, then open its job."""
        script = inventing_script()
        if script is None or not self._bench.files.may_discard():
            return
        folder = Path(tempfile.mkdtemp(prefix="underfin-invented-"))
        weakref.finalize(self, shutil.rmtree, folder, ignore_errors=True)

        def work(goes_on: GoesOn) -> tuple[Path, float]:
            report(goes_on, 0.05)
            making = _loaded(script)
            report(goes_on, 0.1)
            making.make_demo_build(folder)
            return folder, float(making.LAYER_MM)

        self._bench.start_page.invented_button.setEnabled(False)
        self._bench.background.start(
            "invented build",
            self.tr("Inventing a build"),
            work,
            done=self._made,
            refused=self._refused,
            failed=self._bench.session.tell_failure,
            ended=self._ended,
        )

    def _made(self, answer: tuple[Path, float]) -> None:
        self._folder, self._layer_mm = answer
        self._bench.session.open(self._folder / JOB)

    def _refused(self, text: str) -> None:
        self._bench.message_bar.say("stop", text)

    def _ended(self, work: object) -> None:
        self._bench.start_page.invented_button.setEnabled(True)

    def _opened(self, path: str) -> None:
        """Fill in the paths, so that one click compares."""
        if self._folder is None or Path(path) != self._folder / JOB:
            return
        self._images.images.show_path(self._folder / IMAGES)
        self._images.points.show_path(self._folder / POINTS)
        self._images.fields["layer_mm"].setValue(self._layer_mm)
        self._scan.mesh.show_path(self._folder / SCAN)
        self._bench.show_help("after", True)
        self._bench.docks["after"].raise_()
        self._bench.message_bar.say("note", self.words)

    def _show(self) -> None:
        part = Path(self._bench.state.job.part_file)
        invented = self._folder is not None and part.parent == self._folder
        self.sign.setVisible(invented)
        self._report.remark = self.words if invented else ""


def _loaded(script: Path) -> Any:
    """The script as a module; it is no part of the installed program."""
    spec = importlib.util.spec_from_file_location(script.stem, script)
    if spec is None or spec.loader is None:
        raise ImportError(f"{script} can't be loaded")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module
