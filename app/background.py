"""Long work off the window's thread: one worker, progress, stop, and answers as signals."""

import logging
import threading
import time
import traceback
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from typing import Any

from PySide6.QtCore import QObject, Signal

from core.progress import GoesOn, Stopped
from core.refusal import Refusal

log = logging.getLogger("underfin")


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
        self.started_s = time.monotonic()
        self._stop = threading.Event()

    @property
    def elapsed_s(self) -> float:
        return time.monotonic() - self.started_s

    @property
    def stopping(self) -> bool:
        return self._stop.is_set()

    def stop(self) -> None:
        """Ask the work to stop at its next report."""
        self._stop.set()

    def goes_on(self, share: float) -> bool:
        """Handed to core: reports the share done, answers whether to go on. Runs in the worker."""
        if not self._stop.is_set():
            self.progress.emit(share)
        return not self._stop.is_set()

    def run(self, function: Callable[[GoesOn], Any]) -> None:
        """Do the work; runs in the worker."""
        try:
            if self._stop.is_set():
                raise Stopped
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
                "The memory of this machine is not enough for this part; close other programs or reduce it."
            )
        except Exception:
            log.exception("background work '%s' failed", self.title)
            self.failed.emit(traceback.format_exc())
        finally:
            self.ended.emit(self)


class Background(QObject):
    """One worker thread. Starting work of a kind stops earlier work of the same kind."""

    started = Signal(object)
    """A Work was queued."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._pool = ThreadPoolExecutor(max_workers=1, thread_name_prefix="underfin-work")
        self._running: list[tuple[Work, Future[None]]] = []

    def start(
        self,
        kind: str,
        title: str,
        function: Callable[[GoesOn], Any],
        *,
        done: Callable[[Any], None],
        refused: Callable[[str], None],
        failed: Callable[[str], None],
    ) -> Work:
        """Queue a function that takes `goes_on`. The listeners are bound methods of QObjects of this thread."""
        self.stop(kind)
        work = Work(kind, title, self)
        work.done.connect(done)
        work.refused.connect(refused)
        work.failed.connect(failed)
        work.ended.connect(self._forget)
        self._running.append((work, self._pool.submit(work.run, function)))
        self.started.emit(work)
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
        self._running = [(work, future) for work, future in self._running if work is not ended]
        ended.deleteLater()

    def close(self) -> None:
        """Stop everything and wait for the worker; its signals are no longer delivered."""
        for work, future in self._running:
            work.blockSignals(True)
            work.stop()
            future.cancel()
        self._pool.shutdown(wait=True, cancel_futures=True)
        self._running.clear()
