"""Keeps the view and the layer strip in step with the session, and turns clicks in them into picks."""

from collections.abc import Callable

import numpy as np
from PySide6.QtCore import QObject, Signal

from app.session import Session
from app.view.layer_strip import LayerStrip
from app.view.part_view import PartView
from core.checks.finding import Finding
from core.job import faces_of

WAY_SHARE = 0.6
"""Length up to which a way off is drawn, as a share of the part's diagonal."""


class ViewLink(QObject):
    """Draws what the session reports; says what lies under the mouse."""

    hovered = Signal(str)
    """One line for the status bar."""
    picked = Signal()
    """A face was clicked and taken."""
    sink_chosen = Signal(int)

    def __init__(self, session: Session, view: PartView, strip: LayerStrip, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._session, self.view, self._strip = session, view, strip
        self.more_words: tuple[Callable[[int], str], ...] = ()
        """What to add on the gap and the temperatures of a face."""
        self._plate = session.job.plate
        self._preview_shape: tuple[int, ...] = ()
        session.part_changed.connect(self._show_part)
        session.patches_changed.connect(self._show_patches)
        session.picks_changed.connect(self._show_picks)
        session.preview_changed.connect(self._show_preview)
        session.result_changed.connect(self._show_result)
        session.state.changed.connect(self._show_plate)
        view.face_clicked.connect(self._clicked)
        view.face_hovered.connect(self._hovered)
        view.clear_wanted.connect(session.picker.clear)
        view.sink_clicked.connect(self.sink_chosen)
        strip.height_chosen.connect(view.cut_at)
        view.section_bar.opened.connect(strip.forget_cut)
        self._shown_result: object = None

    def _show_part(self, fit: bool) -> None:
        self._plate = self._session.job.plate
        self._shown_result, self._preview_shape = None, ()
        self._strip.forget_cut()
        placed = self._session.placed
        sharp_mm = placed.sharp_mm if placed is not None else None
        self.view.show_part(self._session.part, self._plate, fit=fit, sharp_mm=sharp_mm)

    def _show_plate(self) -> None:
        if self._session.job.plate != self._plate:
            self._plate = self._session.job.plate
            self.view.show_plate(self._plate)

    def _show_patches(self) -> None:
        placed = self._session.placed
        if placed is None:
            return
        part = placed.part
        self.view.show_angles(placed.angles_deg, placed.low_faces, self._session.job.max_angle_deg)
        heights = part.corners_mm[placed.low_faces, :, 2].mean(axis=1)
        self._strip.show_areas(float(part.high_mm[2]), heights, part.areas_mm2[placed.low_faces])

    def _show_picks(self) -> None:
        picks = self._session.job.picks
        faces = np.concatenate([faces_of(pick) for pick in picks]) if picks else np.zeros(0, dtype=np.int32)
        self._preview_shape = ()
        self.view.show_picked(faces)
        self._strip.show_picked([(patch.z_min_mm, patch.z_max_mm) for patch in self._session.picked])

    def _show_preview(self) -> None:
        """While the slider moves: the tops at its gap in place of the sinks."""
        if self._session.preview_gap_mm is None:
            self.view.end_preview()
            return
        tops = self._session.previews()
        if not tops:
            return
        points = [top.points_mm(gap_mm) for top, gap_mm in tops]
        shape = tuple(len(some) for some in points)
        if shape != self._preview_shape:
            self._preview_shape = shape
            starts = np.cumsum([0, *shape[:-1]])
            triangles = np.concatenate([top.triangles + start for (top, _), start in zip(tops, starts, strict=True)])
            self.view.start_preview(np.concatenate(points), triangles)
        else:
            self.view.move_preview(points[0] if len(points) == 1 else np.concatenate(points))

    def _show_result(self) -> None:
        result = self._session.result if self._session.job.picks else None
        if result is not self._shown_result:
            self._shown_result = result
            self.view.show_sinks(result.sinks if result is not None else ())
        self.view.set_sinks_stale(not self._session.result_is_current)

    def show_finding(self, finding: Finding) -> None:
        """Go to the place of a finding, and draw the way off that it tells of."""
        part = self._session.part
        if part is not None:
            way_mm = np.array(finding.way_mm, dtype=float).reshape(-1, 3)
            self.view.scene.show_way(way_mm, WAY_SHARE * float(np.linalg.norm(part.size_mm)))
            if finding.at_mm is not None:
                self.view.fly_to(finding.at_mm)
            elif len(way_mm):
                ends = np.vstack([part.low_mm, part.high_mm, self.view.scene.way.ends_mm])
                self.view.moves.fit(ends.min(axis=0), ends.max(axis=0))
            self.view.changed()

    def _clicked(self, face: int, how: str) -> None:
        self._session.picker.pick_face(face, how)
        self.picked.emit()

    def _hovered(self, face: int) -> None:
        placed = self._session.placed
        if face < 0 or placed is None or face >= placed.part.n_faces:
            self.hovered.emit(self.view.tool.words() if self.view.tool is not None else "")
            return
        angle = float(placed.angles_deg[face])
        low, high = placed.part.corners_mm[face, :, 2].min(), placed.part.corners_mm[face, :, 2].max()
        owner = int(placed.patch_of_face[face])
        patch = next((patch for patch in placed.patches if patch.id == owner), None)
        if patch is not None:
            what = self.tr("patch {0}, area {1} mm²").format(patch.id, f"{patch.area_mm2:.1f}")
        else:
            what = self.tr("face of {0} mm²").format(f"{placed.part.areas_mm2[face]:.2f}")
        height = f"{low:.2f}" if high - low < 0.005 else f"{low:.2f}–{high:.2f}"
        kind = self.tr("downskin angle {0}°") if angle < 90 else self.tr("angle {0}°, no downskin")
        more = (words(face) for words in self.more_words)
        told = (kind.format(f"{angle:.1f}"), what, self.tr("height {0} mm").format(height), *more)
        self.hovered.emit(" · ".join(text for text in told if text))
