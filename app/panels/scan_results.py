"""What a scan showed: how it lies on the part, a row for every patch, the difference; grey while it is out of date."""

from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QHBoxLayout, QHeaderView, QPushButton, QTreeWidget, QTreeWidgetItem, QWidget

from app.panels.fields import plain_text
from app.panels.result_page import ResultPage
from app.scan_colouring import signed_um
from app.scan_follower import ScanFollower

if TYPE_CHECKING:
    from core.run_scan import ScanResult
    from core.trial.compare_groups import Difference
    from core.trial.scan_compare import PatchScan

ROWS_SEEN = 8
PATCH_ROLE = Qt.ItemDataRole.UserRole
COPIED = ("mean_mm", "p5_mm", "p95_mm", "highest_mm", "lowest_edge_mm", "lowest_edge_p95_mm", "measured")


class ScanResults(ResultPage):
    """Follows the follower; a patch that is chosen is told to the view."""

    patch_chosen = Signal(int)
    """The number of a patch whose row was clicked or reached by the arrow keys."""
    export_wanted = Signal()
    colours_wanted = Signal()

    def __init__(self, follower: ScanFollower, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._follower = follower
        self._shown: object = None
        tr = self.tr
        body = self.body
        self.place, self.difference, self.notes = (plain_text(parent=self.page) for _ in range(3))
        self.heading = plain_text(
            tr("Deviation in µm, outward positive; the edge is the lowest one. Click a patch to see it."), self.page
        )
        self.patches = self._table()
        self.colours_button = QPushButton(tr("Colour the part by it"), self.page)
        self.colours_button.setToolTip(tr("Each face by its mean deviation; the list in the view takes it back."))
        self.colours_button.clicked.connect(self.colours_wanted)
        self.copy_button = QPushButton(tr("Copy table"), self.page)
        self.copy_button.setToolTip(tr("All patches, for a spreadsheet."))
        self.copy_button.clicked.connect(self._copy)
        self.export_button = QPushButton(tr("Export scan…"), self.page)
        self.export_button.setToolTip(tr("Write values, tables and the deviation of every face to a folder"))
        self.export_button.clicked.connect(self.export_wanted)
        row = QHBoxLayout()
        row.addWidget(self.copy_button)
        row.addWidget(self.export_button)
        for widget in (self.place, self.heading, self.patches, self.difference, self.notes, self.colours_button):
            body.addWidget(widget)
        body.addLayout(row)
        follower.changed.connect(self._show)
        self._show()

    def _table(self) -> QTreeWidget:
        tr = self.tr
        table = QTreeWidget(self.page)
        table.setAccessibleName(tr("Patches in the scan"))
        table.setHeaderLabels([tr("Patch"), tr("Sink"), tr("Mean"), "5 %", "95 %", tr("Edge")])
        tips = (
            "",
            tr("Whether the patch had a sink in this job"),
            tr("Mean deviation of the patch"),
            tr("5 % of its places lie below this"),
            tr("95 % of its places lie below this"),
            tr("Swelling at the lowest edge: mean deviation of the patch's lowest half millimetre"),
        )
        for k, tip in enumerate(tips):
            table.headerItem().setToolTip(k, tip)
            table.headerItem().setTextAlignment(k, Qt.AlignmentFlag.AlignRight)
        table.setRootIsDecorated(False)
        table.setUniformRowHeights(True)
        table.header().setAccessibleName(tr("Columns of the patches in the scan"))
        table.header().setStretchLastSection(False)  # all share the width alike
        table.header().setMinimumSectionSize(30)
        table.header().setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
        table.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        table.currentItemChanged.connect(self._take)
        table.itemClicked.connect(self._take)
        return table

    def _show(self) -> None:
        result, current = self._follower.result, self._follower.is_current
        old = self.tr("Out of date: the part, its patches or its sinks are not those that were compared.")
        self.show_state(there=result is not None, current=current, old=old)
        if result is not self._shown:
            self._shown = result
            if result is not None:
                self._fill(result)

    def _fill(self, result: "ScanResult") -> None:
        found = result.comparison
        self.place.setText(self._place_words(result))
        self.difference.setText(self._difference_words(found.difference))
        from core.run_scan import LIMITS  # loaded already, as there is a result

        self.notes.setText("\n".join((*found.warnings, *LIMITS)))
        table = self.patches
        table.blockSignals(True)
        table.clear()
        for patch in found.patches:
            item = QTreeWidgetItem(self._row(patch))
            item.setData(0, PATCH_ROLE, patch.patch)
            for k in range(table.columnCount()):
                item.setTextAlignment(k, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
            table.addTopLevelItem(item)
        table.blockSignals(False)
        line = table.sizeHintForRow(0) if found.patches else table.fontMetrics().height()
        seen = min(max(len(found.patches), 1), ROWS_SEEN)
        table.setFixedHeight(table.header().sizeHint().height() + line * seen + 4)

    def _row(self, patch: "PatchScan") -> list[str]:
        sink = self.tr("yes") if patch.with_sink else self.tr("no")
        values = (patch.mean_mm, patch.p5_mm, patch.p95_mm, patch.lowest_edge_mm)
        return [str(patch.patch), sink, *(signed_um(value) for value in values)]

    def _place_words(self, result: "ScanResult") -> str:
        how, scan = result.comparison.alignment, result.scan
        lines = [
            self.tr("{0}: {1} triangles, in {2}.").format(scan.name, f"{scan.n_faces:,}".replace(",", " "), scan.units),
            self.tr("Laid on the part with RMS {0} µm by {1} of the places looked at; turned by {2}°.").format(
                f"{1e3 * how.rms_mm:.1f}", f"{how.used_share:.0%}", f"{how.motion.angle_deg:.2f}"
            ),
        ]
        if how.pairs_rms_mm is not None:
            lines.append(self.tr("The point pairs alone miss by {0} mm (RMS).").format(f"{how.pairs_rms_mm:.3f}"))
        return "\n".join(lines)

    def _difference_words(self, difference: "Difference | None") -> str:
        if difference is None:
            return self.tr("Patches with a sink can't be compared with others: the scan has only one of the two kinds.")
        low, high = signed_um(difference.low), signed_um(difference.high)
        if difference.low > 0:
            text = self.tr("Patches with a sink lie {0} µm further out than others (95 %: {1} to {2} µm).")
        elif difference.high < 0:
            text = self.tr("Patches with a sink lie {0} µm further in than others (95 %: {1} to {2} µm).")
        else:
            text = self.tr(
                "Patches with a sink are not told from others: {0} µm (95 %: {1} to {2} µm, which holds 0)."
            )
            return text.format(signed_um(difference.mean), low, high)
        return text.format(f"{1e3 * abs(difference.mean):.0f}", low, high)

    def _take(self, item: QTreeWidgetItem | None, *_: Any) -> None:
        if item is not None:
            self.patch_chosen.emit(item.data(0, PATCH_ROLE))

    def _copy(self) -> None:
        result = self._follower.result
        if result is not None:
            lines = ["\t".join(("patch", "sink", *COPIED))]
            for patch in result.comparison.patches:
                values = (f"{getattr(patch, name):.5f}" for name in COPIED)
                lines.append("\t".join((str(patch.patch), "yes" if patch.with_sink else "no", *values)))
            QGuiApplication.clipboard().setText("\n".join(lines) + "\n")
