"""The empty window: what to do first, with buttons for it."""

from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.appearance import icon
from app.panels.fields import plain_text

SAMPLE_FOLDER = Path(__file__).resolve().parents[2] / "sample_parts"
LINK = "text-align: left; color: palette(link); padding: 2px"


def sample_parts() -> list[Path]:
    """The parts to try, where they lie beside the program."""
    return sorted(SAMPLE_FOLDER.glob("*.stl")) if SAMPLE_FOLDER.is_dir() else []


def sample_part() -> Path | None:
    """The part of the demo job."""
    samples = sample_parts()
    return next((path for path in samples if path.stem == "sensor-bracket"), samples[0] if samples else None)


def inventing_script() -> Path | None:
    """What invents a build of the sample part; it lies only beside a copy of the sources."""
    path = SAMPLE_FOLDER / "make_demo_build.py"
    return path if path.is_file() and sample_part() is not None else None


class StartPage(QWidget):
    """Shown in place of the view while no part is open."""

    open_wanted = Signal()
    file_wanted = Signal(str)
    demo_wanted = Signal()
    invented_wanted = Signal()

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
        self.demo_button = QPushButton(icon("sink"), self.tr("Show me the demo job"), self)
        self.demo_button.setToolTip(self.tr("A bracket with a sink under each of its two patches."))
        self.demo_button.setVisible(sample_part() is not None)
        self.demo_button.clicked.connect(self.demo_wanted)
        row.addWidget(self.demo_button)
        self.invented_button = QPushButton(self.tr("Open an invented build"), self)
        self.invented_button.setFlat(True)
        self.invented_button.setCursor(Qt.CursorShape.PointingHandCursor)
        self.invented_button.setStyleSheet(LINK)
        self.invented_button.setToolTip(
            self.tr("The bracket as if it had been built: layer images and a scan to compare. Nothing was measured.")
        )
        self.invented_button.setVisible(inventing_script() is not None)
        self.invented_button.clicked.connect(self.invented_wanted)
        row.addWidget(self.invented_button)
        row.addStretch(1)
        middle = QVBoxLayout()
        middle.setSpacing(14)
        for item in (title, steps):
            middle.addWidget(item)
        middle.addLayout(row)
        self.samples: list[QPushButton] = []
        if sample_parts():
            middle.addLayout(self._samples())
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

    def _samples(self) -> QVBoxLayout:
        column = QVBoxLayout()
        column.setSpacing(2)
        column.addWidget(QLabel(self.tr("Or a sample part of the Nordhaven Tidal workshop:"), self))
        names = {
            "impeller-shroud": self.tr("Impeller shroud"),
            "manifold-block": self.tr("Manifold block"),
            "sensor-bracket": self.tr("Sensor bracket"),
            "sensor-fairing": self.tr("Sensor fairing"),
            "valve-body": self.tr("Valve body"),
        }
        grid = QGridLayout()
        grid.setSpacing(2)
        for number, path in enumerate(sample_parts()):
            link = self._link(names.get(path.stem, path.stem), str(path))
            grid.addWidget(link, number // 3, number % 3)
            self.samples.append(link)
            if path == sample_part():
                self.sample_button = link
        column.addLayout(grid)
        return column

    def _link(self, text: str, path: str) -> QPushButton:
        link = QPushButton(text, self)
        link.setFlat(True)
        link.setToolTip(path)
        link.setCursor(Qt.CursorShape.PointingHandCursor)
        link.setStyleSheet(LINK)
        link.clicked.connect(lambda: self.file_wanted.emit(path))
        return link

    def show_recent(self, recent: list[str]) -> None:
        """Links to the files opened last."""
        while (item := self._recent.takeAt(0)) is not None:
            old = item.widget()
            if old is not None:
                old.deleteLater()
        if recent:
            self._recent.addWidget(QLabel(self.tr("Opened last:"), self))
        for path in recent[:4]:
            self._recent.addWidget(self._link(Path(path).name, path))
