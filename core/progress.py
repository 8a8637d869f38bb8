"""How long work reports its share done and is asked to stop, without knowing who listens."""

from collections.abc import Callable, Iterator

GoesOn = Callable[[float], bool]
"""Called with the share done, 0 to 1; returns False to stop the work."""


class Stopped(Exception):
    """The user stopped the work; nothing was changed."""


def never_stop(share: float) -> bool:
    """The listener that always says go on."""
    return True


def report(goes_on: GoesOn, share: float) -> None:
    """Pass the share done on; raise Stopped when the listener says stop."""
    if not goes_on(share):
        raise Stopped


def part_of(goes_on: GoesOn, start: float, end: float) -> GoesOn:
    """A listener for one stretch of a longer job, from share start to share end."""
    return lambda share: goes_on(start + (end - start) * share)


def in_bites(n: int, goes_on: GoesOn, bite: int = 10_000) -> Iterator[slice]:
    """Slices of n things, reported one by one, so that work on them can be stopped soon."""
    for start in range(0, n, bite):
        report(goes_on, start / n)
        yield slice(start, start + bite)
