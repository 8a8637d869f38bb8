"""Two works side by side: what they give, their share, stopping, and faults."""

import threading
import time
from collections.abc import Callable

import pytest

from core.compiled import cores, threads
from core.progress import GoesOn, Stopped, report
from core.side_by_side import both_of


def counting(steps: int) -> Callable[[GoesOn], tuple[int, int]]:
    def work(goes_on: GoesOn) -> tuple[int, int]:
        for k in range(steps):
            report(goes_on, k / steps)
            time.sleep(0.01)
        return steps, threads()

    return work


@pytest.mark.parametrize("at_once", [False, True])
def test_results_come_in_order_and_the_share_never_falls(at_once: bool) -> None:
    shares: list[float] = []
    asked_by = set()

    def goes_on(share: float) -> bool:
        shares.append(share)
        asked_by.add(threading.current_thread())
        return True

    found = both_of(counting(20), counting(5), goes_on, at_once=at_once)
    assert [steps for steps, _ in found] == [20, 5]
    assert shares == sorted(shares) and asked_by == {threading.main_thread()}


def test_each_gets_half_of_the_cores() -> None:
    before = threads()
    found = both_of(counting(2), counting(2), lambda share: True, at_once=True)
    assert [each for _, each in found] == [max(1, cores() // 2)] * 2 and threads() == before


def test_a_stop_reaches_both_and_a_fault_of_one_stops_the_other(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("core.side_by_side.cores", lambda: 2)  # where there is one, they follow each other
    with pytest.raises(Stopped):
        both_of(counting(500), counting(500), lambda share: share < 0.02, at_once=True)

    def breaks(goes_on: GoesOn) -> tuple[int, int]:
        raise ValueError("broken")

    start = time.perf_counter()
    with pytest.raises(ValueError, match="broken"):
        both_of(counting(1000), breaks, lambda share: True, at_once=True)
    assert time.perf_counter() - start < 5
