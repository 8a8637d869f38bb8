"""Looks for text that is cut off, for text over other text, and for controls without a name.

Run as a program (`-m tests.window.reading FONT LANGUAGE`) it opens a window of its own, so that a scale factor and a
font can be given from the start.
"""

import json
import sys
import tempfile
from pathlib import Path

from PySide6.QtCore import QEventLoop, QSettings, QTime
from PySide6.QtGui import QAccessible
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QAbstractSlider,
    QAbstractSpinBox,
    QApplication,
    QComboBox,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QProgressBar,
    QScrollBar,
    QTabWidget,
    QTextEdit,
    QToolButton,
    QWidget,
)

from app.workbench import PAGES, Workbench

CONTROLS = (
    QAbstractButton,
    QAbstractItemView,
    QAbstractSlider,
    QAbstractSpinBox,
    QComboBox,
    QLineEdit,
    QPlainTextEdit,
    QProgressBar,
    QTabWidget,
    QTextEdit,
)
SLACK_PX = 2
SAMPLE = Path(__file__).resolve().parents[2] / "sample_parts" / "sensor-bracket.stl"


def of_qt(widget: QWidget) -> bool:
    """Parts that Qt makes itself inside other widgets: scroll bars, the line of a spin box, the list of a combo box."""
    parent = widget.parentWidget()
    inside = isinstance(parent, QAbstractSpinBox | QComboBox) or "ComboBoxPrivateContainer" in str(type(parent))
    inside |= parent is not None and parent.metaObject().className() in ("QComboBoxPrivateContainer", "QDockWidget")
    return inside or isinstance(widget, QScrollBar) or widget.objectName().startswith("qt_")


def nameless(window: QWidget) -> list[str]:
    """Controls of which a screen reader could say nothing."""
    found = []
    for widget in window.findChildren(QWidget):
        if isinstance(widget, CONTROLS) and not of_qt(widget):
            spoken = QAccessible.queryAccessibleInterface(widget)
            if spoken is None or not spoken.text(QAccessible.Text.Name).strip():
                found.append(f"{type(widget).__name__} in {type(widget.parentWidget()).__name__} {widget.toolTip()}")
    return found


def cut_off(window: QWidget) -> list[str]:
    """Visible labels, buttons, fields and choices whose text needs more room than they have."""
    found = []
    for widget in window.findChildren(QWidget):
        if not widget.isVisible() or of_qt(widget):
            continue
        text, lacks = "", 0
        if isinstance(widget, QLabel) and widget.text():
            text = widget.text()
            if widget.wordWrap():
                lacks = widget.heightForWidth(widget.width()) - widget.height()
            else:
                lacks = max((widget.sizeHint() - widget.size()).width(), (widget.sizeHint() - widget.size()).height())
        elif isinstance(widget, QAbstractButton) and widget.text():
            text = widget.text()
            need = widget.fontMetrics().horizontalAdvance(text.replace("&", ""))
            icon = 0 if widget.icon().isNull() and not isinstance(widget, QToolButton) else widget.iconSize().width()
            lacks = max(need + icon - widget.width(), widget.fontMetrics().height() - widget.height())
        elif isinstance(widget, QAbstractSpinBox):
            line = widget.findChild(QLineEdit)
            text = widget.text()
            lacks = widget.fontMetrics().horizontalAdvance(text) - line.width() + 4
        elif isinstance(widget, QComboBox):
            text = widget.currentText()
            lacks = widget.fontMetrics().horizontalAdvance(text) + 24 - widget.width()
        if lacks > SLACK_PX:
            found.append(f"{type(widget).__name__} '{text[:60]}' lacks {lacks} px")
    return found


def overlapping(window: QWidget) -> list[str]:
    """Pairs of neighbours with text that lie over each other."""
    found = []
    for parent in window.findChildren(QWidget):
        kids = [
            kid
            for kid in parent.children()
            if isinstance(kid, QLabel | QAbstractButton | QAbstractSpinBox | QComboBox)
            and kid.isVisible()
            and not of_qt(kid)
        ]
        for i, one in enumerate(kids):
            for other in kids[i + 1 :]:
                common = one.geometry().intersected(other.geometry())
                if min(common.width(), common.height()) > SLACK_PX:
                    found.append(f"{type(one).__name__} over {type(other).__name__} in {type(parent).__name__}")
    return found


def faults_of_all_pages(bench: Workbench) -> list[str]:
    """Every page of the inspector and the pages of help in turn."""
    found = []
    for name in PAGES:
        bench.show_page(name)
        QApplication.processEvents()
        found += [f"{name}: {fault}" for fault in (*cut_off(bench.window), *overlapping(bench.window))]
        area = bench.pages.currentWidget()
        if area.widget().minimumSizeHint().width() > area.viewport().width():
            found.append(f"{name}: the page is wider than the room for it")
    bar = bench.pages.tabBar()
    if bar.sizeHint().width() > bar.width():
        found.append("the tabs are wider than the room for them")
    return found


def main(font_factor: float, language: str) -> None:
    """Open the bracket with two sinks at 1280 by 720, and print what is wrong as JSON."""
    from app import workbench
    from app.language import use_language
    from app.main_window import MainWindow, make_application
    from app.settings import Settings

    app = make_application([])
    use_language(app, language)
    font = app.font()
    font.setPointSizeF(font.pointSizeF() * font_factor)
    app.setFont(font)
    folder = Path(tempfile.mkdtemp())
    workbench.autosave_folder = lambda: folder  # type: ignore[assignment]
    window = MainWindow(Settings(QSettings(str(folder / "settings.ini"), QSettings.Format.IniFormat)))
    window.show()
    bench = window.fill()
    window.resize(1280, 720)
    app.processEvents()
    found = [f"start: {fault}" for fault in (*cut_off(window), *overlapping(window))]
    bench.open_file(SAMPLE)
    began = QTime.currentTime()
    while not bench.session.result_is_current and began.secsTo(QTime.currentTime()) < 200:
        if bench.session.patches and not bench.session.job.picks:
            bench.session.picker.pick_all()
        app.processEvents(QEventLoop.ProcessEventsFlag.WaitForMoreEvents, 50)
    found += faults_of_all_pages(bench)
    print(json.dumps({"built": bench.session.result_is_current, "scale": window.devicePixelRatioF(), "faults": found}))
    bench.state.mark_saved(folder / "a.underfin")
    window.close()


if __name__ == "__main__":
    main(float(sys.argv[1]), sys.argv[2])
