"""Works side by side: what they give, their share, stopping, and faults."""

import threading
import time

import pytest

from core.compiled import cores
from core.progress import GoesOn, Stopped, report
from core.side_by_side import one_by_one, side_by_side

TWO = 2


def counting(steps: int) -> object:
    def work(goes_on: GoesOn) -> tuple[int, int]:
        for k in range(steps):
            report(goes_on, k / steps)
            time.sleep(0.01)
        return steps, cores()

    return work


@pytest.mark.parametrize("way", [one_by_one, side_by_side])
def test_results_come_in_order_and_the_share_never_falls(way: object) -> None:
    shares: list[float] = []
    asked_by = set()

    def goes_on(share: float) -> bool:
        shares.append(share)
        asked_by.add(threading.current_thread())
        return True

    found = way([counting(20), counting(5)], goes_on)  # type: ignore[operator]
    assert [steps for steps, _ in found] == [20, 5]
    assert shares == sorted(shares) and asked_by == {threading.main_thread()}


def test_each_gets_its_share_of_the_cores() -> None:
    before = cores()
    found = side_by_side([counting(2), counting(2)], lambda share: True)  # type: ignore[list-item]
    assert [threads for _, threads in found] == [max(1, before // TWO)] * TWO and cores() == before


def test_a_stop_reaches_all_and_a_fault_of_one_stops_the_others() -> None:
    with pytest.raises(Stopped):
        side_by_side([counting(500), counting(500)], lambda share: share < 0.02)  # type: ignore[list-item]

    def breaks(goes_on: GoesOn) -> tuple[int, int]:
        raise ValueError("broken")

    start = time.perf_counter()
    with pytest.raises(ValueError, match="broken"):
        side_by_side([counting(1000), breaks], lambda share: True)  # type: ignore[list-item]
    assert time.perf_counter() - start < 5
