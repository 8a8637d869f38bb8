"""Two long works one after the other, or each in a thread with half of the processor's cores."""

from collections.abc import Callable
from concurrent.futures import FIRST_EXCEPTION, Future, ThreadPoolExecutor, wait
from typing import Any, TypeVar

from core.compiled import cores, use_threads
from core.progress import GoesOn, Stopped, part_of

First = TypeVar("First")
Second = TypeVar("Second")
ASK_S = 0.05


def both_of(
    first: Callable[[GoesOn], First], second: Callable[[GoesOn], Second], goes_on: GoesOn, *, at_once: bool
) -> tuple[First, Second]:
    """What two works give. at_once: side by side where there are two cores; their loops must free the interpreter.

    goes_on is asked from the calling thread only. An exception in one stops the other and is raised, as is Stopped.
    """
    if not at_once or cores() < 2:
        return first(part_of(goes_on, 0.0, 0.5)), second(part_of(goes_on, 0.5, 1.0))
    each, shares, on = cores() // 2, [0.0, 0.0], [True]

    def run(k: int, work: Callable[[GoesOn], Any]) -> Any:
        def still_on(share: float) -> bool:
            shares[k] = share
            return on[0]

        use_threads(each)
        return work(still_on)

    with ThreadPoolExecutor(2) as pool:
        one: Future[First] = pool.submit(run, 0, first)
        other: Future[Second] = pool.submit(run, 1, second)
        left = True
        while left and on[0]:
            both: tuple[Future[Any], ...] = (one, other)
            done, not_done = wait(both, timeout=ASK_S, return_when=FIRST_EXCEPTION)
            left = bool(not_done)
            on[0] = goes_on(sum(shares) / 2) and not any(work.exception() for work in done)
    failed = [problem for work in (one, other) if (problem := work.exception()) is not None]
    for problem in sorted(failed, key=lambda problem: isinstance(problem, Stopped)):
        raise problem
    return one.result(), other.result()
