"""Which inner loops are compiled: at the first start work waits, as compiling them here would halt the window."""

import threading

from core.progress import GoesOn, report

PART, SINKS, ALL = "part", "sinks", "all"
"""What reads and picks a part, what builds under it, and the rest, in the order they are compiled."""
STAGE_OF_KIND = {"open": PART, "place": PART, "load": PART, "watch": PART, "build": SINKS, "gap map": SINKS}
"""By the kind of work; any other work waits for all."""
ASK_S = 0.1


class Readiness:
    """Everything is ready unless `begin` was called."""

    def __init__(self) -> None:
        self._reached = {stage: threading.Event() for stage in (PART, SINKS, ALL)}
        for stage in self._reached:
            self.reach(stage)

    def begin(self) -> None:
        """Nothing is compiled yet."""
        for reached in self._reached.values():
            reached.clear()

    def reach(self, stage: str) -> None:
        """A stage is compiled, and so are those before it."""
        for earlier, reached in self._reached.items():
            reached.set()
            if earlier == stage:
                return

    @property
    def complete(self) -> bool:
        return self._reached[ALL].is_set()

    def wait(self, kind: str, goes_on: GoesOn) -> None:
        """Until what work of this kind needs is compiled; runs in the worker. Raises Stopped."""
        while not self._reached[STAGE_OF_KIND.get(kind, ALL)].wait(ASK_S):
            report(goes_on, 0.0)
