"""The tools of the view: who holds which, what they do to the job, and what the window says meanwhile."""

from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QObject, Qt, Signal

from app import messages
from app.gap_at_point import GapAtPoint
from app.view.big_picture import PictureChoice, big_picture
from app.view.face_tools import BrushTool, LoopTool
from app.view.measure_tool import MeasureTool
from app.view.picture_dialog import PictureDialog
from app.view.tool import Tool
from core.job import faces_of
from core.part.part import Part
from core.units import FloatArray, IntArray

if TYPE_CHECKING:
    from app.workbench import Workbench

GAP = "gap"


class ViewTools(QObject):
    """Brush, loop, measure, section, see-through sinks, fitting, and pictures at a chosen size."""

    said = Signal(str)
    """What to do with the tool in the hand; empty when there is none."""
    see_through_wanted = Signal(bool)

    def __init__(self, bench: "Workbench") -> None:
        super().__init__(bench)
        self._bench, self._session, self._view = bench, bench.session, bench.view
        self.gaps = GapAtPoint(self._session, bench.background, self)
        self.brush = BrushTool(self._view, self._candidates)
        self.loop = LoopTool(self._view, self._candidates)
        self.measure = MeasureTool(self._view, self.gaps.ask)
        self.tools: dict[str, Tool] = {"brush": self.brush, "loop": self.loop, "measure": self.measure}
        self._sink: int | None = None
        """The sink clicked last, until faces are picked."""
        self._for_gaps, self._told_of_gaps = False, False
        self._picture: PictureChoice | None = None
        for tool in self.tools.values():
            tool.said.connect(self.said)
        for tool in (self.brush, self.loop):
            tool.painted.connect(self._paint)
        self._view.tool_changed.connect(self._tool_changed)
        bench.link.sink_chosen.connect(self._sink_chosen)
        self._session.picks_changed.connect(self._forget_sink)
        self._session.part_changed.connect(self._part_changed)
        bench.colours.shown.connect(self._colours_shown)

    # Tools in the hand ---------------------------------------------------------------------------

    def take(self, name: str, on: bool) -> None:
        """Take a tool, or put it down if it is the one in the hand."""
        tool = self.tools[name]
        if on and self._session.part is not None:
            self._view.take(tool)
            if isinstance(tool, BrushTool | LoopTool):
                tool.prepare()
        elif not on and self._view.tool is tool:
            self._view.take(None)

    def _tool_changed(self) -> None:
        self.said.emit(self._view.tool.words() if self._view.tool is not None else "")

    def _candidates(self) -> tuple[Part, IntArray] | None:
        placed = self._session.placed
        return (placed.part, placed.low_faces) if placed is not None else None

    def _paint(self, faces: IntArray, add: bool) -> None:
        self._session.picker.paint(faces, add=add)

    def _part_changed(self) -> None:
        self._view.take(None)
        self._forget_sink()

    # Section -------------------------------------------------------------------------------------

    def section(self, on: bool) -> None:
        """Start or end the free section."""
        bar = self._view.section_bar
        if on and bar.isHidden():
            bar.start()
        elif not on and not bar.isHidden():
            bar.end()

    # Sinks that can be looked through ------------------------------------------------------------

    def see_through(self, on: bool) -> None:
        """Chosen by the engineer, or for the gaps."""
        if not on:
            self._for_gaps = False
        self._view.set_sinks_see_through(on)

    def _colours_shown(self, key: str) -> None:
        """The gap is read through the sinks, which lie right before it."""
        if key == GAP and not self._view.scene.sink_things.see_through:
            self._for_gaps = True
            self.see_through_wanted.emit(True)
            if not self._told_of_gaps:
                self._told_of_gaps = True
                text = self.tr("Sinks are see-through while the gaps are shown; {0} makes them solid again.")
                keys = self._bench.commands["see_through"].shortcut().toString()
                self._bench.message_bar.say("note", text.format(keys))
        elif key != GAP and self._for_gaps:
            self.see_through_wanted.emit(False)

    # Fitting -------------------------------------------------------------------------------------

    def _sink_chosen(self, number: int) -> None:
        self._sink = number

    def _forget_sink(self) -> None:
        self._sink = None

    def fit_selection(self) -> None:
        """Show the sink clicked last, else the picked faces, else the whole part."""
        box = self._selected_box()
        if box is None:
            self._view.fit()
        else:
            self._view.fit_box(*box)

    def _selected_box(self) -> tuple[FloatArray, FloatArray] | None:
        session = self._session
        if self._sink is not None and session.result is not None and self._sink < len(session.result.sinks):
            points = session.result.sinks[self._sink].vertices_mm
        elif session.part is not None and session.job.picks:
            faces = np.concatenate([faces_of(pick) for pick in session.job.picks])
            points = session.part.corners_mm[faces].reshape(-1, 3)
        else:
            return None
        return points.min(axis=0), points.max(axis=0)

    # Pictures ------------------------------------------------------------------------------------

    def save_picture(self) -> None:
        """Ask for size and ground, then for a file, and write what the view shows."""
        view = self._view
        ratio = view.devicePixelRatioF()
        shown = (round(view.width() * ratio), round(view.height() * ratio))
        dialog = PictureDialog(self._bench.window, shown, self._picture)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.accepted.connect(lambda: self._save_picture(dialog.choice()))
        dialog.open()

    def _save_picture(self, choice: PictureChoice) -> None:
        self._picture = choice
        path = messages.ask_picture_file(self._bench.window, self._bench.settings.last_folder())
        if path is None:
            return
        if big_picture(self._view, choice).save(str(path)):
            width, height = choice.size_px
            text = self.tr("The picture of {0} × {1} pixels is written to {2}.").format(width, height, path)
            self._bench.message_bar.say("ok", text)
        else:
            text = self.tr("The picture could not be written to {0}; choose another folder.").format(path)
            self._bench.message_bar.say("stop", text)
