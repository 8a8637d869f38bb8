"""Brings the temperatures of a followed build onto the part and into the layer strip, and says them in words."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QObject

from app.heat_follower import HeatFollower
from app.session import Session
from app.view.colour_scales import round_range
from app.view.heat_curves import HeatCurves
from app.view.layer_strip import LayerStrip
from app.view.part_view import PartView
from core.heat.compare_heat import HeatComparison
from core.units import FloatArray

ANGLE = "angle"


@dataclass(frozen=True, kw_only=True)
class Colouring:
    """One way to colour the part: its values (n_faces,), and those that its scale has to hold."""

    key: str
    title: str
    unit: str
    values: Callable[[HeatComparison], FloatArray]
    scaled_with: Callable[[HeatComparison], tuple[FloatArray, ...]]


class HeatLink(QObject):
    """While the temperatures don't belong to the job, the part has the colours of its angles."""

    def __init__(
        self, session: Session, follower: HeatFollower, view: PartView, strip: LayerStrip, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._session, self._follower, self._view, self._strip = session, follower, view, strip
        self._shown: object = None
        self.wanted = ANGLE
        self.colourings = _colourings(self.tr)
        choice = view.colour_choice
        choice.addItem(self.tr("Downskin angle"), ANGLE)
        for colouring in self.colourings:
            choice.addItem(colouring.title, colouring.key)
        choice.activated.connect(self._chosen)
        session.patches_changed.connect(self._show_anew)
        follower.changed.connect(self._show)

    def choose(self, key: str) -> None:
        """Colour by 'angle' or the key of a colouring, as soon as there are temperatures."""
        self.wanted = key
        self._show()

    def _chosen(self) -> None:
        self.choose(self._view.colour_choice.currentData())

    @property
    def _current(self) -> HeatComparison | None:
        """The comparison, if it belongs to the job and to the part shown."""
        comparison, part = self._follower.comparison, self._session.part
        fits = comparison is not None and part is not None and len(comparison.face_cooler_k) == part.n_faces
        return comparison if fits and self._follower.is_current else None

    def _show_anew(self) -> None:
        """The view was just coloured by angles."""
        self._shown = None
        self._show()

    def _show(self) -> None:
        comparison = self._current
        key = self.wanted if comparison is not None else ANGLE
        self._view.colour_choice.setVisible(comparison is not None)
        self._view.colour_choice.show_choice(key)
        self._show_curves()
        if self._shown == (key, comparison):
            return
        was_angle = self._shown is None or (isinstance(self._shown, tuple) and self._shown[0] == ANGLE)
        self._shown = (key, comparison)
        placed = self._session.placed
        if key == ANGLE or comparison is None:
            if placed is not None and not was_angle:
                self._view.colour_angles(placed.angles_deg, self._session.job.max_angle_deg)
            return
        colouring = next(one for one in self.colourings if one.key == key)
        beside = np.concatenate(colouring.scaled_with(comparison))
        low, high = round_range(float(beside.min()), float(beside.max()))
        self._view.colour_heat(colouring.values(comparison), colouring.title, low, high, colouring.unit)

    def _show_curves(self) -> None:
        comparison = self._follower.comparison
        stale = not self._follower.is_current
        if comparison is None:
            if self._strip.curves is not None:
                self._strip.show_curves(None)
        else:
            self._strip.show_curves(HeatCurves.of(comparison, stale=stale))

    def words(self, face: int) -> str:
        """The temperatures of a face for the read-out; empty when there are none for the job as it is."""
        comparison = self._current
        if comparison is None:
            return ""
        with_c, without_c = comparison.with_sinks.face_between_c[face], comparison.without.face_between_c[face]
        return self.tr("with sinks {0} °C, without {1} °C").format(f"{with_c:.0f}", f"{without_c:.0f}")


def _colourings(tr: Callable[[str], str]) -> tuple[Colouring, ...]:
    def both(c: HeatComparison) -> tuple[FloatArray, ...]:
        return c.with_sinks.face_between_c, c.without.face_between_c

    return (
        Colouring(key="with", title=tr("Between layers, with sinks"), unit="°C",
                  values=lambda c: c.with_sinks.face_between_c, scaled_with=both),
        Colouring(key="without", title=tr("Between layers, without sinks"), unit="°C",
                  values=lambda c: c.without.face_between_c, scaled_with=both),
        Colouring(key="cooler", title=tr("Cooler by, thanks to sinks"), unit="K",
                  values=lambda c: c.face_cooler_k, scaled_with=lambda c: (c.face_cooler_k, np.zeros(1))),
        Colouring(key="peak", title=tr("Just after exposure, with sinks"), unit="°C",
                  values=lambda c: c.with_sinks.face_peak_c, scaled_with=lambda c: (c.with_sinks.face_peak_c,)),
    )  # fmt: skip
