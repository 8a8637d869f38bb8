"""Find words and finite decimal numbers in the bytes of a text file, strictly and fast."""

import numpy as np

from core.compiled import kernel
from core.refusal import Refusal
from core.units import FloatArray, IntArray

FINE = 0
NEEDS_CARE = 1
NO_NUMBER = 2

_USUAL_LENGTH = 32
_POWERS = 10.0 ** np.arange(23)


MOST_WORDS = 160_000_000
"""Above this the words' places alone need 2.5 GB; some 7 million triangles as text."""


def find_words(text: IntArray) -> tuple[IntArray, IntArray]:
    """Starts and ends of the words between blanks, tabs and line ends; text is (n,) uint8.

    Raises Refusal when there are more than MOST_WORDS.
    """
    count = _count_words(text)
    if count > MOST_WORDS:
        raise Refusal(
            f"The text of the file has {count:,} words, more than can be worked on. Export it coarser or as binary."
        )
    return _find_words(text, count)


@kernel
def _count_words(text: IntArray) -> int:
    count = 0
    inside = False
    for i in range(len(text)):
        blank = text[i] == 32 or (9 <= text[i] <= 13)
        if not blank and not inside:
            count += 1
        inside = not blank
    return count


@kernel
def _find_words(text: IntArray, count: int) -> tuple[IntArray, IntArray]:
    n = len(text)
    inside = False
    start = np.empty(count, np.int64)
    end = np.empty(count, np.int64)
    k = -1
    inside = False
    for i in range(n):
        blank = text[i] == 32 or (9 <= text[i] <= 13)
        if not blank and not inside:
            k += 1
            start[k] = i
        if blank and inside:
            end[k] = i
        inside = not blank
    if inside:
        end[k] = n
    return start, end


@kernel
def read_number(text: IntArray, start: int, end: int, powers: FloatArray) -> tuple[float, int]:
    """The decimal number in text[start:end] and FINE, NEEDS_CARE (round it elsewhere) or NO_NUMBER.

    FINE values are correctly rounded: the digits fit 2^53 and the power of ten 10^22, so one exact product
    or quotient is left (Clinger, How to read floating point numbers accurately, 1990).
    """
    i = start
    negative = False
    if i < end and (text[i] == 43 or text[i] == 45):
        negative = text[i] == 45
        i += 1
    whole = np.int64(0)
    exponent = 0
    digits = 0
    careful = False
    while i < end and 48 <= text[i] <= 57:
        if whole > 900719925474098:
            careful = True
        else:
            whole = whole * 10 + (text[i] - 48)
        digits += 1
        i += 1
    if i < end and text[i] == 46:
        i += 1
        while i < end and 48 <= text[i] <= 57:
            if whole > 900719925474098:
                careful = True
            else:
                whole = whole * 10 + (text[i] - 48)
                exponent -= 1
            digits += 1
            i += 1
    if digits == 0:
        return 0.0, NO_NUMBER
    if i < end and (text[i] == 101 or text[i] == 69):
        i += 1
        down = False
        if i < end and (text[i] == 43 or text[i] == 45):
            down = text[i] == 45
            i += 1
        if i == end:
            return 0.0, NO_NUMBER
        power = 0
        while i < end and 48 <= text[i] <= 57:
            power = min(power * 10 + (text[i] - 48), 9999)
            i += 1
        exponent += -power if down else power
    if i != end:
        return 0.0, NO_NUMBER
    if careful or exponent > 22 or exponent < -22:
        return 0.0, NEEDS_CARE
    value = float(whole)
    value = value * powers[exponent] if exponent >= 0 else value / powers[-exponent]
    return (-value if negative else value), FINE


@kernel
def _read_all(text: IntArray, start: IntArray, end: IntArray, powers: FloatArray) -> tuple[FloatArray, IntArray]:
    value = np.empty(len(start), np.float64)
    state = np.empty(len(start), np.int8)
    for k in range(len(start)):
        value[k], state[k] = read_number(text, start[k], end[k], powers)
    return value, state


@kernel
def _copy_words(text: IntArray, start: IntArray, end: IntArray, cells: IntArray) -> None:
    for k in range(len(start)):
        for i in range(end[k] - start[k]):
            cells[k, i] = text[start[k] + i]


def _round_with_care(text: IntArray, start: IntArray, end: IntArray) -> FloatArray:
    """Correctly rounded numbers of words already known to be decimal: NumPy rounds text as Python does."""
    value = np.empty(len(start))
    long = end - start > _USUAL_LENGTH
    for k in np.flatnonzero(long):
        value[k] = float(text[start[k] : end[k]].tobytes())
    usual = np.flatnonzero(~long)
    cells = np.zeros((len(usual), _USUAL_LENGTH), dtype=np.uint8)
    _copy_words(text, start[usual], end[usual], cells)
    value[usual] = cells.view(f"S{_USUAL_LENGTH}").ravel().astype(np.float64)
    return value


def read_numbers(text: IntArray, start: IntArray, end: IntArray, what: str, place: str = "") -> FloatArray:
    """(n,) float64 numbers of the words text[start:end]; Refusal naming the line of the first that is none.

    what: said in the refusal, for example "coordinate". place: said there instead of the line.
    """
    value: FloatArray
    value, state = _read_all(text, start, end, _POWERS)
    careful = np.flatnonzero(state == NEEDS_CARE)
    if len(careful):
        value[careful] = _round_with_care(text, start[careful], end[careful])
    wrong = np.flatnonzero((state == NO_NUMBER) | ~np.isfinite(value))
    if len(wrong):
        at, stop = int(start[wrong[0]]), int(end[wrong[0]])
        raise Refusal(
            f"{place or f'Line {line_number(text, at)}'} has {show_word(text[at:stop].tobytes())} where a finite "
            f"{what} is needed. Export the part again."
        )
    return value


def line_number(text: IntArray, at: int) -> int:
    """Line of a byte, counted from 1; a line ends with LF, CR LF or CR."""
    before = text[:at].tobytes()
    return before.replace(b"\r\n", b"\n").replace(b"\r", b"\n").count(b"\n") + 1


def show_word(word: bytes) -> str:
    """A word of a file, cut and made harmless, in quotes."""
    text = "".join(c if c.isprintable() else "?" for c in word[:24].decode("latin-1"))
    return f"'{text}{'…' if len(word) > 24 else ''}'"
