"""Who runs the cases of a sweep: processes on this machine, or a Dask scheduler with workers elsewhere."""

import concurrent.futures
import multiprocessing
import multiprocessing.connection
import os
import signal
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures.process import BrokenProcessPool
from typing import Any, Protocol

from core.progress import Stopped
from core.refusal import Refusal
from core.sweep_case import Case, CaseValues, run_case

POLL_S = 0.2
TRIES = 2
"""A case whose worker was lost is run once more; a second loss is put down to the case."""
ANSWER_S = 15.0


class Workers(Protocol):
    """Runs cases and hands each back as it is finished, in any order."""

    def run(self, cases: list[Case], goes_on: Callable[[], bool]) -> Iterator[tuple[Case, CaseValues]]:
        """Raises Stopped when goes_on says so; it is asked a few times a second."""


def lost_values(case: Case, why: str) -> CaseValues:
    """What is said of a case that gave no answer; it isn't kept, so a later sweep tries again."""
    return case.plain | {"lost": True, "refused": f"This case gave no answer: {why}."}


class LocalWorkers:
    """Processes on this machine, each with a pool of its own, so that a lost one takes only its own case along."""

    def __init__(self, n: int = 0) -> None:
        """n: how many; 0 takes one per processor. Raises Refusal for more than 256."""
        if n > 256:
            raise Refusal(f"{n} processes are too many for one machine; set at most 256.")
        self._n = n or os.cpu_count() or 1

    def run(self, cases: list[Case], goes_on: Callable[[], bool]) -> Iterator[tuple[Case, CaseValues]]:
        """See Workers."""
        waiting = [(case, 1) for case in reversed(cases)]
        free = [_one_process() for _ in range(min(self._n, len(cases)))]
        threads = max(1, (os.cpu_count() or 1) // self._n)
        running: dict[concurrent.futures.Future[CaseValues], tuple[concurrent.futures.ProcessPoolExecutor, Case, int]]
        running = {}
        try:
            while waiting or running:
                while waiting and free:
                    (case, tries), pool = waiting.pop(), free.pop()
                    running[pool.submit(run_case, case, threads)] = pool, case, tries
                done, _ = concurrent.futures.wait(running, POLL_S, concurrent.futures.FIRST_COMPLETED)
                if not goes_on():
                    raise Stopped
                for future in done:
                    pool, case, tries = running.pop(future)
                    try:
                        values = future.result()
                    except BrokenProcessPool:
                        pool.shutdown(wait=False)
                        free.append(_one_process())
                        if tries < TRIES:
                            waiting.append((case, tries + 1))
                        else:
                            yield case, lost_values(case, f"its process ended by itself {tries} times")
                        continue
                    except Exception as fault:  # noqa: BLE001  one faulty case must not cost the others
                        values = lost_values(case, f"{type(fault).__name__}: {fault}")
                    free.append(pool)
                    yield case, values
        finally:
            for pool in [*free, *(pool for pool, _, _ in running.values())]:
                _end(pool)


def _one_process() -> concurrent.futures.ProcessPoolExecutor:
    """Started afresh, not forked: threads of compiled loops don't survive a fork."""
    return concurrent.futures.ProcessPoolExecutor(1, multiprocessing.get_context("spawn"), _start_of_worker)


def _start_of_worker() -> None:
    """Ctrl-C is the parent's to answer; a worker whose parent was killed ends too."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_end_with, args=(parent.sentinel,), daemon=True).start()


def _end_with(sentinel: int) -> None:
    multiprocessing.connection.wait([sentinel])
    os._exit(1)


def _end(pool: concurrent.futures.ProcessPoolExecutor) -> None:
    """End a pool now, whatever it is doing."""
    processes = list((getattr(pool, "_processes", None) or {}).values())
    pool.shutdown(wait=False, cancel_futures=True)
    for process in processes:
        process.terminate()


class DaskWorkers:
    """The workers of a running Dask scheduler; they must see the part's file under the same path.

    Whoever can reach a scheduler can run programs on its workers: keep it inside your own network, or use tls://.
    """

    def __init__(self, address: str) -> None:
        """Raises Refusal when Dask isn't installed or no scheduler answers."""
        try:
            import distributed
        except ImportError:
            raise Refusal("Sweeps on other machines need the package 'distributed'; "
                          "install it with: pip install 'underfin[sweep]'.") from None  # fmt: skip
        self._dask: Any = distributed
        try:
            self._client: Any = self._dask.Client(address, timeout=ANSWER_S, set_as_default=False)
        except (OSError, ValueError, TimeoutError) as problem:
            raise Refusal(f"No Dask scheduler answers at '{address}' ({type(problem).__name__}); "
                          "give an address such as tcp://host:8786.") from problem  # fmt: skip

    def run(self, cases: list[Case], goes_on: Callable[[], bool]) -> Iterator[tuple[Case, CaseValues]]:
        """See Workers."""
        # the scheduler runs a case again whose worker was lost, and gives up after its own `allowed-failures`
        running: dict[Any, Case] = {self._client.submit(run_case, case, pure=False): case for case in cases}
        try:
            while running:
                if not goes_on():
                    raise Stopped
                done = [future for future in running if future.done()]
                if not done:
                    time.sleep(POLL_S)
                for future in done:
                    case = running.pop(future)
                    try:
                        values = future.result()
                    except concurrent.futures.CancelledError:
                        raise Refusal("The Dask scheduler went away; run again to go on.") from None
                    except self._dask.KilledWorker:
                        values = lost_values(case, "every worker that ran it was lost")
                    except Exception as fault:  # noqa: BLE001  one faulty case must not cost the others
                        values = lost_values(case, f"{type(fault).__name__}: {fault}")
                    yield case, values
        finally:
            for future in running:
                future.cancel()
            self._client.close()
