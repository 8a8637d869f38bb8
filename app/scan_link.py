"""Brings a scan to the view: flies to a patch of it, asks where to export."""

from typing import TYPE_CHECKING

import numpy as np

from app import messages
from app.panels.scan_panel import ScanPanel
from app.scan_follower import ScanFollower

if TYPE_CHECKING:
    from app.workbench import Workbench

FACING = 0.25
"""Cosine between the way a patch looks and the way to the eye, above which the view is left as it is."""


def make_scan_panel(bench: "Workbench") -> ScanPanel:
    """The panel of the scan with all that it moves; the follower becomes the workbench's."""
    follower = ScanFollower(bench.session, bench.background, bench)
    bench.scan = follower
    panel = ScanPanel(bench.session, follower)

    def show_patch(number: int) -> None:
        """Bring a patch to the middle; turn the view only where it shows the patch's back or edge."""
        result = follower.result
        patch = next((p for p in result.patches if p.id == number), None) if result is not None else None
        if result is None or patch is None:
            return
        weights = result.part.areas_mm2[patch.faces]
        middle = np.average(result.part.corners_mm[patch.faces].mean(axis=1), axis=0, weights=weights)
        normal = np.average(result.part.normals[patch.faces], axis=0, weights=weights)
        for look in ("below", "bottom"):
            if normal @ bench.view.moves.axes()[2] > FACING:
                break
            bench.view.look(look)
        bench.view.fly_to((float(middle[0]), float(middle[1]), float(middle[2])))

    def export() -> None:
        title = bench.tr("Export what the scan showed to a folder")
        folder = messages.ask_export_folder(bench.window, bench.settings.last_folder(), title)
        if folder is not None:
            bench.settings.set_last_folder(str(folder))
            follower.export(folder)

    panel.results.patch_chosen.connect(show_patch)
    panel.results.export_wanted.connect(export)
    panel.results.colours_wanted.connect(lambda: bench.colours.choose("scan"))
    follower.exported.connect(lambda *words: bench.files.tell_exported(*words))
    follower.failed.connect(bench.session.tell_failure)
    return panel
