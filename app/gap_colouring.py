"""The powder gap as colours on the part: each face by its least distance to the nearest sink."""

from collections.abc import Callable, Hashable

import numpy as np

from app.gap_mapper import GapMapper
from app.session import Session
from app.view.colour_scales import GAPS, ValueScale
from app.view.part_view import PartView
from core.gap.face_gaps import FaceGaps
from core.units import FloatArray

LAYERS_BELOW, LAYERS_ABOVE = 2, 4
"""The scale runs from the gap asked for less two layers, which is never below 0, to the gap and four layers."""


class GapColouring:
    """Grey while the gaps are out of date or being measured, and where no sink is near."""

    key = "gap"

    def __init__(self, session: Session, mapper: GapMapper, tr: Callable[[str], str]) -> None:
        self._session, self._mapper, self._tr = session, mapper, tr
        self.title = tr("Powder gap")

    def state(self) -> Hashable:
        if not self._mapper.has_sinks:
            return None
        gaps = self._fitting()
        if gaps is not None:
            return gaps
        return self._grey_words(), self._ends_um()

    def _grey_words(self) -> str:
        return self._tr("being measured…") if self._mapper.sinks_are_current else self._tr("out of date")

    def _fitting(self) -> FaceGaps | None:
        """The gaps, if they belong to the job and to the part shown."""
        gaps, part = self._mapper.current, self._session.part
        return gaps if gaps is not None and part is not None and len(gaps.distance_mm) == part.n_faces else None

    def show(self, view: PartView) -> None:
        gaps, part = self._fitting(), self._session.part
        if part is None:
            return
        if gaps is None:
            view.colour_values(np.full(part.n_faces, np.nan), self._scale(self._grey_words()))
        else:
            near = self._tr("no sink within {0} µm").format(f"{1e3 * gaps.within_mm:g}")
            view.colour_values(in_um(gaps), self._scale(near))

    def _ends_um(self) -> tuple[float, float, float, float]:
        """Low end of the scale, least and largest gap asked for, high end."""
        result = self._session.result
        gaps_um = [1e3 * sink.gap_mm for sink in result.sinks] if result is not None else [0.0]
        layer_um = 1e3 * self._session.job.laser.layer_mm
        least, most = min(gaps_um), max(gaps_um)
        return max(0.0, least - LAYERS_BELOW * layer_um), least, most, most + LAYERS_ABOVE * layer_um

    def _scale(self, grey: str) -> ValueScale:
        """grey: what the faces without a colour are."""
        low, least, most, high = self._ends_um()
        apart = most - least > 0.2 * (high - low)
        marks = (low, least, most) if apart else (low, least, (least + high) / 2)
        return ValueScale(
            title=self._tr("Powder gap, least of each face"),
            unit="µm",
            low=low,
            high=high,
            map=GAPS,
            marks={mark: f"{round(mark, 1):g}" for mark in marks} | {high: f"≥ {round(high, 1):g}"},
            grey=grey,
        )

    def words(self, face: int) -> str:
        gaps = self._fitting()
        if gaps is None or np.isnan(gaps.distance_mm[face]):
            return ""
        if np.isinf(gaps.distance_mm[face]):
            return self._tr("no sink within {0} µm").format(f"{1e3 * gaps.within_mm:g}")
        return self._tr("powder gap {0} µm").format(f"{1e3 * gaps.distance_mm[face]:.1f}")


def in_um(gaps: FaceGaps) -> FloatArray:
    """(n_faces,) µm; NaN where nothing was measured and where no sink is near."""
    return np.where(np.isfinite(gaps.distance_mm), 1e3 * gaps.distance_mm, np.nan)
