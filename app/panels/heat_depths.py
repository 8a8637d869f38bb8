"""Three depths of answer for one patch, side by side: 1-D at once, a quick look by itself, the full build by hand."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QLabel, QSizePolicy, QWidget

from core.heat.estimate import Band, Estimate
from core.heat.heat_notes import DEPTHS, FULL, LIVE, QUICK

Row = tuple[Band, Band]
"""With the sink and without, °C."""


class HeatDepths(QWidget):
    """A row of temperatures for each depth, with the band below; values can be selected and copied."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(10)
        grid.setVerticalSpacing(0)
        for column, text in enumerate((self.tr("°C"), self.tr("with sinks"), self.tr("without"))):
            word = QLabel(text, self)
            word.setForegroundRole(word.palette().ColorRole.PlaceholderText)
            side = Qt.AlignmentFlag.AlignLeft if column == 0 else Qt.AlignmentFlag.AlignRight
            grid.addWidget(word, 0, column, side)
        self.values: dict[str, tuple[QLabel, QLabel]] = {}
        """Nominal values of each depth, with the sink and without."""
        self._bands: dict[str, tuple[QLabel, QLabel]] = {}
        self._names: dict[str, tuple[QLabel, QLabel]] = {}
        names = {LIVE: self.tr("1-D estimate"), QUICK: self.tr("Quick look"), FULL: self.tr("Full build")}
        for line, (depth, name) in enumerate(names.items()):
            word, below = QLabel(name, self), QLabel(self.tr("its band"), self)
            word.setToolTip(DEPTHS[depth])
            self.values[depth] = self._pair(grid, 1 + 2 * line, bold=True)
            self._bands[depth] = self._pair(grid, 2 + 2 * line, bold=False)
            grid.addWidget(word, 1 + 2 * line, 0)
            grid.addWidget(below, 2 + 2 * line, 0)
            for label in (below, *self._bands[depth]):
                label.setForegroundRole(label.palette().ColorRole.PlaceholderText)
                label.setContentsMargins(0, 0, 0, 4)
            self._names[depth] = word, below
        grid.setColumnStretch(0, 1)

    def _pair(self, grid: QGridLayout, row: int, *, bold: bool) -> tuple[QLabel, QLabel]:
        made = QLabel(self), QLabel(self)
        for column, label in enumerate(made, start=1):
            label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
            label.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
            font = label.font()
            font.setBold(bold)
            label.setFont(font)
            grid.addWidget(label, row, column, Qt.AlignmentFlag.AlignRight)
        return made

    def show_row(self, depth: str, row: Row | None, *, current: bool = True) -> None:
        """Fill one depth; None shows dashes, and what is out of date is grey."""
        for number, (value, band) in enumerate(zip(self.values[depth], self._bands[depth], strict=True)):
            value.setText("–" if row is None else f"{row[number].nominal:.0f}")
            band.setText("" if row is None else f"{row[number].low:.0f} – {row[number].high:.0f}")
        name, below = self._names[depth]
        for label in (name, *self.values[depth], *self._bands[depth]):
            label.setEnabled(current)
        for label in (below, *self._bands[depth]):
            label.setVisible(row is not None)


def in_celsius(estimate: Estimate, plate_c: float) -> Row:
    """The rises of an estimate over the plate, as temperatures."""
    with_k, without_k = estimate.rise_with_k, estimate.rise_without_k
    return _over(with_k, plate_c), _over(without_k, plate_c)


def _over(rise_k: Band, plate_c: float) -> Band:
    return Band(low=plate_c + rise_k.low, nominal=plate_c + rise_k.nominal, high=plate_c + rise_k.high)
