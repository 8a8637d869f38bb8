"""The panels around the view: job tree, the five pages of the inspector, and the pages of help."""

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import QDockWidget, QMainWindow, QScrollArea, QSizePolicy, QTabWidget, QVBoxLayout, QWidget

from app.after_build_link import make_after_panels
from app.library_link import library_link
from app.orient_link import orient_link
from app.panels.coupon_panel import CouponPanel
from app.panels.handbook_panel import HandbookPanel
from app.panels.keys_panel import KeysPanel
from app.panels.limits_panel import LimitsPanel
from app.panels.trial_panel import TrialPanel
from app.parts_link import make_parts_panel

if TYPE_CHECKING:
    from app.workbench import Workbench

TREE_PX, INSPECTOR_PX = 310, 344
HELP = ("limits", "keys", "handbook", "parts", "trials", "after", "orient", "library")
"""Docks that are closed at first and come with their own command."""


def make_pages(titles: list[str], panels: tuple[QWidget, ...]) -> QTabWidget:
    """The inspector: a page a panel, scrolled where it is higher than the window."""
    pages = QTabWidget()
    pages.setDocumentMode(True)
    pages.setUsesScrollButtons(False)  # wide enough for all tabs, in German too
    for title, panel in zip(titles, panels, strict=True):
        area = QScrollArea()
        area.setWidgetResizable(True)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setFrameShape(QScrollArea.Shape.NoFrame)
        panel.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)  # scrolled, never squeezed
        area.setWidget(panel)
        area.setMinimumWidth(panel.minimumSizeHint().width() + area.verticalScrollBar().sizeHint().width())
        pages.addTab(area, title)
    return pages


def make_docks(bench: "Workbench") -> dict[str, QDockWidget]:
    """All docks by name, at their first places; they can be moved, floated and closed."""
    bench.limits, bench.keys = LimitsPanel(), KeysPanel()
    job = QWidget()
    column = QVBoxLayout(job)
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(0)
    column.addWidget(bench.tree, 1)
    column.addWidget(bench.pick_rule)
    docks: dict[str, QDockWidget] = {}
    for name, title, widget in (
        ("job", bench.tr("Job"), job),
        ("inspector", bench.tr("Inspector"), bench.pages),
        ("limits", bench.tr("About the limits"), bench.limits),
        ("keys", bench.tr("Keys and mouse"), bench.keys),
        ("handbook", bench.tr("Handbook"), HandbookPanel()),
        ("parts", bench.tr("Parts on the plate"), _scrolled(make_parts_panel(bench))),
        ("trials", bench.tr("Coupon and trials"), _trials(bench)),
        ("after", bench.tr("After the build"), _after(bench)),
        ("orient", bench.tr("Orientation study"), _orient(bench)),
        ("library", bench.tr("Materials and machines"), _scrolled(library_link(bench).panel)),
    ):
        dock = QDockWidget(title, bench.window)
        dock.setObjectName(f"dock_{name}")
        dock.setWidget(widget)
        docks[name] = dock
        bench.window.addDockWidget(_side(name), dock)
    for name in HELP:
        docks[name].hide()
        docks[name].visibilityChanged.connect(partial(_make_room, bench.window, docks, name))
    _widen(bench.window, docks)
    return docks


def _make_room(window: QMainWindow, docks: dict[str, QDockWidget], shown: str, visible: bool) -> None:
    """One of them at a time beside the job tree; those that float or stand elsewhere stay open."""
    side = window.dockWidgetArea(docks[shown])
    if not visible or docks[shown].isFloating():
        return
    for name in HELP:
        other = docks[name]
        if name != shown and not other.isFloating() and window.dockWidgetArea(other) == side:
            other.hide()


def _trials(bench: "Workbench") -> QScrollArea:
    """What to try above, what came out below; scrolled where it is higher than the dock."""
    page = QWidget()
    column = QVBoxLayout(page)
    for panel in (CouponPanel(bench.session, bench.background), TrialPanel(bench.session, bench.background)):
        panel.said.connect(lambda *words: bench.message_bar.say(*words))
        column.addWidget(panel)
    column.addStretch(1)
    return _scrolled(page)


def _after(bench: "Workbench") -> QScrollArea:
    """What was measured of the built part, compared with the job."""
    page = QWidget()
    column = QVBoxLayout(page)
    for panel in make_after_panels(bench):
        panel.said.connect(lambda *words: bench.message_bar.say(*words))
        column.addWidget(panel)
    column.addStretch(1)
    return _scrolled(page)


def _orient(bench: "Workbench") -> QScrollArea:
    """How the part could stand."""
    page, panel = QWidget(), orient_link(bench).panel
    panel.said.connect(lambda *words: bench.message_bar.say(*words))
    column = QVBoxLayout(page)
    column.addWidget(panel)
    column.addStretch(1)
    return _scrolled(page)


def _scrolled(page: QWidget) -> QScrollArea:
    area = QScrollArea()
    area.setWidgetResizable(True)
    area.setFrameShape(QScrollArea.Shape.NoFrame)
    area.setWidget(page)
    return area


def place_docks(window: QMainWindow, docks: dict[str, QDockWidget]) -> None:
    """Put every dock back to its first place with its first width; the pages of help are closed."""
    for name, dock in docks.items():
        dock.setFloating(False)
        window.addDockWidget(_side(name), dock)
        dock.setVisible(name not in HELP)
    QTimer.singleShot(0, window, lambda: _widen(window, docks))  # when all have their places


def _side(name: str) -> Qt.DockWidgetArea:
    return Qt.DockWidgetArea.RightDockWidgetArea if name == "inspector" else Qt.DockWidgetArea.LeftDockWidgetArea


def _widen(window: QMainWindow, docks: dict[str, QDockWidget]) -> None:
    window.resizeDocks([docks["job"], docks["inspector"]], [TREE_PX, INSPECTOR_PX], Qt.Orientation.Horizontal)
