"""Colours of the window, light and dark, and the icons drawn in them."""

from pathlib import Path

from PySide6.QtCore import QByteArray, QSize, Qt
from PySide6.QtGui import QColor, QGuiApplication, QIcon, QPainter, QPalette, QPixmap, QPixmapCache
from PySide6.QtSvg import QSvgRenderer
from PySide6.QtWidgets import QApplication

PART = "#d2cabc"
SINK = "#1b7f79"
SINK_EDGE = "#0c3f3c"
ZONE = "#7a4fb0"
ZONE_EDGE = "#4a2a78"
PLATE = "#5b6b7a"
STALE = "#9a9a96"
STALE_EDGE = "#6c6c69"
PICK = "#e4570c"
"""Outline of the picked faces: far from every colour of the angle scale, with and without full colour vision."""
TAKEN_OUT = "#8fd0f5"
"""Faces that a stroke takes out of the picked ones."""
PART_CUT, SINK_CUT = "#a89f8d", "#0f5b57"
"""Faces of a section through part and sinks."""
WAY = "#7b2d8b"
"""The way by which a sink comes off."""

ICON_FOLDER = Path(__file__).parent / "icons"
LEVEL_COLOURS = {"stop": "#c0321f", "note": "#b07908", "ok": "#2f7d4f"}

_LIGHT = {
    QPalette.ColorRole.Window: "#f1efeb",
    QPalette.ColorRole.WindowText: "#23272b",
    QPalette.ColorRole.Base: "#ffffff",
    QPalette.ColorRole.AlternateBase: "#f7f6f3",
    QPalette.ColorRole.Text: "#23272b",
    QPalette.ColorRole.Button: "#e7e4de",
    QPalette.ColorRole.ButtonText: "#23272b",
    QPalette.ColorRole.BrightText: "#ffffff",
    QPalette.ColorRole.Highlight: SINK,
    QPalette.ColorRole.HighlightedText: "#ffffff",
    QPalette.ColorRole.ToolTipBase: "#fffdf7",
    QPalette.ColorRole.ToolTipText: "#23272b",
    QPalette.ColorRole.PlaceholderText: "#63686c",
    QPalette.ColorRole.Link: "#14655f",
    QPalette.ColorRole.Mid: "#bdb9b1",
    QPalette.ColorRole.Midlight: "#dad6ce",
    QPalette.ColorRole.Dark: "#8d8a84",
    QPalette.ColorRole.Light: "#ffffff",
    QPalette.ColorRole.Shadow: "#55534f",
}
_DARK = {
    QPalette.ColorRole.Window: "#2b3036",
    QPalette.ColorRole.WindowText: "#e6e4df",
    QPalette.ColorRole.Base: "#1e2226",
    QPalette.ColorRole.AlternateBase: "#23282d",
    QPalette.ColorRole.Text: "#e6e4df",
    QPalette.ColorRole.Button: "#3b424a",
    QPalette.ColorRole.ButtonText: "#e6e4df",
    QPalette.ColorRole.BrightText: "#ffffff",
    QPalette.ColorRole.Highlight: "#2a9d95",
    QPalette.ColorRole.HighlightedText: "#0d1413",
    QPalette.ColorRole.ToolTipBase: "#343a40",
    QPalette.ColorRole.ToolTipText: "#e6e4df",
    QPalette.ColorRole.PlaceholderText: "#a6acb1",
    QPalette.ColorRole.Link: "#5cc7bf",
    QPalette.ColorRole.Mid: "#4a5057",
    QPalette.ColorRole.Midlight: "#3d4349",
    QPalette.ColorRole.Dark: "#15181a",
    QPalette.ColorRole.Light: "#4b525a",
    QPalette.ColorRole.Shadow: "#000000",
}


def palette_of(*, dark: bool) -> QPalette:
    """The whole palette for one look."""
    palette = QPalette()
    for role, colour in (_DARK if dark else _LIGHT).items():
        palette.setColor(role, QColor(colour))
    for role in (QPalette.ColorRole.WindowText, QPalette.ColorRole.Text, QPalette.ColorRole.ButtonText):
        palette.setColor(QPalette.ColorGroup.Disabled, role, QColor("#757b80" if dark else "#96948f"))
    palette.setColor(
        QPalette.ColorGroup.Disabled, QPalette.ColorRole.Highlight, QColor("#4a5057" if dark else "#bdb9b1")
    )
    return palette


def use_look(look: str) -> None:
    """Set 'light', 'dark' or 'system' for the whole program; 'system' follows what the desktop answers."""
    QApplication.setStyle("Fusion")
    system_dark = QGuiApplication.styleHints().colorScheme() == Qt.ColorScheme.Dark
    dark = look == "dark" or (look == "system" and system_dark)
    QApplication.setPalette(palette_of(dark=dark))
    app = QApplication.instance()
    if isinstance(app, QApplication):
        app.setStyleSheet(_dark_sheet() if dark else "")


def _dark_sheet() -> str:
    """Boxes to tick and buttons of docks, which the style draws too dark to be seen on dark ground."""
    tick, close, free = (f"url({(ICON_FOLDER / f'{name}-dark.svg').as_posix()})" for name in ("tick", "close", "float"))
    return (
        "QCheckBox::indicator, QTreeView::indicator {"
        " width: 12px; height: 12px; border: 1px solid #8d949b; border-radius: 2px; background: #1e2226 }"
        f"QCheckBox::indicator:checked, QTreeView::indicator:checked {{ image: {tick} }}"
        "QCheckBox::indicator:disabled { border-color: #596067 }"
        "QCheckBox::indicator:focus { border-color: #2a9d95 }"
        f"QDockWidget {{ titlebar-close-icon: {close}; titlebar-normal-icon: {free} }}"
    )


def is_dark(palette: QPalette) -> bool:
    """True when text is lighter than its ground."""
    return palette.color(QPalette.ColorRole.Window).lightness() < 128


def view_ground(palette: QPalette) -> tuple[str, str]:
    """Colours of the view's ground, below and above."""
    return ("#23272c", "#343a42") if is_dark(palette) else ("#dcdad5", "#f6f5f2")


def plate_colours(palette: QPalette) -> tuple[str, str]:
    """Slate tints of the plate's ground and its grid."""
    return ("#39434c", "#56626e") if is_dark(palette) else ("#c3c9cd", "#a3adb5")


def level_colour(level: str, palette: QPalette) -> QColor:
    """Colour of a finding's level; the word and the shape of the icon say it too."""
    colour = QColor(LEVEL_COLOURS[level])
    return colour.lighter(150) if is_dark(palette) else colour


def icon(name: str, colour: QColor | None = None) -> QIcon:
    """One of our line icons in the text colour; greyed when its action can't be used."""
    palette = QGuiApplication.palette()
    normal = colour or palette.color(QPalette.ColorRole.ButtonText)
    grey = palette.color(QPalette.ColorGroup.Disabled, QPalette.ColorRole.ButtonText)
    made = QIcon()
    for mode, ink in ((QIcon.Mode.Normal, normal), (QIcon.Mode.Disabled, grey)):
        for size in (16, 20, 32, 48):
            made.addPixmap(_drawn(name, ink.name(), size), mode)
    return made


def _drawn(name: str, ink: str, size: int) -> QPixmap:
    """Drawn once for every colour and size: the window asks for the same icons at every change."""
    key = f"{name} {ink} {size}"
    known = QPixmap()
    if QPixmapCache.find(key, known):
        return known
    text = (ICON_FOLDER / f"{name}.svg").read_text(encoding="utf-8").replace("currentColor", ink)
    pixmap = QPixmap(QSize(size, size))
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    QSvgRenderer(QByteArray(text.encode())).render(painter)
    painter.end()
    QPixmapCache.insert(key, pixmap)
    return pixmap
