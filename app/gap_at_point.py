"""The powder gap at one point of a body: its exact shortest way to the nearest other body, found in the background."""

from collections.abc import Callable

import numpy as np
from PySide6.QtCore import QObject

from app.background import Background
from app.session import Session
from app.view.measure_tool import Gap
from core.part.triangle_tree import TriangleTree
from core.progress import GoesOn, report
from core.units import FloatArray

Point = tuple[float, float, float]
PART = -1


class GapAtPoint(QObject):
    """Keeps the search tree of every body that was asked for, until part or sinks change."""

    def __init__(self, session: Session, background: Background, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._session, self._background = session, background
        self._trees: dict[int, TriangleTree] = {}
        self._trees_of: tuple[object, object] = (None, None)
        self._listener: Callable[[Gap | None], None] | None = None

    def ask(self, point_mm: Point, owner: int, answer: Callable[[Gap | None], None]) -> None:
        """owner: the body the point lies on, PART or the number of a sink. The answer is None without another body."""
        part, result = self._session.part, self._session.result
        if part is None or result is None or not self._session.job.picks:
            answer(None)
            return
        if self._trees_of != (part, result):
            self._trees, self._trees_of = {}, (part, result)
        trees, self._listener = self._trees, answer
        bodies: dict[int, tuple[str, FloatArray, np.ndarray]] = {
            number: (sink.name, sink.vertices_mm, sink.triangles) for number, sink in enumerate(result.sinks)
        }
        bodies[PART] = (self.tr("the part"), part.vertices_mm, part.triangles)
        bodies.pop(owner, None)

        def work(goes_on: GoesOn) -> Gap | None:
            best: Gap | None = None
            for done, (number, (name, vertices_mm, triangles)) in enumerate(bodies.items()):
                report(goes_on, done / len(bodies))
                if number not in trees:
                    trees[number] = TriangleTree.of(np.asarray(vertices_mm[triangles], dtype=np.float64))
                away_mm, _, foot_mm = trees[number].nearest(np.array([point_mm]))
                if best is None or away_mm[0] < best.mm:
                    best = Gap(mm=float(away_mm[0]), to_mm=tuple(foot_mm[0].tolist()), body=name)
            return best

        self._background.start(
            "gap at point",
            self.tr("Measuring the gap at the point"),
            work,
            done=self._found,
            refused=self._session.tell_failure,
            failed=self._session.tell_failure,
        )

    def _found(self, gap: Gap | None) -> None:
        """The answer to the last question; earlier ones were stopped."""
        if self._listener is not None:
            self._listener(gap)
