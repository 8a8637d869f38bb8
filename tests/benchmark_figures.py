"""What a measured figure is, how it is timed and how it is printed; for all benchmark files."""

import time
from collections.abc import Callable
from dataclasses import dataclass
from statistics import median

RUNS = 5


@dataclass(frozen=True, kw_only=True)
class Figure:
    """One measured figure; target None for one that is only shown. at_least: the target is a lower bound."""

    what: str
    value: float
    unit: str
    target: float | None = None
    at_least: bool = False

    @property
    def missed(self) -> bool:
        if self.target is None:
            return False
        return self.value < self.target if self.at_least else self.value > self.target

    def line(self) -> str:
        """The figure as one line of the table."""
        start = f"{self.what:62s} {self.value:10.3f} {self.unit:3s}"
        if self.target is None:
            return start
        sign = ">=" if self.at_least else "<="
        return f"{start}  target {sign} {self.target:<6g} {'missed' if self.missed else 'met'}"


def seconds(work: Callable[[], object], runs: int = RUNS) -> float:
    """Median wall time of some runs after one that compiles."""
    work()
    return seconds_warm(work, runs)


def seconds_warm(work: Callable[[], object], runs: int = RUNS) -> float:
    """Median wall time of some runs."""
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return median(times)


def beside(what: str, other: str, own_s: float, other_s: float, per: str = "s") -> list[Figure]:
    """Our time, another program's, and how many times quicker we are; at least as quick is the target.

    per: unit the times are shown in, s, ms or us.
    """
    scale = {"s": 1.0, "ms": 1e3, "us": 1e6}[per]
    return [
        Figure(what=f"{what}: ours", value=own_s * scale, unit=per),
        Figure(what=f"{what}: {other}", value=other_s * scale, unit=per),
        Figure(what=f"{what}: {other} over ours", value=other_s / own_s, unit="x", target=1.0, at_least=True),
    ]
