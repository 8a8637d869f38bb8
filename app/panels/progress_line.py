"""What runs in the background, shown in the status bar: title, share done, elapsed and remaining time, Stop."""

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QHBoxLayout, QLabel, QProgressBar, QPushButton, QWidget

from app.background import Work

SHOW_AFTER_MS = 250
REMAINING_FROM_S = 3.0
"""Sooner than this, the pace says little about the time that is left."""


class ProgressLine(QWidget):
    """Appears when work takes longer than a moment, so that short work doesn't flicker."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 4, 0)
        self._title, self._elapsed = QLabel(self), QLabel(self)
        self._bar = QProgressBar(self)
        self._bar.setRange(0, 1000)
        self._bar.setFixedWidth(130)
        self._bar.setTextVisible(False)
        self.stop_button = QPushButton(self.tr("Stop"), self)
        self.stop_button.clicked.connect(self._stop)
        for widget in (self._title, self._bar, self._elapsed, self.stop_button):
            row.addWidget(widget)
        self._works: list[Work] = []
        self._share = 0.0
        self._show_timer = QTimer(self, interval=SHOW_AFTER_MS, singleShot=True)
        self._show_timer.timeout.connect(self.show)
        self._clock = QTimer(self, interval=200)
        self._clock.timeout.connect(self._tick)
        self.hide()

    def watch(self, work: Work) -> None:
        """Show this work until it ends; the latest wins."""
        self._works.append(work)
        work.progress.connect(self._progress)
        work.ended.connect(self._ended)
        self._title.setText(work.title)
        self._bar.setValue(0)
        self._share = 0.0
        self.stop_button.setEnabled(True)
        self._tick()
        self._clock.start()
        if not self.isVisible():
            self._show_timer.start()

    def _progress(self, share: float) -> None:
        if self._works and self.sender() is self._works[-1]:
            self._share = share
            self._bar.setValue(round(1000 * share))

    def _tick(self) -> None:
        if self._works:
            elapsed_s = self._works[-1].elapsed_s
            text = f"{elapsed_s:.0f} s"
            if elapsed_s > REMAINING_FROM_S and self._share > 0.02:
                left = _rough_time(elapsed_s * (1.0 - self._share) / self._share)
                text = self.tr("{0}, about {1} left").format(text, left)
            self._elapsed.setText(text)

    def _stop(self) -> None:
        for work in self._works:
            work.stop()
        self.stop_button.setEnabled(False)
        self._title.setText(self.tr("Stopping…"))

    def close_down(self) -> None:
        """Stop the timers; the window is closing."""
        self._works.clear()
        self._show_timer.stop()
        self._clock.stop()

    def _ended(self, work: Work) -> None:
        self._works = [other for other in self._works if other is not work]
        if not self._works:
            self._show_timer.stop()
            self._clock.stop()
            self.hide()
        else:
            self._title.setText(self._works[-1].title)


def _rough_time(seconds: float) -> str:
    """A time as exact as a guess may be."""
    if seconds < 90:
        return f"{max(5.0, 5 * round(seconds / 5)):.0f} s"
    return f"{seconds / 60:.0f} min" if seconds < 5400 else f"{seconds / 3600:.1f} h"
