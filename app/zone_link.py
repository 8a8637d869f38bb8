"""Keeps the zones in the view in step with the session and the ticks of the job tree, and has their command."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QScrollArea

from app.commands import Command
from core.export.result import JobResult

if TYPE_CHECKING:
    from app.workbench import Workbench


class ZoneLink(QObject):
    """Draws what was cut; violet while it belongs to the job, grey when out of date."""

    def __init__(self, bench: "Workbench") -> None:
        super().__init__(bench)
        self._bench, self._view = bench, bench.view
        self._shown: JobResult | None = None
        bench.session.result_changed.connect(self._show)
        bench.session.part_changed.connect(self._forget)
        bench.tree.zone_eye.connect(self._set_visible)
        bench.tree.zone_wanted.connect(self._go_to_panel)

    def _forget(self) -> None:
        """With another part the view has let go of all zones."""
        self._shown = None

    def _show(self) -> None:
        session, things = self._bench.session, self._view.scene.zone_things
        result = session.result if session.job.picks else None
        if result is not self._shown:
            self._shown = result
            self._view.scene.show_zones(result.zones if result is not None else ())
            for number in self._bench.tree.rows.hidden_zones():
                things.set_visible(number, False)
        things.set_stale(not session.result_is_current)
        self._view.changed()

    def _set_visible(self, number: int, on: bool) -> None:
        self._view.scene.zone_things.set_visible(number, on)
        self._view.scene.zone_things.outline_cut()
        self._view.changed()

    def _go_to_panel(self) -> None:
        """The zone's settings stand in the middle of a long page."""
        page, panel = self._bench.pages.currentWidget(), self._bench.process_panel.zone
        if isinstance(page, QScrollArea):
            page.ensureWidgetVisible(panel, 0, panel.height() // 2)


def zone_commands(bench: "Workbench") -> tuple[Command, ...]:
    """One command: all zones seen, or none."""
    text = bench.tr("Show downskin zones")
    return (
        Command(name="show_zones", text=text, run=bench.tree.rows.show_zones, checkable=True, keys="Ctrl+5"),
    )
