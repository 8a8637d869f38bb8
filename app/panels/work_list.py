"""All work in the background, waiting and running: a row each with state, share, times and its own Stop."""

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtWidgets import QFrame, QGridLayout, QLabel, QProgressBar, QPushButton, QWidget

from app.background import Work
from app.pace import elapsed_time, rough_time

WIDTH_PX = 520


class WorkRow(QObject):
    """The widgets of one work."""

    def __init__(self, work: Work, grid: QGridLayout, number: int, owner: QWidget) -> None:
        super().__init__(owner)
        self.work = work
        self.title, self.state = QLabel(work.title, owner), QLabel(owner)
        self.bar = QProgressBar(owner)
        self.bar.setRange(0, 1000)
        self.bar.setTextVisible(False)
        self.bar.setAccessibleName(self.tr("Share done of: {0}").format(work.title))
        self.stop_button = QPushButton(self.tr("Stop"), owner)
        self.stop_button.setAccessibleName(self.tr("Stop: {0}").format(work.title))
        self.stop_button.clicked.connect(work.stop)
        self.widgets = (self.title, self.bar, self.state, self.stop_button)
        for column, widget in enumerate(self.widgets):
            grid.addWidget(widget, number, column)
            widget.show()

    def tick(self) -> None:
        """Show how it stands now."""
        self.bar.setValue(round(1000 * self.work.share))
        self.state.setText(state_words(self.work, self))
        self.stop_button.setEnabled(not self.work.stopping)


def state_words(work: Work, speaker: QObject) -> str:
    """'waits', or time gone and, when it can be said, time left."""
    if work.stopping:
        return speaker.tr("stopping…")
    if work.held:
        return speaker.tr("waits until this version is ready, about a minute")
    if not work.begun:
        return speaker.tr("waits")
    gone, left_s = elapsed_time(work.elapsed_s), work.left_s
    return gone if left_s is None else speaker.tr("{0}, about {1} left").format(gone, rough_time(left_s))


class WorkList(QFrame):
    """Lies over the lower right corner of the window, above the status bar."""

    def __init__(self, window: QWidget) -> None:
        super().__init__(window)
        self.setFrameShape(QFrame.Shape.StyledPanel)
        self.setAutoFillBackground(True)
        self.setAccessibleName(self.tr("Work in the background"))
        self._grid = QGridLayout(self)
        self._grid.setColumnStretch(0, 1)
        self._grid.setColumnMinimumWidth(1, 110)
        self.rows: list[WorkRow] = []
        self._made = 0
        window.installEventFilter(self)
        self.hide()

    def show_works(self, works: list[Work]) -> None:
        """One row a work, in the order in which they were asked for."""
        if [row.work for row in self.rows] != works:
            for row in [row for row in self.rows if row.work not in works]:
                self.rows.remove(row)
                for widget in row.widgets:
                    self._grid.removeWidget(widget)
                    widget.deleteLater()
                row.deleteLater()
            have = [row.work for row in self.rows]
            for work in works:
                if work not in have:
                    self.rows.append(WorkRow(work, self._grid, self._made, self))
                    self._made += 1
        for row in self.rows:
            row.tick()
        self._place()

    def _place(self) -> None:
        window = self.window()
        self.resize(min(max(WIDTH_PX, self.sizeHint().width()), window.width() - 20), self.sizeHint().height())
        bar = window.findChild(QWidget, "status_bar", Qt.FindChildOption.FindDirectChildrenOnly)
        below = window.height() - (bar.height() if bar is not None else 0)
        self.move(window.width() - self.width() - 8, below - self.height() - 4)
        self.raise_()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Resize and self.isVisible():
            self._place()
        return super().eventFilter(watched, event)
