"""The drawing of trials as the export writes it, in the colours of the window."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QByteArray, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtSvg import QSvgRenderer
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.appearance import is_dark, palette_of

if TYPE_CHECKING:
    from core.run_trial import TrialStudy

WIDE_IN, LETTERS_PT = 3.4, 9.0
WIDEST_PX = 620
"""The drawing is made for a narrow dock; larger than this its letters would shout."""


def drawings_of(study: "TrialStudy") -> tuple[bytes, bytes]:
    """SVG for a light and for a dark window; takes about a second, so it is done in the background."""
    from core.export.trial_drawing import Look, trial_drawing  # loads what the first picture doesn't wait for

    drawn = [
        trial_drawing(
            study.log,
            study.fit,
            study.curves,
            Look(
                wide_in=WIDE_IN,
                letters_pt=LETTERS_PT,
                ink=palette.windowText().color().name(),
                paper=palette.window().color().name(),
                colours=colours,
            ),
        )[1]
        for palette, colours in ((palette_of(dark=False), (0.0, 0.68)), (palette_of(dark=True), (0.45, 1.0)))
    ]
    return drawn[0], drawn[1]


class TrialPlot(QWidget):
    """Shows one drawing as wide as there is room; takes no room while there is none."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._light, self._dark = QSvgRenderer(self), QSvgRenderer(self)
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.setAccessibleName(self.tr("Plot of the trials"))
        self.hide()

    def show_drawings(self, light: bytes, dark: bytes, words: str) -> None:
        """SVG for a light and for a dark window; words: what they show, for those who don't see them."""
        for renderer, svg in ((self._light, light), (self._dark, dark)):
            renderer.load(QByteArray(svg))
            renderer.setAspectRatioMode(Qt.AspectRatioMode.KeepAspectRatio)
        self.setAccessibleDescription(words)
        self.show()
        self.updateGeometry()
        self.update()

    def heightForWidth(self, width: int) -> int:
        size = self._light.defaultSize()
        return round(min(width, WIDEST_PX) * size.height() / size.width()) if size.width() > 0 else 0

    def sizeHint(self) -> QSize:
        return QSize(300, self.heightForWidth(300))

    def minimumSizeHint(self) -> QSize:
        return QSize(200, self.heightForWidth(200))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        wide = min(self.width(), WIDEST_PX)
        renderer = self._dark if is_dark(self.palette()) else self._light
        renderer.render(painter, QRectF(0, 0, wide, self.heightForWidth(wide)))
        painter.end()
