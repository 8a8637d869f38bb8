"""Brings the layer images to the view and the layer strip: flies to a hot spot, marks layers, asks where to export."""

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QObject

from app import messages
from app.images_follower import ImagesFollower
from app.panels.images_panel import ImagesPanel
from app.view.hot_layers import HotLayers
from app.view.layer_strip import LayerStrip
from app.view.part_view import PartView

if TYPE_CHECKING:
    from app.workbench import Workbench
    from core.trial.compare_images import HotSpot


class ImagesLink(QObject):
    """While the comparison doesn't fit the job, the marks are grey and no layer is looked at."""

    def __init__(self, follower: ImagesFollower, view: PartView, strip: LayerStrip, parent: QObject) -> None:
        super().__init__(parent)
        self._follower, self._view, self._strip = follower, view, strip
        follower.changed.connect(self._show_layers)

    def _show_layers(self) -> None:
        result, current = self._follower.result, self._follower.is_current
        if result is None:
            if self._strip.hot is not None:
                self._strip.show_hot(None)
            return
        heights = np.unique([spot.z_mm for spot in result.comparison.spots])
        kept = self._strip.hot.chosen_mm if self._strip.hot is not None and current else None
        self._strip.show_hot(HotLayers(heights_mm=heights, chosen_mm=kept, stale=not current))

    def mark_height(self, height_mm: float) -> None:
        """Mark the layer that is looked at; nothing is cut."""
        if self._strip.hot is not None:
            self._strip.show_hot(replace(self._strip.hot, chosen_mm=height_mm))

    def show_spot(self, spot: "HotSpot") -> None:
        """Bring a hot spot to the middle of the view and mark its layer."""
        self._view.fly_to((spot.x_mm, spot.y_mm, spot.z_mm))
        self.mark_height(spot.z_mm)


def make_images_panel(bench: "Workbench") -> ImagesPanel:
    """The panel of the layer images with all that it moves; the follower becomes the workbench's."""
    follower = ImagesFollower(bench.session, bench.background, bench.heat, bench)
    bench.images = follower
    link = ImagesLink(follower, bench.view, bench.strip, bench)
    panel = ImagesPanel(bench.session, follower)
    panel.results.spot_chosen.connect(link.show_spot)
    panel.results.height_chosen.connect(link.mark_height)

    def export() -> None:
        title = bench.tr("Export what the layer images showed to a folder")
        folder = messages.ask_export_folder(bench.window, bench.settings.last_folder(), title)
        if folder is not None:
            bench.settings.set_last_folder(str(folder))
            follower.export(folder)

    panel.results.export_wanted.connect(export)
    follower.exported.connect(lambda *words: bench.files.tell_exported(*words))
    follower.failed.connect(bench.session.tell_failure)
    return panel
