"""Buttons at a finding, one for each exact change that would answer it."""

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFontMetrics
from PySide6.QtWidgets import QPushButton, QSizePolicy, QVBoxLayout, QWidget

from core.checks.finding import Change, Finding

SPACE = 4
SHOWN_MAX = 2


def buttons_height(metrics: QFontMetrics, finding: Finding) -> int:
    """Room for the buttons of a finding, in pixels; 0 without any."""
    return len(finding.changes[:SHOWN_MAX]) * (_height(metrics) + SPACE)


def _height(metrics: QFontMetrics) -> int:
    return metrics.height() + 9


class FindingButtons(QWidget):
    """Lies over the row of its finding; clicks beside the buttons go to the row."""

    wanted = Signal(object)
    """The Change whose button was pressed."""

    def __init__(self, finding: Finding, words: Callable[[Change], str], left: int, pad: int) -> None:
        """left, pad: where the row's words begin, and their distance to its rim, in pixels."""
        super().__init__()
        column = QVBoxLayout(self)
        column.setContentsMargins(left, pad, pad, pad - 1)
        column.setSpacing(SPACE)
        column.addStretch(1)
        self.buttons: list[QPushButton] = []
        for change in finding.changes[:SHOWN_MAX]:
            button = QPushButton(words(change), self)
            button.setFixedHeight(_height(self.fontMetrics()))
            button.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Fixed)
            button.setToolTip(self.tr("Changes the job and builds again; undo takes it back."))
            # Queued: the list and this button are made anew by the change.
            button.clicked.connect(lambda _=False, c=change: self.wanted.emit(c), Qt.ConnectionType.QueuedConnection)
            column.addWidget(button)
            self.buttons.append(button)
