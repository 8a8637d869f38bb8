"""The command line: reads the arguments, runs one command, and turns every outcome into an exit code and a sentence."""

import argparse
import os
import signal
import sys
import tempfile
import threading
import traceback
import warnings
from collections.abc import Callable
from types import FrameType

from app.cli_arguments import joined_rotation, parser
from core.progress import Stopped
from core.refusal import Refusal, refusal_of_system
from core.version import PROGRAM, VERSION

DONE, BAD_INPUT, STOP_FINDING, STOPPED = 0, 2, 3, 130
LONGEST_SENTENCE = 400
GRACE_S = 0.5
"""How long the work may take to stop by itself while nothing is being written."""
STOPPED_TEXT = "Stopped; nothing was written."


class StopKey:
    """Ctrl-C: stops the work soon while computing, and between two files while writing.

    The work is asked to stop; what doesn't ask back in time, as imports and readers don't, is left by ending the
    process. Raising KeyboardInterrupt instead crashed inside libraries that were being loaded, once in forty.
    """

    def __init__(self) -> None:
        self.pressed = False
        self.at_once = True
        self.grace_s = GRACE_S
        self.text: Callable[[], str] = lambda: STOPPED_TEXT

    def install(self) -> None:
        signal.signal(signal.SIGINT, self._on_signal)

    def _on_signal(self, number: int, frame: FrameType | None) -> None:
        self.pressed = True
        leaving = threading.Timer(self.grace_s, self._leave)
        leaving.daemon = True
        leaving.start()

    def _leave(self) -> None:
        if self.at_once:
            refuse(self.text(), STOPPED)
            sys.stderr.flush()
            os._exit(STOPPED)

    def goes_on(self, share: float) -> bool:
        """For core: reports to a terminal, and says stop when the key was pressed."""
        if sys.stderr.isatty():
            sys.stderr.write(f"\r{share:4.0%} " if share < 1 else "\r      \r")
            sys.stderr.flush()
        return not self.pressed


def main(arguments: list[str] | None = None) -> int:
    """Run one command and return its exit code: 0 done, 2 bad input, 3 a finding forbids export, 130 stopped."""
    warnings.simplefilter("ignore")
    stop_key = StopKey()
    try:
        stop_key.install()
        options = parser().parse_args(joined_rotation(sys.argv[1:] if arguments is None else arguments))
        run: Callable[[argparse.Namespace, StopKey], int] = command_named(options.command)
        code = run(options, stop_key)
        say_once_what_slows()
        return code
    except Refusal as refusal:
        return refuse(str(refusal))
    except (KeyboardInterrupt, Stopped):
        stop_key.at_once = False  # it is being said here
        return refuse(stop_key.text(), STOPPED)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except MemoryError:
        return refuse("There is not enough memory for this; close other programs or export the part coarser.")
    except Exception as fault:  # noqa: BLE001  the last door: a traceback belongs into a file
        if sentence := refusal_of_system(fault):
            return refuse(sentence)
        return refuse(f"{PROGRAM} failed by a fault of its own ({type(fault).__name__}); {fault_place()}.")


def say_once_what_slows() -> None:
    """A line on stderr when compiled loops could not be kept."""
    from core.compiled import NO_CACHE

    if NO_CACHE:
        refuse(NO_CACHE)


def refuse(text: str, code: int = BAD_INPUT) -> int:
    """Print one line of at most 400 characters on stderr and return the code."""
    line = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    if len(line) > LONGEST_SENTENCE:
        line = line[: LONGEST_SENTENCE - 1] + "…"
    start = "\r" if sys.stderr.isatty() else ""
    sys.stderr.write(
        start + line.encode(sys.stderr.encoding or "utf-8", "replace").decode(sys.stderr.encoding or "utf-8")
    )
    sys.stderr.write("\n")
    return code


def fault_place() -> str:
    """Write the traceback to a new file only its owner can read, and say where it is."""
    try:
        with tempfile.NamedTemporaryFile(
            "w", prefix="underfin-fault-", suffix=".txt", delete=False, encoding="utf-8"
        ) as file:
            file.write(f"{PROGRAM} {VERSION}\n{traceback.format_exc()}")
    except OSError:
        return "details could not be written"
    return f"details in '{file.name}'"


def command_named(name: str) -> Callable[[argparse.Namespace, StopKey], int]:
    """The function of a subcommand; imported only now, so that --help answers at once."""
    if name in ("heat", "sweep"):
        from app import cli_heat

        return cli_heat.heat if name == "heat" else cli_heat.sweep
    if name in ("coupon", "fit", "trials"):
        from app import cli_trial

        return {"coupon": cli_trial.coupon, "fit": cli_trial.fit, "trials": cli_trial.trials}[name]
    if name == "images":
        from app import cli_images

        return cli_images.images
    if name == "scan":
        from app import cli_scan

        return cli_scan.scan
    if name == "report":
        from app import cli_report

        return cli_report.report
    if name == "library":
        from app import cli_library

        return cli_library.library
    if name == "orient":
        from app import cli_orient

        return cli_orient.orient
    if name == "best-gap":
        from app import cli_best_gap

        return cli_best_gap.best_gap
    from app import cli_commands

    return {"faces": cli_commands.faces, "build": cli_commands.build, "window": cli_commands.window}[name]


if __name__ == "__main__":
    sys.exit(main())
