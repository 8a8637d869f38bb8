"""The job tree: the part, its patches by risk, sinks, zones and findings, in the order of the work."""

import math

from PySide6.QtCore import QItemSelectionModel, QSignalBlocker, Qt, Signal
from PySide6.QtGui import QGuiApplication, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTreeWidget, QTreeWidgetItem, QWidget

from app.appearance import icon
from app.panels.narrow_columns import NarrowColumns
from app.panels.patch_text import patches_as_text
from app.panels.result_rows import KIND, NUMBER, ResultRows
from app.picking import patches_of_picks
from app.session import Session
from core.part.patch import Patch

PICTURE = Qt.ItemDataRole.UserRole + 2
SHOWN_MAX = 500


class JobTree(QTreeWidget):
    """Rows of patches are chosen with the mouse like faces in the view: plain, shift, ctrl."""

    page_wanted = Signal(str)
    """'place', 'sink', 'process' or 'check': the row of this step was clicked."""
    finding_wanted = Signal(object)
    """The Finding to be shown in the view."""
    sink_eye = Signal(int, bool)
    """A sink is to be shown or hidden."""
    zone_eye = Signal(int, bool)
    """A zone is to be shown or hidden."""
    zone_wanted = Signal()
    """A zone's row was clicked; its page comes with `page_wanted`."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self.setAccessibleName(self.tr("Job: part, patches, sinks, findings"))
        self.setHeaderLabels(
            [self.tr("Name"), self.tr("Area\nmm²"), self.tr("Angle\n°"), self.tr("Height\nmm"), self.tr("Step\nmm")]
        )
        tips = (
            "",
            self.tr("Area of the patch"),
            self.tr("Lowest angle to the build plate"),
            self.tr("Height of its lowest point above the plate"),
            self.tr("Overhang step: how far each layer hangs over powder; ∞ for a flat ceiling"),
        )
        for column, tip in enumerate(tips):
            self.headerItem().setToolTip(column, tip)
            if column:
                self.headerItem().setTextAlignment(column, Qt.AlignmentFlag.AlignRight)
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.setUniformRowHeights(True)
        self.setIndentation(14)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setTextElideMode(Qt.TextElideMode.ElideRight)
        header = self.header()
        header.setAccessibleName(self.tr("Columns of the job"))
        header.setStretchLastSection(False)
        header.setMinimumSectionSize(36)
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        for column in range(1, 5):
            header.setSectionResizeMode(column, QHeaderView.ResizeMode.ResizeToContents)
        self._columns = NarrowColumns(self, self.tr("Patch {0}").format(888), keep=3)
        self.part_row = self._group("part", "part")
        self.patch_row = self._group("patches", "patch")
        self.sink_row = self._group("sinks", "sink")
        self.zone_row = self._group("zones", "zone")
        self.process_row = self._group("process", "process")
        self.finding_row = self._group("findings", "findings")
        self.rows = ResultRows(self, session)
        self.itemSelectionChanged.connect(self._rows_chosen)
        self.itemClicked.connect(self._clicked)
        self.itemActivated.connect(self._clicked)
        self.itemChanged.connect(self._eye_changed)
        session.patches_changed.connect(self._show_patches)
        session.picks_changed.connect(self._show_picks)
        session.result_changed.connect(self.rows.show)
        session.state.changed.connect(self._show_process)
        self._show_patches()
        self.rows.show()

    def _group(self, kind: str, picture: str) -> QTreeWidgetItem:
        row = QTreeWidgetItem(self)
        row.setData(0, KIND, kind)
        row.setFirstColumnSpanned(True)
        row.setData(0, PICTURE, picture)
        row.setIcon(0, icon(picture))
        row.setFlags(Qt.ItemFlag.ItemIsEnabled)
        row.setExpanded(True)
        return row

    # Filling -------------------------------------------------------------------------------------

    def _show_patches(self) -> None:
        part, patches = self._session.part, self._session.patches
        with QSignalBlocker(self):
            self.part_row.setText(0, self.tr("Part: {0}").format(part.name) if part else self.tr("Part: none"))
            self.patch_row.takeChildren()
            if part is None:
                self.patch_row.setText(0, self.tr("Patches"))
            else:
                limit = f"{self._session.job.max_angle_deg:g}"
                self.patch_row.setText(0, self.tr("Patches under {0}°: {1}").format(limit, len(patches)))
            for patch in patches[:SHOWN_MAX]:
                self._add_patch(patch)
            if len(patches) > SHOWN_MAX:
                more = QTreeWidgetItem(
                    self.patch_row, [self.tr("… {0} smaller risks").format(len(patches) - SHOWN_MAX)]
                )
                more.setFlags(Qt.ItemFlag.NoItemFlags)
            self.patch_row.setExpanded(True)
        self._columns.fit()
        self._show_picks()
        self._show_process()

    def _add_patch(self, patch: Patch) -> QTreeWidgetItem:
        step = "∞" if math.isinf(patch.overhang_step_mm) else f"{patch.overhang_step_mm:.2f}"
        row = QTreeWidgetItem(
            self.patch_row,
            [
                self.tr("Patch {0}").format(patch.id),
                f"{patch.area_mm2:.1f}",
                f"{patch.lowest_angle_deg:.1f}",
                f"{patch.z_min_mm:.1f}",
                step,
            ],
        )
        row.setData(0, KIND, "patch")
        row.setData(0, NUMBER, patch.id)
        island = self.tr(" Its lowest layer starts on powder.") if patch.is_island else ""
        row.setToolTip(
            0,
            self.tr("Patch {0}: {1} mm², {2}° to {3}° on average, {4} to {5} mm high.").format(
                patch.id,
                f"{patch.area_mm2:.1f}",
                f"{patch.lowest_angle_deg:.1f}",
                f"{patch.mean_angle_deg:.1f}",
                f"{patch.z_min_mm:.2f}",
                f"{patch.z_max_mm:.2f}",
            )
            + island,
        )
        for column in range(1, 5):
            row.setTextAlignment(column, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        return row

    def _show_own_picks(self) -> None:
        """Rows of picked faces that are no found patch, under the numbers by which sinks and findings call them."""
        found = {patch.id for patch in self._session.patches}
        rows = [self.patch_row.child(i) for i in range(self.patch_row.childCount())]
        for row in rows:
            if row is not None and row.data(0, KIND) == "picked":
                self.patch_row.removeChild(row)
        for patch in self._session.picked:
            if patch.id not in found:
                row = self._add_patch(patch)
                row.setText(0, self.tr("Patch {0}, picked").format(patch.id))
                row.setData(0, KIND, "picked")
                row.setFlags(Qt.ItemFlag.ItemIsEnabled)

    def _show_picks(self) -> None:
        self._session.settings.chosen = ()
        with QSignalBlocker(self):
            self.clearSelection()
            self._show_own_picks()
            first = self._select_picked()
            current = self.currentItem()
            if first is not None and (current is None or not current.isSelected()):
                self.scrollToItem(first)
                self.selectionModel().setCurrentIndex(
                    self.indexFromItem(first), QItemSelectionModel.SelectionFlag.NoUpdate
                )
        self.viewport().update()

    def _select_picked(self) -> QTreeWidgetItem | None:
        """Mark the rows of the picked patches; returns the first of them."""
        ids = self._picked_ids()
        with QSignalBlocker(self):
            rows = [self.patch_row.child(i) for i in range(self.patch_row.childCount())]
            picked = [row for row in rows if row is not None and row.data(0, NUMBER) in ids]
            for row in picked:
                row.setSelected(True)
        return picked[0] if picked else None

    def _show_process(self) -> None:
        job = self._session.job
        with QSignalBlocker(self):
            self.process_row.setText(
                0, self.tr("Process: {0}, layer {1} mm").format(job.alloy, f"{job.laser.layer_mm:g}")
            )

    # Choosing ------------------------------------------------------------------------------------

    def _rows_chosen(self) -> None:
        """Chosen patches are picked. A chosen sink is looked at; like a finding, it leaves the picks as they are."""
        rows = self.selectedItems()
        ids = {row.data(0, NUMBER) for row in rows if row.data(0, KIND) == "patch"}
        others = [row for row in rows if row.data(0, KIND) in ("sink", "zone", "finding")]
        if others and not ids:
            self._select_picked()
        elif ids != self._picked_ids():
            self._session.picker.pick_patches(ids)
            return
        numbers = dict.fromkeys(self.rows.pick_of(row) for row in others)
        self._session.settings.choose(tuple(number for number in numbers if number is not None))

    def _picked_ids(self) -> set[int]:
        placed = self._session.placed
        return patches_of_picks(self._session.job.picks, placed.patch_of_face) if placed is not None else set()

    def _clicked(self, row: QTreeWidgetItem) -> None:
        kind = row.data(0, KIND)
        pages = {
            "part": "place",
            "patches": "place",
            "patch": "sink",
            "picked": "sink",
            "sinks": "sink",
            "sink": "sink",
            "zones": "process",
            "zone": "process",
            "process": "process",
            "findings": "check",
            "finding": "check",
        }
        if kind in pages:
            self.page_wanted.emit(pages[kind])
        if kind in ("zones", "zone"):
            self.zone_wanted.emit()
        result = self._session.result
        if kind == "finding" and result is not None:
            self.finding_wanted.emit(result.findings[row.data(0, NUMBER)])

    def _eye_changed(self, row: QTreeWidgetItem) -> None:
        eye = {"sink": self.sink_eye, "zone": self.zone_eye}.get(row.data(0, KIND))
        if eye is not None:
            on = self.rows.eye_changed(row)
            eye.emit(row.data(0, NUMBER), on)

    def redraw_icons(self) -> None:
        """After a change between light and dark."""
        for row in (self.part_row, self.patch_row, self.sink_row, self.zone_row, self.process_row, self.finding_row):
            row.setIcon(0, icon(row.data(0, PICTURE)))
        self.rows.show()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.matches(QKeySequence.StandardKey.Copy):
            self.copy_patches()
        elif event.key() == Qt.Key.Key_Escape:
            self._session.picker.clear()
        else:
            super().keyPressEvent(event)

    def copy_patches(self) -> None:
        """Put the patch table on the clipboard, columns parted by tabs."""
        QGuiApplication.clipboard().setText(patches_as_text(self._session.patches))
