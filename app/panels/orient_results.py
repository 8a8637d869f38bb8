"""What the orientation study found: plot, table that can be sorted, the chosen one large, and a button to take it."""

from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QGuiApplication, QIcon, QPixmap
from PySide6.QtWidgets import (
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QPushButton,
    QTreeWidget,
    QTreeWidgetItem,
    QWidget,
)  # fmt: skip

from app.orient_follower import OrientFollower
from app.panels.fields import ChoiceBox, plain_text
from app.panels.orient_plot import OrientPlot
from app.panels.result_page import ResultPage

if TYPE_CHECKING:
    from core.export.orientation_study import Orientation, OrientationStudy

ROW_PX, ROWS_SEEN = 36, 6
NUMBER = Qt.ItemDataRole.UserRole


class Row(QTreeWidgetItem):
    """Sorted by the numbers, not by their words."""

    def __init__(self, number: int, values: list[float], words: list[str]) -> None:
        super().__init__(words)
        self.setData(0, NUMBER, number)
        self._values = values
        for column in range(1, len(words)):
            self.setTextAlignment(column, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)

    def __lt__(self, other: QTreeWidgetItem) -> bool:
        column = self.treeWidget().sortColumn()
        return self._values[column] < other._values[column] if isinstance(other, Row) else super().__lt__(other)


class OrientResults(ResultPage):
    """Follows the follower; plot, table and picture show the same choice."""

    export_wanted = Signal()

    def __init__(self, follower: OrientFollower, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._follower = follower
        self._shown: object = None
        tr = self.tr
        self.aims = (tr("Low-angle area, mm²"), tr("Mass of the sinks, g"), tr("Build height, mm"), tr("Rise, K"))
        body = self.body
        self.heading = plain_text(parent=self.page)
        self.across, self.up = ChoiceBox(tr("Value across"), self.page), ChoiceBox(tr("Value upward"), self.page)
        for box, first in ((self.across, 0), (self.up, 1)):
            for number, words in enumerate(self.aims):
                box.addItem(words, number)
            box.setCurrentIndex(first)
            box.setSizeAdjustPolicy(ChoiceBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
            box.setMinimumContentsLength(8)
            box.activated.connect(self._show_plot)
        axes = QHBoxLayout()
        axes.addWidget(self.across, 1)
        axes.addWidget(self.up, 1)
        self.plot = OrientPlot(self.page)
        self.plot.chosen.connect(self.choose)
        self.table = self._table()
        self.picture = QLabel(self.page)
        self.picture.setAccessibleName(tr("Picture of the chosen orientation"))
        self.picture.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.words = plain_text(parent=self.page)
        self.take_button = QPushButton(tr("Take this orientation"), self.page)
        self.take_button.setToolTip(tr("Turn the part so and lower it onto the plate; one step to undo."))
        self.take_button.clicked.connect(self._take)
        self.copy_button = QPushButton(tr("Copy table"), self.page)
        self.copy_button.clicked.connect(self._copy)
        self.export_button = QPushButton(tr("Export…"), self.page)
        self.export_button.setAccessibleName(tr("Export the orientations"))
        self.export_button.setToolTip(tr("Write table, values and pictures to a folder"))
        self.export_button.clicked.connect(self.export_wanted)
        self.notes = plain_text(parent=self.page)
        body.addWidget(self.heading)
        body.addLayout(axes)
        for widget in (self.plot, self.table, self.picture, self.words, self.take_button):
            body.addWidget(widget)
        row = QHBoxLayout()
        row.addWidget(self.copy_button)
        row.addWidget(self.export_button)
        body.addLayout(row)
        body.addWidget(self.notes)
        follower.changed.connect(self._show)
        self._show()

    def _table(self) -> QTreeWidget:
        tr, table = self.tr, QTreeWidget(self.page)
        table.setAccessibleName(tr("Orientations that none beats"))
        table.setHeaderLabels(["", tr("Area\nmm²"), tr("Sinks\ng"), tr("High\nmm"), tr("Rise\nK"), tr("Free")])
        tips = (
            tr("Number, the most even one first"),
            self.aims[0],
            tr("Estimated metal of the sinks under it"),
            self.aims[2],
            tr("1-D estimate of the worst patch with the job's sink"),
            tr("Whether the sinks can be taken off, as a look down and to eight sides tells"),
        )
        for k, tip in enumerate(tips):
            table.headerItem().setToolTip(k, tip)
            table.headerItem().setTextAlignment(k, Qt.AlignmentFlag.AlignRight)
        table.setRootIsDecorated(False)
        table.setUniformRowHeights(True)
        table.setIconSize(QSize(ROW_PX + 6, ROW_PX))
        table.setSortingEnabled(True)
        table.sortByColumn(0, Qt.SortOrder.AscendingOrder)
        table.header().setAccessibleName(tr("Columns of the orientations"))
        table.header().setStretchLastSection(False)
        table.header().setMinimumSectionSize(26)
        table.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        table.currentItemChanged.connect(self._row_changed)
        table.itemDoubleClicked.connect(self._take)
        return table

    @property
    def current(self) -> int:
        """Number of the orientation chosen, from 0; -1 for none."""
        item = self.table.currentItem()
        return int(item.data(0, NUMBER)) if item is not None else -1

    def choose(self, number: int) -> None:
        """Show one of the front everywhere."""
        for k in range(self.table.topLevelItemCount()):
            item = self.table.topLevelItem(k)
            if item is not None and item.data(0, NUMBER) == number:
                self.table.setCurrentItem(item)

    def _show(self) -> None:
        study, current = self._follower.study, self._follower.is_current
        old = self.tr("Out of date: settings, part or faces that must not look down are others now.")
        self.show_state(there=study is not None, current=current, old=old)
        if study is not self._shown:
            self._shown = study
            if study is not None:
                self._fill(study)

    def _fill(self, study: "OrientationStudy") -> None:
        from core.export.orientation_study import LIMITS  # loaded already, as there is a study

        tr = self.tr
        lines = [tr("{0} of {1} orientations are beaten by none in area, sinks, height and rise together.").format(
            len(study.front), study.tried_count)]  # fmt: skip
        if study.n_forbidden:
            lines.append(tr("{0} more would turn a marked face down.").format(study.n_forbidden))
        if study.n_too_high:
            lines.append(tr("{0} more are higher than the build volume.").format(study.n_too_high))
        self.heading.setText("\n".join(lines))
        self.notes.setText("\n".join(LIMITS))
        table = self.table
        table.clear()
        for number, one in enumerate(study.front):
            row = Row(number, [number, *one.aims, float(one.removable)], self._cells(number, one))
            picture = QPixmap()
            picture.loadFromData(self._follower.pictures[number], "PNG")
            row.setIcon(0, QIcon(picture))
            table.addTopLevelItem(row)
        header = table.header()
        header.setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.ResizeToContents)
        seen = min(len(study.front), ROWS_SEEN)
        table.setFixedHeight(header.sizeHint().height() + (ROW_PX + 2) * seen + 4)
        self._show_plot()
        self.choose(0)

    def _cells(self, number: int, one: "Orientation") -> list[str]:
        off = self.tr("yes") if one.removable else self.tr("no")
        return [str(number + 1), f"{one.low_angle_mm2:.0f}", f"{one.sink_g:.1f}", f"{one.height_mm:.1f}",
                f"{one.rise_k:.0f}", off]  # fmt: skip

    def _show_plot(self) -> None:
        study = self._follower.study
        if study is None:
            return
        axes = [self.across.currentData(), self.up.currentData()]
        front = np.array([one.aims for one in study.front])[:, axes]
        titles = (self.across.currentText(), self.up.currentText())
        self.plot.show_values(study.tried[:, axes], front, np.array(study.now.aims)[axes], titles)

    def _row_changed(self) -> None:
        study, number = self._follower.study, self.current
        self.plot.show_current(number)
        self.take_button.setEnabled(number >= 0)
        if study is None or number < 0:
            return
        one, tr = study.front[number], self.tr
        picture = QPixmap()
        picture.loadFromData(self._follower.pictures[number], "PNG")
        self.picture.setPixmap(picture)
        turn = ", ".join(f"{angle:g}°" for angle in one.rotate_deg)
        stands = tr("rests on the plate by {0} mm²").format(f"{one.rest_mm2:.0f}")
        if one.rest_mm2 < 1.0:
            stands = tr("stands on an edge or a point, so something else must hold it")
        self.words.setText(
            "\n".join((
                tr("Turned about X, Y, Z by {0}; {1}.").format(turn, stands),
                tr("{0} patches, {1} islands; highest sink {2} mm.").format(
                    one.patches, one.islands, f"{one.sink_mm:.1f}"),
            ))
        )  # fmt: skip

    def _take(self) -> None:
        study, number = self._follower.study, self.current
        if study is not None and number >= 0 and self._follower.is_current:
            self._follower.turn_as(study.front[number])

    def _copy(self) -> None:
        if self._follower.study is not None:
            from core.export.orientation_sheet import table_text

            QGuiApplication.clipboard().setText(table_text(self._follower.study, "\t"))
