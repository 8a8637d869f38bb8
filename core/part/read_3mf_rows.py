"""Gather the vertices and triangles of a 3MF model: plain rows scanned in its text, the rest as the parser gives it."""

import numpy as np

from core.compiled import kernel
from core.part.raw_mesh import MOST_TRIANGLES, check_triangle_count
from core.part.read_3mf_rules import breaks
from core.part.text_numbers import find_words, read_numbers
from core.units import FloatArray, IntArray

_FLUSH = 200_000
LETTERS = {
    b"vertices": (b"vertex", (b"x", b"y", b"z")),
    b"triangles": (b"triangle", (b"v1", b"v2", b"v3")),
}
"""By list: its rows' name, and the three attributes a plain row has."""


@kernel
def _scan(
    text: IntArray, tag: IntArray, names: IntArray, name_length: int, whole_only: bool, most: int
) -> tuple[IntArray, IntArray, int, int]:
    """Starts and ends of the values in file order (not sorted by attribute), rows found, and the byte after them."""
    start = np.empty((most, 3), np.int64)
    end = np.empty((most, 3), np.int64)
    n = len(text)
    done = 0
    row = 0
    while row < most:
        i = done
        while i < n and (text[i] == 32 or text[i] == 10 or text[i] == 13 or text[i] == 9):
            i += 1
        if i + len(tag) + 2 >= n or text[i] != 60:
            break
        i += 1
        same = True
        for k in range(len(tag)):
            if text[i + k] != tag[k]:
                same = False
        if not same:
            break
        i += len(tag)
        seen = 0
        whole = False
        while i < n:
            blank = False
            while i < n and (text[i] == 32 or text[i] == 10 or text[i] == 13 or text[i] == 9):
                blank = True
                i += 1
            if i + 1 < n and text[i] == 47 and text[i + 1] == 62:
                whole = seen == 7
                i += 2
                break
            if not blank or i + name_length + 2 >= n:
                break
            which = -1
            for a in range(3):
                alike = True
                for k in range(name_length):
                    if text[i + k] != names[a * name_length + k]:
                        alike = False
                if alike:
                    which = a
            i += name_length
            if which < 0 or seen & (1 << which) or text[i] != 61:
                break
            quote = text[i + 1]
            if quote != 34 and quote != 39:
                break
            i += 2
            start[row, which] = i
            # digits, signs, points and exponents only: nothing a parser would have to change
            while i < n and (48 <= text[i] <= 57 or (not whole_only and text[i] in (43, 45, 46, 69, 101))):
                i += 1
            if i >= n or text[i] != quote or i == start[row, which]:
                break
            end[row, which] = i
            seen |= 1 << which
            i += 1
        if not whole:
            break
        done = i
        row += 1
    return start[:row].copy(), end[:row].copy(), row, done


def scan_rows(text: IntArray, kind: bytes) -> tuple[IntArray, IntArray, int]:
    """Starts and ends, (n, 3) each, of the values x, y, z or v1, v2, v3 of plain rows at the beginning of a text.

    text: (n,) uint8. kind: one of LETTERS. Also returns the byte at which the first row that isn't plain, or isn't
    there in full, begins.
    """
    tag, names = LETTERS[kind]
    letters = np.frombuffer(b"".join(names), dtype=np.uint8)
    most = len(text) // (len(tag) + 3 * len(names[0]) + 12) + 1
    start, end, _, done = _scan(
        text, np.frombuffer(tag, dtype=np.uint8), letters, len(names[0]), kind == b"triangles", most
    )
    return start, end, int(done)


class Numbers:
    """Numbers gathered in file order, some read from text at once, some one attribute at a time."""

    def __init__(self, what: str, whole: bool) -> None:
        self.what, self.whole = what, whole
        self.words: list[str] = []
        self.blocks: list[FloatArray] = []
        self.count = 0

    def add_words(self, words: list[str]) -> None:
        """Take three attributes, still text."""
        self.words += words
        if len(self.words) >= _FLUSH:
            self.flush()

    def flush(self) -> None:
        """Read the attributes taken so far; Refusal when one is no single number."""
        if self.words:
            if not all(map(str.strip, self.words)):
                raise breaks(f"an empty {self.what}")
            text = np.frombuffer("\n".join(self.words).encode(), dtype=np.uint8)
            start, end = find_words(text)
            if len(start) != len(self.words):
                raise breaks(f"a {self.what} of two words")
            if self.whole and text.tobytes().translate(None, b"0123456789+ \t\n"):
                raise breaks(f"a {self.what} that isn't written as a whole number")
            self.words = []
            self.add_text(text, start, end)

    def add_text(self, text: IntArray, start: IntArray, end: IntArray) -> None:
        """Take the words text[start:end], three to a row."""
        self.flush()
        values = read_numbers(text, start.ravel(), end.ravel(), self.what, "The 3MF model").reshape(-1, 3)
        if self.whole and not (np.floor(values) == values).all():
            raise breaks(f"a {self.what} that isn't whole")
        if self.whole and np.abs(values).max(initial=0) >= 2**31:
            raise breaks(f"a {self.what} beyond 2147483647")
        self.blocks.append(values.astype(np.int64) if self.whole else values)
        self.count += len(values)
        if self.count > 3 * MOST_TRIANGLES or (self.whole and self.count > MOST_TRIANGLES):
            check_triangle_count(self.count)

    def all(self) -> FloatArray:
        """(n, 3) all rows taken since the last call, int64 when they are whole numbers."""
        self.flush()
        blocks, self.blocks, self.count = self.blocks, [], 0
        return np.concatenate([np.zeros((0, 3), np.int64 if self.whole else np.float64), *blocks])
