"""The image of one layer with the outline of the part's slice, as large as the panel is wide."""

import numpy as np
from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QImage, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from core.units import IntArray

HEIGHT_PX = 210


class LayerPicture(QWidget):
    """Nothing, a picture, or a sentence why there is none; without colour while it is out of date."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._image: QImage | None = None
        self._grey: QImage | None = None
        self.words = ""
        self.setAccessibleName(name)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    @property
    def image(self) -> QImage | None:
        return self._image

    def sizeHint(self) -> QSize:
        return QSize(200, HEIGHT_PX)

    def show_image(self, rgb: IntArray) -> None:
        """rgb: (rows, columns, 3) uint8."""
        rows, columns, _ = rgb.shape
        data = np.ascontiguousarray(rgb).tobytes()
        self._image = QImage(data, columns, rows, 3 * columns, QImage.Format.Format_RGB888).copy()
        self._grey = self._image.convertToFormat(QImage.Format.Format_Grayscale8)
        self.words = ""
        self.update()

    def show_words(self, words: str) -> None:
        """A sentence in place of a picture."""
        self._image, self._grey, self.words = None, None, words
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        image = self._image if self.isEnabled() else self._grey
        if image is None:
            painter.drawText(self.rect(), Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap, self.words)
        else:
            size = image.size().scaled(self.size(), Qt.AspectRatioMode.KeepAspectRatio)
            place = QRectF(0, (self.height() - size.height()) / 2, size.width(), size.height())
            place.moveLeft((self.width() - size.width()) / 2)
            painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
            painter.setOpacity(1.0 if self.isEnabled() else 0.4)
            painter.drawImage(place, image)
        painter.end()
