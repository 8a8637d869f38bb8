"""After the build in the window, on the invented build: open, compare images, scan, colours, report, out of date."""

from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from app.after_build_report import AfterBuildReport
from app.panels.after_build_panel import AfterBuildPanel
from app.panels.images_panel import ImagesPanel
from app.panels.scan_panel import ScanPanel
from app.workbench import Workbench


@pytest.mark.slow
def test_the_invented_build_from_the_start_page_to_the_report(
    bench: Workbench, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The script plants: patch 1 without a sink swells by 0.06 mm, at its edge 0.24 mm more, patch 2 by 0.02 mm."""
    titles: list[str] = []

    def asked(*words: Any) -> Path:
        titles.append(words[2])
        return tmp_path / "out"

    def wait(condition: Any) -> None:
        qtbot.waitUntil(condition, timeout=300_000)

    monkeypatch.setattr("app.messages.ask_export_folder", asked)
    monkeypatch.setattr("app.after_build_report.kept_trial", lambda job: (None, ""))
    assert bench.start_page.invented_button.isVisible()
    bench.start_page.invented_button.click()
    wait(lambda: bench.session.part is not None and bench.docks["after"].isVisible())
    (sign,) = (label for label in bench.window.statusBar().findChildren(QLabel) if label.text() == "Invented build")
    assert sign.isVisible() and "nvented" in bench.message_bar.text.text()
    images, scan, report = (
        bench.docks["after"].findChild(kind) for kind in (ImagesPanel, ScanPanel, AfterBuildPanel)
    )
    wait(lambda: bench.session.result_is_current)
    assert not report.button.isEnabled() and "first" in report.words.text()
    bench.commands["report_after"].trigger()
    assert bench.message_bar.text.text() == report.words.text() and not titles

    scan.run_button.click()
    wait(lambda: bench.scan.is_current and not bench.scan.running)
    images.run_button.click()
    wait(lambda: bench.images.is_current and not bench.images.running)
    for name, ends in (("colour_images", (-3.0, 6.0)), ("colour_scan", (-200.0, 200.0))):
        bench.commands[name].trigger()
        assert bench.view.scale.ends == ends
    assert report.words.text() == "Goes into it: scan, layer images." and report.button.isEnabled()

    with qtbot.waitSignal(bench.findChild(AfterBuildReport).exported, timeout=120_000):
        report.button.click()
    assert titles == ["Write the report after the build to a folder"]
    text = " ".join(
        page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(tmp_path / "out" / "report.pdf")
    )
    text = " ".join(text.split())
    assert "Invented build: nothing in it was measured on a machine." in text
    edges = [p.lowest_edge_mm for p in bench.scan.result.comparison.patches]
    assert edges == pytest.approx([0.02, 0.25], abs=0.01)
    assert f"swelled {1e3 * edges[1]:.0f} µm at its lowest edge; patch 2 with one {1e3 * edges[0]:.0f} µm" in text

    bench.session.builder.at_once = False
    bench.commands["clear_picks"].trigger()
    assert not report.button.isEnabled() and sign.isVisible()
