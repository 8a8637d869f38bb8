"""The layer images as colours on the part: each face by the mean score just above it, on one scale for all builds."""

from collections.abc import Callable, Hashable

import numpy as np

from app.images_follower import ImagesFollower
from app.session import Session
from app.view.colour_scales import SCORES, ValueScale
from app.view.part_view import PartView
from core.units import FloatArray

LOW, HIGH = -3.0, 6.0
"""Robust standard deviations from the usual grey value of a layer; the same for all, so that pictures compare."""


class ImagesColouring:
    """Grey while the comparison is out of date, and where the images tell nothing."""

    key = "images"

    def __init__(self, session: Session, follower: ImagesFollower, tr: Callable[[str], str]) -> None:
        self._session, self._follower, self._tr = session, follower, tr
        self.title = tr("Layer images")

    def state(self) -> Hashable:
        result = self._follower.result
        if result is None:
            return None
        scores = self._fitting()
        return (result.comparison, scores is not None)

    def _fitting(self) -> FloatArray | None:
        """(n_faces,) scores, if they belong to the job and to the part shown."""
        result = self._follower.result
        return result.face_scores if result is not None and self._follower.is_current else None

    def show(self, view: PartView) -> None:
        part, scores = self._session.part, self._fitting()
        if part is None:
            return
        if scores is None:
            view.colour_values(np.full(part.n_faces, np.nan), self._scale(self._tr("out of date")))
        else:
            view.colour_values(scores, self._scale(self._tr("not told by the images")))

    def _scale(self, grey: str) -> ValueScale:
        """grey: what the faces without a colour are."""
        return ValueScale(
            title=self._tr("Layer images, score above each face"),
            unit="σ",
            low=LOW,
            high=HIGH,
            map=SCORES,
            marks={LOW: "−3", 0.0: self._tr("0, usual"), 3.0: "3", HIGH: "≥ 6"},
            grey=grey,
        )

    def words(self, face: int) -> str:
        """The score of a face for the read-out; empty when there is none for the job as it is."""
        scores = self._fitting()
        if scores is None or np.isnan(scores[face]):
            return ""
        return self._tr("layer images {0} σ").format(f"{scores[face]:+.1f}".replace("-", "−"))
