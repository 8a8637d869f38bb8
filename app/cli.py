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
from typing import NoReturn

from core.progress import Stopped
from core.refusal import Refusal
from core.version import PROGRAM, VERSION

DONE, BAD_INPUT, STOP_FINDING, STOPPED = 0, 2, 3, 130
LONGEST_SENTENCE = 400
GRACE_S = 0.5
"""How long the work may take to stop by itself while nothing is being written."""
STOPPED_TEXT = "Stopped; nothing was written."
UNITS = ("mm", "in", "m", "um")
KINDS = ("fins", "plate", "block", "edge")


class StopKey:
    """Ctrl-C: stops the work soon while computing, and between two files while writing.

    The work is asked to stop; what doesn't ask back in time, as imports and readers don't, is left by ending the
    process. Raising KeyboardInterrupt instead crashed inside libraries that were being loaded, once in forty.
    """

    def __init__(self) -> None:
        self.pressed = False
        self.at_once = True

    def install(self) -> None:
        signal.signal(signal.SIGINT, self._on_signal)

    def _on_signal(self, number: int, frame: FrameType | None) -> None:
        self.pressed = True
        leaving = threading.Timer(GRACE_S, self._leave)
        leaving.daemon = True
        leaving.start()

    def _leave(self) -> None:
        if self.at_once:
            refuse(STOPPED_TEXT, STOPPED)
            sys.stderr.flush()
            os._exit(STOPPED)

    def goes_on(self, share: float) -> bool:
        """For core: reports to a terminal, and says stop when the key was pressed."""
        if sys.stderr.isatty():
            sys.stderr.write(f"\r{share:4.0%} " if share < 1 else "\r      \r")
            sys.stderr.flush()
        return not self.pressed


class Parser(argparse.ArgumentParser):
    """An argument parser that refuses with one sentence instead of printing the usage."""

    def error(self, message: str) -> NoReturn:
        raise Refusal(f"{self.prog}: {message.rstrip('.')}. See '{self.prog} --help'.")


def main(arguments: list[str] | None = None) -> int:
    """Run one command and return its exit code: 0 done, 2 bad input, 3 a finding forbids export, 130 stopped."""
    warnings.simplefilter("ignore")
    stop_key = StopKey()
    try:
        stop_key.install()
        options = parser().parse_args(joined_rotation(sys.argv[1:] if arguments is None else arguments))
        run: Callable[[argparse.Namespace, StopKey], int] = command_named(options.command)
        return run(options, stop_key)
    except Refusal as refusal:
        return refuse(str(refusal))
    except (KeyboardInterrupt, Stopped):
        stop_key.at_once = False  # it is being said here
        return refuse(STOPPED_TEXT, STOPPED)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except MemoryError:
        return refuse("There is not enough memory for this; close other programs or export the part coarser.")
    except Exception as fault:  # noqa: BLE001  the last door: a traceback belongs into a file
        return refuse(f"{PROGRAM} failed by a fault of its own ({type(fault).__name__}); details in '{fault_file()}'.")


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


def fault_file() -> str:
    """Write the traceback to a new file and return its path."""
    with tempfile.NamedTemporaryFile(
        "w", prefix="underfin-fault-", suffix=".txt", delete=False, encoding="utf-8"
    ) as file:
        file.write(f"{PROGRAM} {VERSION}\n{traceback.format_exc()}")
    return file.name


def command_named(name: str) -> Callable[[argparse.Namespace, StopKey], int]:
    """The function of a subcommand; imported only now, so that --help answers at once."""
    from app import cli_commands

    return {"faces": cli_commands.faces, "build": cli_commands.build, "window": cli_commands.window}[name]


def joined_rotation(arguments: list[str]) -> list[str]:
    """'--rotate -90,0,0' as '--rotate=-90,0,0', as the parser would take -90,0,0 for an option."""
    joined: list[str] = []
    for argument in arguments:
        if (
            joined
            and joined[-1] == "--rotate"
            and argument[:1] == "-"
            and argument[1:2].isdigit() | (argument[1:2] == ".")
        ):
            joined[-1] = f"--rotate={argument}"
        else:
            joined.append(argument)
    return joined


def parser() -> Parser:
    """All commands and their options."""
    top = Parser(
        prog="underfin-cli",
        description="Contact-free heat sinks under low-angle faces for laser powder bed fusion.",
        allow_abbrev=False,
    )
    top.add_argument("--version", action="version", version=f"{PROGRAM} {VERSION}")
    commands = top.add_subparsers(dest="command", required=True, metavar="COMMAND", parser_class=Parser)

    faces = commands.add_parser("faces", help="list the low-angle patches of a part", allow_abbrev=False)
    faces.add_argument("part", metavar="PART", help="STL, OBJ, PLY, 3MF or STEP file")
    add_reading(faces)
    add_json(faces)

    build = commands.add_parser("build", help="build and check the sinks and write them", allow_abbrev=False)
    build.add_argument("part", metavar="PART|JOB", help="part file, or a job (.underfin) whose options these override")
    build.add_argument("--out", required=True, metavar="DIR", help="folder for the results")
    which = build.add_mutually_exclusive_group()
    which.add_argument(
        "--patch", type=patch_numbers, metavar="1,3", help="patches to build under, as 'faces' lists them"
    )
    which.add_argument("--all", action="store_true", help="all patches of at least 1 mm² (the default for a part)")
    add_reading(build)
    build.add_argument("--gap", type=number, metavar="MM", help="powder gap, normal to the face")
    build.add_argument("--kind", choices=KINDS, help="what the sink's top stands on")
    build.add_argument("--alloy", metavar="NAME")
    build.add_argument("--layer", type=number, metavar="MM", help="layer thickness")
    build.add_argument("--blade", type=number, metavar="DEG", help="recoater blade from the X axis (default 90)")
    build.add_argument("--plate", type=plate_size, metavar="X,Y,Z", help="width, depth and height of the build volume")
    build.add_argument("--border", type=number, metavar="MM", help="strip along the plate's edge that stays free")
    build.add_argument("--thorough", action="store_true", help="look for powder in finer cells; takes seconds")
    build.add_argument("--sinks-as", choices=("solidsupport", "model"), default="solidsupport", help="3MF object type")
    add_json(build)

    window = commands.add_parser("window", help="estimate the gap window", allow_abbrev=False)
    window.add_argument("job", nargs="?", metavar="JOB", help="job (.underfin); or give --alloy")
    window.add_argument("--alloy", metavar="NAME")
    window.add_argument("--gap", type=number, metavar="MM", help="gap to judge")
    for name, unit, text in LASER_OPTIONS:
        window.add_argument(f"--{name}", type=whole if unit == "N" else number, metavar=unit, help=text)
    window.add_argument("--rise", type=number, metavar="K", help="rise allowed over the plate temperature")
    window.add_argument("--angle", type=number, metavar="DEG", help="angle of the ledge without a job (default 30)")
    window.add_argument("--height", type=number, metavar="MM", help="height of the ledge without a job (default 10)")
    add_json(window)
    return top


LASER_OPTIONS = (
    ("power", "W", "laser power"),
    ("speed", "MM/S", "scan speed"),
    ("hatch", "MM", "hatch distance"),
    ("layer", "MM", "layer thickness"),
    ("spot", "MM", "spot diameter, D4sigma"),
    ("passes", "N", "exposures per layer"),
    ("absorptivity", "SHARE", "share of the power that heats the layer"),
    ("layer-time", "S", "time from one layer to the next"),
    ("preheat", "C", "plate temperature"),
)


def add_reading(command: argparse.ArgumentParser) -> None:
    """How a part is read and stands."""
    command.add_argument("--max-angle", type=number, metavar="DEG", help="low-angle limit from the plate (default 45)")
    command.add_argument("--units", choices=UNITS, help="unit of the file's coordinates")
    command.add_argument(
        "--rotate", type=rotation, metavar="RX,RY,RZ", help="turns about X, Y, Z in degrees; then dropped"
    )


def add_json(command: argparse.ArgumentParser) -> None:
    command.add_argument("--json", action="store_true", help="print one JSON document")


def number(text: str) -> float:
    """A finite decimal number."""
    try:
        value = float(text)
    except ValueError:
        value = float("nan")
    if not abs(value) < 1e12:
        raise argparse.ArgumentTypeError(f"'{text[:40]}' is not a number")
    return value


def whole(text: str) -> int:
    """A whole number."""
    if not text.isascii() or not text.isdigit() or len(text) > 9:
        raise argparse.ArgumentTypeError(f"'{text[:40]}' is not a whole number")
    return int(text)


def patch_numbers(text: str) -> tuple[int, ...]:
    """Patch numbers such as 1,3."""
    words = [word.strip() for word in text.split(",")]
    if not all(word.isascii() and word.isdigit() and len(word) <= 9 for word in words):
        raise argparse.ArgumentTypeError(f"'{text[:40]}' is not a list of patch numbers such as 1,3")
    return tuple(int(word) for word in words)


def plate_size(text: str) -> tuple[float, float, float]:
    """Width, depth and height such as 250,250,300."""
    words = text.split(",")
    if len(words) != 3:
        raise argparse.ArgumentTypeError(f"'{text[:40]}' is not a width, depth and height such as 250,250,300")
    return number(words[0]), number(words[1]), number(words[2])


def rotation(text: str) -> tuple[float, float, float]:
    """Three angles such as 90,0,-45."""
    words = text.split(",")
    if len(words) != 3:
        raise argparse.ArgumentTypeError(f"'{text[:40]}' is not three angles such as 90,0,-45")
    return number(words[0]), number(words[1]), number(words[2])


if __name__ == "__main__":
    sys.exit(main())
