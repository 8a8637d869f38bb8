"""The scan as colours on the part: each face by its mean deviation, on a scale that is the same to both sides of 0."""

from collections.abc import Callable, Hashable

import numpy as np

from app.scan_follower import ScanFollower
from app.session import Session
from app.view.colour_scales import DEVIATIONS, ValueScale, round_step
from app.view.part_view import PartView
from core.units import FloatArray

LEAST_END_UM = 20.0
"""A scale narrower than this would show a scanner's noise as if it were swelling (common practice, no source)."""


class ScanColouring:
    """Grey while the comparison is out of date, and where the scan has a hole."""

    key = "scan"

    def __init__(self, session: Session, follower: ScanFollower, tr: Callable[[str], str]) -> None:
        self._session, self._follower, self._tr = session, follower, tr
        self.title = tr("Scan deviation")

    def state(self) -> Hashable:
        result = self._follower.result
        return None if result is None else (result, self._fitting() is not None)

    def _fitting(self) -> FloatArray | None:
        """(n_faces,) µm, outward positive, if they belong to the job and to the part shown."""
        result = self._follower.result
        return 1e3 * result.face_deviations_mm if result is not None and self._follower.is_current else None

    def show(self, view: PartView) -> None:
        part, off_um = self._session.part, self._fitting()
        if part is None:
            return
        if off_um is None:
            view.colour_values(np.full(part.n_faces, np.nan), self._scale(self._tr("out of date")))
        else:
            view.colour_values(off_um, self._scale(self._tr("hole in the scan")))

    def _end_um(self) -> float:
        """The end of the scale: round, and no face of a patch lies beyond it."""
        result = self._follower.result
        if result is None or not result.patches:
            return LEAST_END_UM
        faces = np.concatenate([patch.faces for patch in result.patches])
        off_um = np.nan_to_num(1e3 * result.face_deviations_mm[faces])
        return max(LEAST_END_UM, round_step(float(np.abs(off_um).max()), 1))

    def _scale(self, grey: str) -> ValueScale:
        """grey: what the faces without a colour are."""
        end = self._end_um()
        ticks = (-end, -end / 2, 0.0, end / 2, end)
        return ValueScale(
            title=self._tr("Scan deviation, mean of each face"),
            unit="µm",
            low=-end,
            high=end,
            map=DEVIATIONS,
            marks={tick: f"{tick:+g}".replace("-", "−") if tick else "0" for tick in ticks},
            grey=grey,
        )

    def words(self, face: int) -> str:
        """The deviation of a face for the read-out; empty when there is none for the job as it is."""
        off_um = self._fitting()
        if off_um is None:
            return ""
        if np.isnan(off_um[face]):
            return self._tr("hole in the scan")
        return self._tr("scan deviation {0} µm").format(signed_um(off_um[face] / 1e3))


def signed_um(value_mm: float) -> str:
    """A deviation in µm with its sign, as +12 or −3; a dash where nothing was measured."""
    return "–" if np.isnan(value_mm) else f"{1e3 * value_mm:+.0f}".replace("-", "−")
