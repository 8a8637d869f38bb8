"""Long work off the window's thread: a worker, one more for what takes minutes, progress, stop, answers as signals."""

import logging
import os
import sys
import threading
import time
import traceback
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from typing import Any

from PySide6.QtCore import QObject, Signal

from app.pace import Pace
from app.readiness import Readiness
from core.progress import GoesOn, Stopped
from core.refusal import Refusal, refusal_of_system

log = logging.getLogger("underfin")

TAKES_MINUTES = "heat"
"""Work of this kind has a worker of its own, so that all else goes on beside it."""

NICE = 5
"""Of the workers' threads and those they start; the window's and the picture's keep 0."""


def give_way() -> None:
    """Let the window have the processor first. On Linux a thread can be asked to; elsewhere nothing changes."""
    if sys.platform == "linux":
        os.setpriority(os.PRIO_PROCESS, threading.get_native_id(), NICE)


class Work(QObject):
    """One piece of long work; its signals arrive in the thread that made it."""

    progress = Signal(float)
    done = Signal(object)
    refused = Signal(str)
    """The work can't be done as asked; the text says why and what to do."""
    failed = Signal(str)
    """A fault of ours; the text is the traceback for the log and the details."""
    stopped = Signal()
    ended = Signal(object)
    """Always last, whatever came before; carries the Work itself."""

    def __init__(self, kind: str, title: str, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.kind = kind
        self.title = title
        self.begun = False
        """False while it waits for its turn."""
        self.held = False
        """True while it waits for inner loops that are being compiled, at the first start."""
        self.started_s = time.monotonic()
        self.share = 0.0
        """Done so far, 0 to 1."""
        self._pace = Pace()
        self._stop = threading.Event()

    @property
    def elapsed_s(self) -> float:
        """Since it began; 0 while it waits."""
        return time.monotonic() - self.started_s if self.begun else 0.0

    @property
    def left_s(self) -> float | None:
        """A guess of the time left; None when it can't be said."""
        return self._pace.left_s(self.elapsed_s)

    @property
    def stopping(self) -> bool:
        return self._stop.is_set()

    def stop(self) -> None:
        """Ask the work to stop at its next report."""
        self._stop.set()

    def goes_on(self, share: float) -> bool:
        """Handed to core: reports the share done, answers whether to go on. Runs in the worker."""
        if not self._stop.is_set():
            self.share = share
            self._pace.note(share, self.elapsed_s)
            self.progress.emit(share)
        return not self._stop.is_set()

    def run(self, function: Callable[[GoesOn], Any], readiness: Readiness) -> None:
        """Do the work; runs in the worker."""
        try:
            if self._stop.is_set():
                raise Stopped
            self.held = True
            readiness.wait(self.kind, self.goes_on)
            self.held = False
            self.started_s, self.begun = time.monotonic(), True
            answer = function(self.goes_on)
            if self._stop.is_set():
                raise Stopped
            self.done.emit(answer)
        except Stopped:
            self.stopped.emit()
        except Refusal as refusal:
            self.refused.emit(str(refusal))
        except MemoryError:
            self.refused.emit(
                self.tr("The memory of this machine is not enough for this part; close other programs or reduce it.")
            )
        except Exception as fault:
            if sentence := refusal_of_system(fault):
                self.refused.emit(sentence)
            else:
                log.exception("background work '%s' failed", self.title)
                self.failed.emit(traceback.format_exc())
        finally:
            self.ended.emit(self)


class Background(QObject):
    """Two worker threads. Work waits for its turn; work of a kind stops earlier work of the same kind if asked to."""

    started = Signal(object)
    """A Work is about to be queued."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.readiness = Readiness()
        self._pool, self._long_pool = (
            ThreadPoolExecutor(max_workers=1, thread_name_prefix="underfin-work", initializer=give_way)
            for _ in range(2)
        )
        self._running: list[tuple[Work, Future[None]]] = []
        self._ended: list[tuple[Work, Future[None]]] = []

    def start(
        self,
        kind: str,
        title: str,
        function: Callable[[GoesOn], Any],
        *,
        done: Callable[[Any], None],
        refused: Callable[[str], None],
        failed: Callable[[str], None],
        stopped: Callable[[], None] | None = None,
        ended: Callable[[object], None] | None = None,
        waits: bool = False,
    ) -> Work:
        """Queue a function that takes `goes_on`. The listeners are bound methods of QObjects of this thread.

        waits: let earlier work of the same kind end first; else it is stopped, as its answer is no longer wanted.
        """
        if not waits:
            self.stop(kind)
        self._free_ended()
        work = Work(kind, title, self)
        work.done.connect(done)
        work.refused.connect(refused)
        work.failed.connect(failed)
        if stopped is not None:
            work.stopped.connect(stopped)
        work.ended.connect(self._forget)
        if ended is not None:
            work.ended.connect(ended)
        self.started.emit(work)  # before it runs, so that nobody misses the end of short work
        pool = self._long_pool if kind == TAKES_MINUTES else self._pool
        self._running.append((work, pool.submit(work.run, function, self.readiness)))
        return work

    def stop(self, kind: str | None = None) -> None:
        """Ask all work, or that of one kind, to stop."""
        for work, _ in self._running:
            if kind is None or work.kind == kind:
                work.stop()

    def busy(self, kind: str | None = None) -> bool:
        """True while work (of that kind) is queued or running and not asked to stop."""
        return any(not work.stopping and (kind is None or work.kind == kind) for work, _ in self._running)

    def _forget(self, ended: Work) -> None:
        self._ended += [pair for pair in self._running if pair[0] is ended]
        self._running = [pair for pair in self._running if pair[0] is not ended]

    def _free_ended(self) -> None:
        """Only now: freed while the worker still told the others of its end, they would never hear of it."""
        for work, future in self._ended:
            if future.done():
                work.deleteLater()
        self._ended = [(work, future) for work, future in self._ended if not future.done()]

    def close(self) -> None:
        """Stop everything and wait for the workers; their signals are no longer delivered."""
        for work, future in self._running:
            work.blockSignals(True)
            work.stop()
            future.cancel()
        for pool in (self._pool, self._long_pool):
            pool.shutdown(wait=True, cancel_futures=True)
        self._running.clear()
        self._ended.clear()
