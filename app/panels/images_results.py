"""What layer images showed: place, patches, hot spots, and the image of one layer; grey while it is out of date."""

from typing import TYPE_CHECKING, Any

import numpy as np
from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QTreeWidget, QTreeWidgetItem, QWidget

from app.images_follower import ImagesFollower
from app.panels.fields import Form, NumberField, plain_text
from app.panels.images_words import difference_words, heat_words, notes_words, place_words, spots_words
from app.panels.layer_picture import LayerPicture
from app.panels.result_page import ResultPage

if TYPE_CHECKING:
    from core.run_images import ImagesResult
    from core.trial.compare_images import HotSpot

MOST_SPOTS = 500
ROWS_SEEN = 7
RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
SPOT_ROLE = Qt.ItemDataRole.UserRole


class ImagesResults(ResultPage):
    """Follows the follower; a spot or a layer that is chosen is told to the view and the strip."""

    spot_chosen = Signal(object)
    """A HotSpot was clicked."""
    height_chosen = Signal(float)
    """Top of the layer whose image is looked at, mm."""
    export_wanted = Signal()

    def __init__(self, follower: ImagesFollower, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._follower = follower
        self._shown: object = None
        body = self.body
        self.place, self.difference, self.heat, self.spots_text, self.notes = (
            plain_text(parent=self.page) for _ in range(5)
        )
        tr = self.tr
        self.patches = _table(
            tr("Patches in the layer images"), (tr("Patch"), tr("Sink"), tr("Mean σ"), tr("Hot pixels")), self.page
        )
        self.spots = _table(
            tr("Hot spots"), (tr("Layer"), tr("z mm"), tr("mm²"), tr("Top σ"), tr("Patch")), self.page
        )
        self.spots.currentItemChanged.connect(self._take)
        self.spots.itemClicked.connect(self._take)
        self.layer = NumberField(
            unit="", decimals=0, step=1, default=1, low=1, high=1, name=tr("Layer shown"), parent=self.page
        )
        self.layer.edited.connect(self._layer_entered)
        self.picture = LayerPicture(tr("Image of the layer"), self.page)
        self.picture_text = plain_text(parent=self.page)
        form = Form(self.page)
        form.add(tr("Layer shown"), self.layer)
        self.copy_button = QPushButton(tr("Copy tables"), self.page)
        self.copy_button.setToolTip(tr("Patches and all hot spots, for a spreadsheet."))
        self.copy_button.clicked.connect(self._copy)
        self.export_button = QPushButton(tr("Export images…"), self.page)
        self.export_button.setToolTip(tr("Write values, tables and pictures of the worst layers to a folder"))
        self.export_button.clicked.connect(self.export_wanted)
        row = QHBoxLayout()
        row.addWidget(self.copy_button)
        row.addWidget(self.export_button)
        for widget in (self.place, self.patches, self.difference, self.heat, self.spots_text, self.spots, form,
                       self.picture, self.picture_text, self.notes):  # fmt: skip
            body.addWidget(widget)
        body.addLayout(row)
        follower.changed.connect(self._show)
        self._show()

    def _show(self) -> None:
        result, current = self._follower.result, self._follower.is_current
        old = self.tr("Out of date: the part, its patches or its sinks are not those that were compared.")
        self.show_state(there=result is not None, current=current, old=old)
        if result is None:
            self._shown = None
            return
        self.heat.setText(heat_words(result.heat))
        if result.comparison is not self._shown:
            self._shown = result.comparison
            self._fill(result)

    def _fill(self, result: "ImagesResult") -> None:
        found, asked = result.comparison, self._follower.asked
        if asked is not None:
            self.place.setText(place_words(result, asked.source))
        self.difference.setText(difference_words(found.difference))
        self.notes.setText(notes_words(result))
        shown = found.spots[:MOST_SPOTS]
        self.spots_text.setText(spots_words(len(found.spots), len(shown), found.choice.z_limit))
        yes, no = self.tr("yes"), self.tr("no")
        _fill(self.patches, [(_patch_row(p, yes, no), None) for p in found.patches])
        with QSignalBlocker(self.spots):
            _fill(self.spots, [(_spot_row(spot), spot) for spot in shown])
        self.spots.setVisible(bool(shown))
        self.layer.setMaximum(len(result.images))
        worst = shown[0].layer if shown else 1 + next(iter(found.worst_layers), 0)
        self._show_layer(worst)

    def _take(self, item: QTreeWidgetItem | None, *_: Any) -> None:
        """A spot was clicked, or reached by the arrow keys."""
        if item is not None:
            spot: HotSpot = item.data(0, SPOT_ROLE)
            self._show_layer(spot.layer)
            self.spot_chosen.emit(spot)

    def _layer_entered(self, value: float) -> None:
        self._show_layer(round(value))
        if self._follower.result is not None:
            self.height_chosen.emit(self._follower.result.comparison.choice.top_mm(round(value) - 1))

    def _show_layer(self, layer: int) -> None:
        """layer: counted from 1."""
        self.layer.show_value(layer)
        self._follower.draw(layer - 1, self._drawn, self._not_drawn)

    def _drawn(self, answer: tuple[int, "np.ndarray[Any, Any]"]) -> None:
        layer, rgb = answer
        result = self._follower.result
        if result is not None and layer + 1 == round(self.layer.value()):
            self.picture.show_image(rgb)
            self.picture_text.setText(
                self.tr("Layer {0}, up to {1} mm: outline of the part's slice in teal, hot spots ringed.").format(
                    layer + 1, f"{result.comparison.choice.top_mm(layer):.2f}"
                )
            )

    def _not_drawn(self, text: str) -> None:
        self.picture.show_words(text)
        self.picture_text.clear()

    def _copy(self) -> None:
        result = self._follower.result
        if result is not None:
            lines = ["patch\tsink\tlayers\tmean_z\thot_share"]
            for p in result.comparison.patches:
                share = p.hot_pixels / p.pixels if p.pixels else float("nan")
                sink = "yes" if p.with_sink else "no"
                lines.append(f"{p.patch}\t{sink}\t{len(p.layers)}\t{p.mean:.4f}\t{share:.5f}")
            lines += ["", "layer\tx_mm\ty_mm\tz_mm\tarea_mm2\thighest_z\tpatch"]
            lines += [
                f"{s.layer}\t{s.x_mm:.3f}\t{s.y_mm:.3f}\t{s.z_mm:.3f}\t{s.area_mm2:.3f}\t{s.highest_z:.2f}\t"
                f"{'' if s.patch is None else s.patch}"
                for s in result.comparison.spots
            ]
            QGuiApplication.clipboard().setText("\n".join(lines) + "\n")


def _table(name: str, heads: tuple[str, ...], parent: QWidget) -> QTreeWidget:
    table = QTreeWidget(parent)
    table.setAccessibleName(name)
    table.setHeaderLabels(list(heads))
    table.setRootIsDecorated(False)
    table.setUniformRowHeights(True)
    table.header().setAccessibleName(name)
    table.header().setStretchLastSection(True)
    for column in range(len(heads)):
        table.headerItem().setTextAlignment(column, RIGHT)
    return table


def _fill(table: QTreeWidget, rows: "list[tuple[tuple[str, ...], HotSpot | None]]") -> None:
    """Rows with what they stand for; as high as its rows, up to some."""
    table.clear()
    items = []
    for words, what in rows:
        item = QTreeWidgetItem(list(words))
        item.setData(0, SPOT_ROLE, what)
        for column in range(len(words)):
            item.setTextAlignment(column, RIGHT)
        items.append(item)
    table.addTopLevelItems(items)
    for column in range(table.columnCount() - 1):
        table.resizeColumnToContents(column)
    line = table.sizeHintForRow(0) if rows else table.fontMetrics().height()
    table.setFixedHeight(table.header().sizeHint().height() + line * min(max(len(rows), 1), ROWS_SEEN) + 4)


def _patch_row(p: Any, yes: str, no: str) -> tuple[str, ...]:
    mean = f"{p.mean:+.2f}".replace("-", "−") if len(p.layers) else "–"
    return str(p.patch), yes if p.with_sink else no, mean, f"{p.hot_pixels / p.pixels:.2%}" if p.pixels else "–"


def _spot_row(s: "HotSpot") -> tuple[str, ...]:
    patch = "–" if s.patch is None else str(s.patch)
    return str(s.layer), f"{s.z_mm:.2f}", f"{s.area_mm2:.2f}", f"{s.highest_z:.1f}", patch
