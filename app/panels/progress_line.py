"""What runs in the background, shown in the status bar: title, share done, elapsed and remaining time, Stop, and the
list of all that runs or waits."""

from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import QHBoxLayout, QLabel, QProgressBar, QPushButton, QToolButton, QWidget

from app.background import Work
from app.panels.work_list import WorkList, state_words

SHOW_AFTER_MS = 250


class ProgressLine(QWidget):
    """Appears when work takes longer than a moment, so that short work doesn't flicker."""

    def __init__(self, parent: QWidget, window: QWidget) -> None:
        """window: over which the list of works is laid when it is unfolded."""
        super().__init__(parent)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 4, 0)
        self.more = QToolButton(self)
        self.more.setCheckable(True)
        self.more.setAutoRaise(True)
        self.more.setArrowType(Qt.ArrowType.UpArrow)
        self.more.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        self.more.setToolTip(self.tr("List all work in the background; each can be stopped."))
        self._title, self._elapsed = QLabel(self), QLabel(self)
        self._bar = QProgressBar(self)
        self._bar.setRange(0, 1000)
        self._bar.setFixedWidth(130)
        self._bar.setTextVisible(False)
        self._bar.setAccessibleName(self.tr("Share done"))
        self.stop_button = QPushButton(self.tr("Stop"), self)
        self.stop_button.clicked.connect(self._stop)
        for widget in (self.more, self._title, self._bar, self._elapsed, self.stop_button):
            row.addWidget(widget)
        self.list = WorkList(window)
        self._works: list[Work] = []
        self.more.toggled.connect(self._tick)
        self._show_timer = QTimer(self, interval=SHOW_AFTER_MS, singleShot=True)
        self._show_timer.timeout.connect(self.show)
        self._clock = QTimer(self, interval=200)
        self._clock.timeout.connect(self._tick)
        self.hide()

    def watch(self, work: Work) -> None:
        """Follow this work until it ends."""
        self._works.append(work)
        work.ended.connect(self._ended)
        self._tick()
        self._clock.start()
        if not self.isVisible():
            self._show_timer.start()

    def _listed(self) -> list[Work]:
        """All but what was stopped before it began."""
        return [work for work in self._works if work.begun or not work.stopping]

    def _shown(self) -> Work | None:
        """The work of the line: the one that began last, else the one that waits longest."""
        listed = self._listed()
        running = [work for work in listed if work.begun and not work.stopping]
        return max(running, key=lambda work: work.started_s) if running else listed[0] if listed else None

    def _tick(self) -> None:
        work, listed = self._shown(), self._listed()
        if work is not None:
            self._title.setText(self.tr("Stopping…") if work.stopping else work.title)
            self._bar.setValue(round(1000 * work.share))
            self._elapsed.setText("" if work.stopping else state_words(work, self))
            self.stop_button.setEnabled(not work.stopping)
            self.stop_button.setAccessibleName(self.tr("Stop: {0}").format(work.title))
        waiting = sum(not other.begun for other in listed)
        self.more.setText(self.tr("{0} at work, {1} waiting").format(len(listed) - waiting, waiting))
        self.more.setVisible(len(listed) > 1 or self.more.isChecked())
        unfolded = self.more.isChecked() and bool(listed)
        if unfolded:
            self.list.show_works(listed)
        self.list.setVisible(unfolded)

    def _stop(self) -> None:
        work = self._shown()
        if work is not None:
            work.stop()
        self._tick()

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
            self.more.setChecked(False)
            self.list.show_works([])
            self.list.hide()
            self.hide()
        else:
            self._tick()
