"""The dock "After the build": report, layer images and scan, wired to the workbench."""

from typing import TYPE_CHECKING

from app.after_build_invented import InventedBuild
from app.after_build_report import AfterBuildReport, ask_for_report
from app.images_link import make_images_panel
from app.panels.after_build_panel import AfterBuildPanel
from app.panels.images_panel import ImagesPanel
from app.panels.scan_panel import ScanPanel
from app.scan_link import make_scan_panel

if TYPE_CHECKING:
    from app.workbench import Workbench


def make_after_panels(bench: "Workbench") -> tuple[AfterBuildPanel | ImagesPanel | ScanPanel, ...]:
    """The report's panel first, as its button must be seen; the report is a child of the workbench."""
    images, scan = make_images_panel(bench), make_scan_panel(bench)
    report = AfterBuildReport(bench.session, bench.background, bench.heat, bench.images, bench.scan, bench)
    panel = AfterBuildPanel(report)
    panel.wanted.connect(lambda: ask_for_report(bench))
    report.exported.connect(lambda *words: bench.files.tell_exported(*words))
    report.failed.connect(bench.session.tell_failure)
    InventedBuild(bench, images, scan, report)
    return panel, images, scan
