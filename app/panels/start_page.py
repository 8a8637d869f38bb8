"""The empty window: what to do first, with buttons for it."""

from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.appearance import icon
from app.panels.fields import plain_text

SAMPLE_FOLDER = Path(__file__).resolve().parents[2] / "sample_parts"


def sample_part() -> Path | None:
    """A part to try, where the sample parts lie beside the program."""
    samples = sorted(SAMPLE_FOLDER.glob("*.stl")) if SAMPLE_FOLDER.is_dir() else []
    return next((path for path in samples if path.stem == "sensor-bracket"), samples[0] if samples else None)


class StartPage(QWidget):
    """Shown in place of the view while no part is open."""

    open_wanted = Signal()
    file_wanted = Signal(str)

    def __init__(self, recent: list[str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        outer = QVBoxLayout(self)
        outer.addStretch(2)
        title = QLabel(self.tr("Open a part to begin"), self)
        font = title.font()
        font.setPointSizeF(font.pointSizeF() * 1.7)
        title.setFont(font)
        steps = plain_text(
            self.tr(
                "1  Open a part (STL, 3MF, STEP, OBJ, PLY) or drop it here.\n"
                "2  Turn it as it will be built. Low-angle downskin is coloured by its angle.\n"
                "3  Click a coloured face: it gets a sink, one powder gap below it.\n"
                "4  Move the gap slider, read the findings, export."
            ),
            self,
        )
        steps.setMinimumWidth(460)
        row = QHBoxLayout()
        self.open_button = QPushButton(icon("open"), self.tr("Open a part…"), self)
        self.open_button.setDefault(True)
        self.open_button.clicked.connect(self.open_wanted)
        row.addWidget(self.open_button)
        sample = sample_part()
        self.sample_button = QPushButton(icon("part"), self.tr("Try a sample part"), self)
        self.sample_button.setVisible(sample is not None)
        if sample is not None:
            self.sample_button.clicked.connect(lambda: self.file_wanted.emit(str(sample)))
        row.addWidget(self.sample_button)
        row.addStretch(1)
        middle = QVBoxLayout()
        middle.setSpacing(14)
        for item in (title, steps):
            middle.addWidget(item)
        middle.addLayout(row)
        self._recent = QVBoxLayout()
        self._recent.setSpacing(2)
        middle.addLayout(self._recent)
        centre = QHBoxLayout()
        centre.addStretch(1)
        centre.addLayout(middle)
        centre.addStretch(1)
        outer.addLayout(centre)
        outer.addStretch(3)
        self.show_recent(recent)

    def show_recent(self, recent: list[str]) -> None:
        """Links to the files opened last."""
        while (item := self._recent.takeAt(0)) is not None:
            old = item.widget()
            if old is not None:
                old.deleteLater()
        if recent:
            self._recent.addWidget(QLabel(self.tr("Opened last:"), self))
        for path in recent[:4]:
            link = QPushButton(Path(path).name, self)
            link.setFlat(True)
            link.setToolTip(path)
            link.setCursor(Qt.CursorShape.PointingHandCursor)
            link.setStyleSheet("text-align: left; color: palette(link); padding: 2px")
            link.clicked.connect(lambda _=False, p=path: self.file_wanted.emit(p))
            self._recent.addWidget(link)
