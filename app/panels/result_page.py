"""What panels that compare in the background share: a row to run and stop, and results grey when out of date."""

from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from app.panels.fields import FieldNote


def run_row(run: QPushButton, stop: QPushButton) -> QHBoxLayout:
    """The two buttons side by side; the one that runs takes the room."""
    row = QHBoxLayout()
    row.addWidget(run, 1)
    row.addWidget(stop)
    return row


class ResultPage(QWidget):
    """A page of results below a note that says when they are out of date."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.out_of_date = FieldNote(self)
        self.page = QWidget(self)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.out_of_date)
        column.addWidget(self.page)
        self.body = QVBoxLayout(self.page)
        self.body.setContentsMargins(0, 0, 0, 0)
        self.body.setSpacing(6)

    def show_state(self, *, there: bool, current: bool, old: str) -> None:
        """Hidden while there is nothing; grey below the words `old` while it is out of date."""
        self.setVisible(there)
        self.page.setEnabled(current)
        self.out_of_date.say("" if current or not there else old)
