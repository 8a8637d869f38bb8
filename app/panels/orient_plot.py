"""All orientations as points over two chosen values; those that none beats are large and can be clicked."""

import numpy as np
from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.appearance import PICK, is_dark
from app.view.colour_scales import round_step
from core.units import FloatArray

REACH_PX = 12.0
LEFT, RIGHT, TOP = 52, 20, 8


class OrientPlot(QWidget):
    """Both axes begin at 0. The chosen one is drawn ringed; the part as it stands is a cross."""

    chosen = Signal(int)
    """Number of the point of the front that was clicked or reached by the arrow keys, from 0."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(self.tr("Orientations over two values"))
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setMouseTracking(True)
        self.setToolTip(self.tr("Large: none is better in everything. Small: all tried. Cross: as it stands now."))
        self._tried: FloatArray = np.zeros((0, 2))
        self._front: FloatArray = np.zeros((0, 2))
        self._now: FloatArray = np.zeros(2)
        self._titles = ("", "")
        self._current = -1

    def sizeHint(self) -> QSize:
        return QSize(280, 210)

    def show_values(self, tried: FloatArray, front: FloatArray, now: FloatArray, titles: tuple[str, str]) -> None:
        """tried: (n, 2). front: (m, 2). now: (2,). titles: of the axes, with unit."""
        self._tried, self._front, self._now, self._titles = tried, front, now, titles
        self.update()

    def show_current(self, number: int) -> None:
        """Ring one point of the front; -1 for none."""
        self._current = number
        self.update()

    def _frame(self) -> QRectF:
        foot = 2 * self.fontMetrics().height() + 8
        return QRectF(LEFT, TOP + self.fontMetrics().height(), self.width() - LEFT - RIGHT,
                      self.height() - TOP - self.fontMetrics().height() - foot)  # fmt: skip

    def _most(self) -> FloatArray:
        return np.maximum(np.vstack([self._front, self._tried, self._now[None]]).max(axis=0) * 1.04, 1e-6)

    def places_px(self, values: FloatArray) -> FloatArray:
        """(n, 2) pixels of values (n, 2)."""
        frame, share = self._frame(), values / self._most()
        return np.column_stack(
            [frame.left() + share[:, 0] * frame.width(), frame.bottom() - share[:, 1] * frame.height()]
        )

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        ink, soft = self.palette().windowText().color(), self.palette().mid().color()
        frame, line = self._frame(), self.fontMetrics().height()
        painter.fillRect(frame, self.palette().base())
        most = self._most()
        for axis in range(2):
            step = round_step(float(most[axis]), 4)
            for value in np.arange(0.0, most[axis], step):
                at = QPointF(*self.places_px(np.array([[value, 0.0] if axis == 0 else [0.0, value]]))[0])
                painter.setPen(QPen(soft, 0.6))
                painter.drawLine(at, QPointF(at.x(), frame.top()) if axis == 0 else QPointF(frame.right(), at.y()))
                painter.setPen(ink)
                text = f"{value:g}"
                if axis == 0:
                    box = QRectF(min(at.x() - 30, self.width() - 58.0), frame.bottom() + 2, 60, line)
                    painter.drawText(box, Qt.AlignmentFlag.AlignHCenter, text)
                else:
                    box = QRectF(0, at.y() - line / 2, LEFT - 5, line)
                    painter.drawText(box, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, text)
        painter.drawText(QRectF(4, 2, self.width() - 8, line), Qt.AlignmentFlag.AlignLeft, self._titles[1])
        painter.drawText(
            QRectF(LEFT, frame.bottom() + line + 3, frame.width(), line), Qt.AlignmentFlag.AlignRight, self._titles[0]
        )
        self._paint_points(painter, frame)
        if self.hasFocus():
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(self.palette().highlight().color(), 1, Qt.PenStyle.DotLine))
            painter.drawRect(QRectF(self.rect()).adjusted(0.5, 0.5, -1, -1))
        painter.end()

    def _paint_points(self, painter: QPainter, frame: QRectF) -> None:
        dark = is_dark(self.palette())
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor("#7d858d" if dark else "#b4b0a8"))
        for x, y in self.places_px(self._tried):
            painter.drawEllipse(QPointF(x, y), 1.3, 1.3)
        painter.setBrush(self.palette().highlight().color())
        painter.setPen(QPen(self.palette().base().color(), 1))
        front = self.places_px(self._front)
        for x, y in front:
            painter.drawEllipse(QPointF(x, y), 5, 5)
        ink = QPen(self.palette().windowText().color(), 2)
        x, y = self.places_px(self._now[None])[0]
        painter.setPen(ink)
        painter.drawLine(QPointF(x - 5, y - 5), QPointF(x + 5, y + 5))
        painter.drawLine(QPointF(x - 5, y + 5), QPointF(x + 5, y - 5))
        if 0 <= self._current < len(front):
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(QColor("#ff9a5c" if dark else PICK), 2.5))
            painter.drawEllipse(QPointF(*front[self._current]), 8, 8)

    def _near(self, at: QPointF) -> int:
        if not len(self._front):
            return -1
        away = np.linalg.norm(self.places_px(self._front) - [at.x(), at.y()], axis=1)
        return int(away.argmin()) if away.min() <= REACH_PX else -1

    def mousePressEvent(self, event: QMouseEvent) -> None:
        number = self._near(event.position())
        if number >= 0:
            self.chosen.emit(number)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        on = self._near(event.position()) >= 0
        self.setCursor(Qt.CursorShape.PointingHandCursor if on else Qt.CursorShape.ArrowCursor)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        ways = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}
        way = ways.get(Qt.Key(event.key()))
        if way is None or not len(self._front):
            super().keyPressEvent(event)
            return
        order = np.argsort(self._front[:, 0], kind="stable")
        at = int(np.flatnonzero(order == self._current)[0]) if self._current >= 0 else -1
        self.chosen.emit(int(order[min(max(at + way, 0), len(order) - 1)]))
