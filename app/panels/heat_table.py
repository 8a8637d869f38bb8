"""What following the build gave for one patch: with sinks and without, side by side, and what it can be trusted for."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QLabel, QSizePolicy, QWidget

from core.heat.compare_heat import HeatComparison
from core.heat.estimate import Band
from core.heat.heat_result import PatchHeat

HEADS = ("patch", "with_sinks_c", "with_low_c", "with_high_c", "without_c", "without_low_c", "without_high_c",
         "cooler_by_k", "hottest_with_c", "hottest_without_c", "peak_with_c", "peak_without_c",
         "through_gap_w_m2", "cell_error_with_k", "cell_error_without_k", "cell_error_cooler_k")  # fmt: skip


class HeatTable(QWidget):
    """Rows of one patch; values can be selected and copied."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(10)
        grid.setVerticalSpacing(2)
        for column, text in enumerate((self.tr("°C"), self.tr("with sinks"), self.tr("without"))):
            word = QLabel(text, self)
            word.setForegroundRole(word.palette().ColorRole.PlaceholderText)
            side = Qt.AlignmentFlag.AlignLeft if column == 0 else Qt.AlignmentFlag.AlignRight
            grid.addWidget(word, 0, column, side)
        self.values: dict[str, QLabel] = {}
        rows = (
            ("between", self.tr("Between layers"), self.tr("Mean of the patch just before the next layer."), 2),
            ("band", self.tr("its band"), self.tr("From what powder and absorptivity may be, low to high."), 2),
            ("cells", self.tr("from the cells"), self.tr("How far the mean moves on larger cells."), 2),
            ("hottest", self.tr("Hottest place"), self.tr("The hottest face of the patch between layers."), 2),
            ("peak", self.tr("Just after exposure"), self.tr("Mean of the patch, smoothed over a cell."), 2),
            ("cooler", self.tr("Cooler by"), self.tr("How much cooler the patch stays thanks to its sink."), 1),
            ("flux", self.tr("Through the gap"), self.tr("Mean heat flow down through the patch."), 1),
        )
        for row, (key, name, help_text, n_values) in enumerate(rows, start=1):
            word = QLabel(name, self)
            word.setToolTip(help_text)
            grid.addWidget(word, row, 0)
            for column in range(1, 1 + n_values):
                label = QLabel(self)
                label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
                label.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
                font = label.font()
                font.setBold(key in ("between", "cooler"))
                label.setFont(font)
                span = 1 if n_values == 2 else 2
                grid.addWidget(label, row, column, 1, span, Qt.AlignmentFlag.AlignRight)
                self.values[key if n_values == 1 else f"{key} {('with', 'without')[column - 1]}"] = label
        grid.setColumnStretch(0, 1)

    def show_patch(self, heat: PatchHeat) -> None:
        """Fill the rows."""
        texts = {
            "between with": f"{heat.with_c.nominal:.0f}",
            "between without": f"{heat.without_c.nominal:.0f}",
            "band with": _band(heat.with_c),
            "band without": _band(heat.without_c),
            "cells with": f"± {heat.cells.with_k:.0f} K",
            "cells without": f"± {heat.cells.without_k:.0f} K",
            "hottest with": f"{heat.hottest_with_c:.0f}",
            "hottest without": f"{heat.hottest_without_c:.0f}",
            "peak with": f"{heat.peak_with_c:.0f}",
            "peak without": f"{heat.peak_without_c:.0f}",
            "cooler": f"{heat.cooler_by_k:.0f} ± {heat.cells.cooler_k:.0f} K",
            "flux": f"{heat.through_gap_w_m2:.3g} W/m²" if heat.through_gap_w_m2 < 1000
            else f"{heat.through_gap_w_m2 / 1000:.3g} kW/m²",
        }  # fmt: skip
        for key, text in texts.items():
            self.values[key].setText(text)


def _band(band: Band) -> str:
    return f"{band.low:.0f} – {band.high:.0f}"


def as_text(comparison: HeatComparison) -> str:
    """All patches, a line each, for a spreadsheet."""
    lines = ["\t".join(HEADS)]
    for heat in comparison.patches:
        row = (
            heat.with_c.nominal, heat.with_c.low, heat.with_c.high, heat.without_c.nominal, heat.without_c.low,
            heat.without_c.high, heat.cooler_by_k, heat.hottest_with_c, heat.hottest_without_c, heat.peak_with_c,
            heat.peak_without_c, heat.through_gap_w_m2, heat.cells.with_k, heat.cells.without_k, heat.cells.cooler_k,
        )  # fmt: skip
        lines.append("\t".join([str(heat.patch), *(f"{value:.1f}" for value in row)]))
    return "\n".join(lines) + "\n"
