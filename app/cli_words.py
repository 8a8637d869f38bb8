"""How a word of the command line becomes a number, a list, a turn or a part; a word that can't is refused."""

import argparse
import math
import re

KINDS = ("fins", "plate", "block", "edge")
MOST_STEPS = 2000
"""Values of one option of a sweep."""


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


def also_part(text: str) -> tuple[str, tuple[float, float] | None, tuple[float, float, float] | None]:
    """File, move and turn of one more part, such as lid.stl:60,0:0,0,90; a colon may stand in the file's name."""
    value = r"[-+.0-9eE]+"
    match = re.fullmatch(rf"(.+?)(?::({value},{value})(?::({value},{value},{value}))?)?", text)
    if match is None:
        raise argparse.ArgumentTypeError(
            f"'{text[:40]}' is not a file such as lid.stl, lid.stl:60,0 or lid.stl:60,0:0,0,90"
        )
    file, move, turn = match.groups()
    if move is None:
        return file, None, None
    x, y = map(number, move.split(","))
    return file, (x, y), None if turn is None else rotation(turn)


def steps(text: str) -> tuple[float, ...]:
    """0.2:0.5:0.1 as 0.2, 0.3, 0.4, 0.5; also a list such as 1,2,3 or one number."""
    words = text.split(":")
    if len(words) == 1:
        return tuple(dict.fromkeys(number(word) for word in text.split(",")))
    if len(words) != 3:
        raise argparse.ArgumentTypeError(f"'{text[:40]}' is not A:B:STEP such as 0.2:0.5:0.1")
    first, last, step = map(number, words)
    if step <= 0 or last < first:
        raise argparse.ArgumentTypeError(f"'{text[:40]}' is no A:B:STEP with A up to B and STEP above 0")
    n = math.floor((last - first) / step + 1e-6) + 1
    if n > MOST_STEPS:
        raise argparse.ArgumentTypeError(f"'{text[:40]}' is {n} values; at most {MOST_STEPS} can be compared")
    return tuple(float(f"{first + step * i:.9g}") for i in range(n))


def kinds(text: str) -> tuple[str, ...]:
    """Kinds of sink such as fins,plate."""
    words = tuple(dict.fromkeys(word.strip() for word in text.split(",")))
    for word in words:
        if word not in KINDS:
            raise argparse.ArgumentTypeError(f"'{word[:40]}' is no kind of sink; choose from {', '.join(KINDS)}")
    return words
