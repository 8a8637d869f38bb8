"""Several long works one after the other, or each in a thread with its share of the processor's cores."""

from collections.abc import Callable, Sequence
from concurrent.futures import FIRST_EXCEPTION, ThreadPoolExecutor, wait
from typing import TypeVar

from core.compiled import cores, use_threads
from core.progress import GoesOn, Stopped, part_of

Result = TypeVar("Result")
ASK_S = 0.05


def one_by_one(works: Sequence[Callable[[GoesOn], Result]], goes_on: GoesOn) -> list[Result]:
    """What each work gives, in order."""
    n = len(works)
    return [work(part_of(goes_on, k / n, (k + 1) / n)) for k, work in enumerate(works)]


def side_by_side(works: Sequence[Callable[[GoesOn], Result]], goes_on: GoesOn) -> list[Result]:
    """What each work gives, in order, all at once; their loops must give up the interpreter's lock.

    goes_on is asked from the calling thread only. The first exception stops the others and is raised; so is Stopped.
    """
    n = len(works)
    each = cores() // n
    if not each:
        return one_by_one(works, goes_on)
    shares, on = [0.0] * n, [True]

    def run(k: int) -> Result:
        def still_on(share: float) -> bool:
            shares[k] = share
            return on[0]

        use_threads(each)
        return works[k](still_on)

    with ThreadPoolExecutor(n) as pool:
        running = [pool.submit(run, k) for k in range(n)]
        left = True
        while left and on[0]:
            done, not_done = wait(running, timeout=ASK_S, return_when=FIRST_EXCEPTION)
            left = bool(not_done)
            on[0] = goes_on(sum(shares) / n) and not any(one.exception() for one in done)
        wait(running)
    failed = [problem for one in running if (problem := one.exception()) is not None]
    for problem in sorted(failed, key=lambda problem: isinstance(problem, Stopped)):
        raise problem
    return [one.result() for one in running]
