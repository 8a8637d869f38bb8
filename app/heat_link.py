"""Brings the temperatures of a followed build onto the part and into the layer strip, and says them in words."""

from collections.abc import Callable, Hashable
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QObject

from app.heat_follower import HeatFollower
from app.session import Session
from app.view.colour_scales import ValueScale, round_range
from app.view.heat_curves import HeatCurves
from app.view.layer_strip import LayerStrip
from app.view.part_view import PartView
from core.heat.compare_heat import HeatComparison
from core.units import FloatArray

Values = Callable[[HeatComparison], FloatArray]


@dataclass(frozen=True, kw_only=True)
class HeatColouring:
    """The temperatures of a followed build on the part: values (n_faces,), and those that the scale has to hold."""

    key: str
    title: str
    unit: str
    values: Values
    scaled_with: Callable[[HeatComparison], tuple[FloatArray, ...]]
    current: Callable[[], HeatComparison | None]
    foot: str

    def state(self) -> Hashable:
        return self.current()

    def show(self, view: PartView) -> None:
        comparison = self.current()
        if comparison is not None:
            beside = np.concatenate(self.scaled_with(comparison))
            low, high = round_range(float(beside.min()), float(beside.max()))
            scale = ValueScale(title=self.title, unit=self.unit, low=low, high=high, foot=self.foot)
            view.colour_values(self.values(comparison), scale)


class HeatLink(QObject):
    """While the temperatures don't belong to the job, there are none to colour by and the curves are grey."""

    def __init__(
        self, session: Session, follower: HeatFollower, strip: LayerStrip, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._session, self._follower, self._strip = session, follower, strip
        self.colourings = self._colourings()
        follower.changed.connect(self._show_curves)

    def _current(self) -> HeatComparison | None:
        """The comparison, if it belongs to the job and to the part shown."""
        comparison, part = self._follower.comparison, self._session.part
        fits = comparison is not None and part is not None and len(comparison.face_cooler_k) == part.n_faces
        return comparison if fits and self._follower.is_current else None

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
        comparison = self._current()
        if comparison is None:
            return ""
        with_c, without_c = comparison.with_sinks.face_between_c[face], comparison.without.face_between_c[face]
        return self.tr("with sinks {0} °C, without {1} °C").format(f"{with_c:.0f}", f"{without_c:.0f}")

    def _colourings(self) -> tuple[HeatColouring, ...]:
        def both(c: HeatComparison) -> tuple[FloatArray, ...]:
            return c.with_sinks.face_between_c, c.without.face_between_c

        def colouring(
            key: str, title: str, unit: str, values: Values, held: Callable[[HeatComparison], tuple[FloatArray, ...]]
        ) -> HeatColouring:
            foot = self.tr("estimate, calibrate with the coupon")
            return HeatColouring(
                key=key, title=title, unit=unit, values=values, scaled_with=held, current=self._current, foot=foot
            )

        return (
            colouring("with", self.tr("Between layers, with sinks"), "°C", lambda c: c.with_sinks.face_between_c, both),
            colouring("without", self.tr("Between layers, without sinks"), "°C",
                      lambda c: c.without.face_between_c, both),
            colouring("cooler", self.tr("Cooler by, thanks to sinks"), "K", lambda c: c.face_cooler_k,
                      lambda c: (c.face_cooler_k, np.zeros(1))),
            colouring("peak", self.tr("Just after exposure, with sinks"), "°C", lambda c: c.with_sinks.face_peak_c,
                      lambda c: (c.with_sinks.face_peak_c,)),
        )  # fmt: skip
