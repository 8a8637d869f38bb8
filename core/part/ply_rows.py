"""Walk over the rows of a PLY element, whose lists make every row its own length."""

import numpy as np

from core.compiled import kernel
from core.units import IntArray

TYPES = {
    "char": ("i", 1), "int8": ("i", 1), "uchar": ("u", 1), "uint8": ("u", 1),
    "short": ("i", 2), "int16": ("i", 2), "ushort": ("u", 2), "uint16": ("u", 2),
    "int": ("i", 4), "int32": ("i", 4), "uint": ("u", 4), "uint32": ("u", 4),
    "float": ("f", 4), "float32": ("f", 4), "double": ("f", 8), "float64": ("f", 8),
}  # fmt: skip
"""Kind and bytes of every PLY type, by its old and its sized name."""


@kernel
def _whole(raw: IntArray, at: int, size: int, signed: bool, big: bool) -> int:
    value = np.int64(0)
    for i in range(size):
        value |= np.int64(raw[at + i]) << np.int64(8 * (size - 1 - i if big else i))
    if signed and value >= np.int64(1) << np.int64(8 * size - 1):
        value -= np.int64(1) << np.int64(8 * size)
    return int(value)


@kernel
def _walk_binary(
    raw: IntArray, at: int, rows: int, form: IntArray, slot: IntArray, n_wanted: int, big: bool
) -> tuple[IntArray, int]:
    """Byte of every wanted value or list in every row, and the byte after; -1 when the bytes run out.

    form: (n, 3) bytes of a value, bytes of a list's length (0: no list), and whether that is signed. slot: (n,)
    the column of a wanted property, else -1.
    """
    where = np.empty((rows, n_wanted), np.int64)
    for row in range(rows):
        for i in range(len(form)):
            if slot[i] >= 0:
                where[row, slot[i]] = at
            if form[i, 1] == 0:
                at += form[i, 0]
            else:
                if at + form[i, 1] > len(raw):
                    return where, -1
                count = _whole(raw, at, form[i, 1], form[i, 2] == 1, big)
                if count < 0:
                    return where, -1
                at += form[i, 1] + count * form[i, 0]
            if at > len(raw):
                return where, -1
    return where, at


def element_rows_binary(
    raw: IntArray, at: int, rows: int, kinds: list[tuple[str, str]], order: str, wanted: list[int]
) -> tuple[IntArray, int]:
    """Where the wanted properties of every row start.

    raw: (n,) uint8. kinds: type and list-length type ('' when no list) of each property. order: '<' or '>'.
    Returns (rows, n_wanted) byte numbers and the byte after the last row, or -1 when the file is too short.
    """
    form = np.array(
        [(TYPES[k][1], TYPES[c][1] if c else 0, 1 if c and TYPES[c][0] == "i" else 0) for k, c in kinds], dtype=np.int64
    ).reshape(-1, 3)
    if not form[:, 1].any():
        size = int(form[:, 0].sum())
        starts = np.cumsum(form[:, 0]) - form[:, 0]
        return at + np.arange(rows if wanted else 0)[:, None] * size + starts[wanted], at + rows * size
    where, end = _walk_binary(raw, at, rows, form, _slots(len(form), wanted), len(wanted), order == ">")
    return where, int(end)


def _slots(n_properties: int, wanted: list[int]) -> IntArray:
    """(n_properties,) the place of each property among the wanted ones, or -1."""
    slot = np.full(n_properties, -1, dtype=np.int64)
    slot[wanted] = np.arange(len(wanted))
    return slot


@kernel
def _gather_binary(raw: IntArray, at: IntArray, form: IntArray, big: bool) -> tuple[IntArray, IntArray]:
    start = np.zeros(len(at) + 1, np.int64)
    for row in range(len(at)):
        start[row + 1] = start[row] + _whole(raw, at[row], form[1], form[2] == 1, big)
    values = np.empty(start[-1], np.int64)
    for row in range(len(at)):
        first = at[row] + form[1]
        for k in range(start[row + 1] - start[row]):
            values[start[row] + k] = _whole(raw, first + k * form[0], form[0], form[3] == 1, big)
    return values, start


def lists_binary(raw: IntArray, at: IntArray, kind: tuple[str, str], order: str) -> tuple[IntArray, IntArray]:
    """All whole numbers of the lists that start at bytes `at`, and where each list starts among them."""
    (code, size), (count_code, count_size) = TYPES[kind[0]], TYPES[kind[1]]
    form = np.array([size, count_size, count_code == "i", code == "i"], dtype=np.int64)
    values, start = _gather_binary(raw, np.ascontiguousarray(at), form, order == ">")
    return values, start


@kernel
def _word_count(text: IntArray, first: int, last: int) -> int:
    value = np.int64(0)
    for i in range(first, last):
        if not 48 <= text[i] <= 57 or value > 1_000_000_000:
            return -1
        value = value * 10 + (text[i] - 48)
    return int(value)


@kernel
def _walk_text(
    text: IntArray,
    first: IntArray,
    last: IntArray,
    at: int,
    rows: int,
    is_list: IntArray,
    slot: IntArray,
    n_wanted: int,
) -> tuple[IntArray, int]:
    where = np.empty((rows, n_wanted), np.int64)
    for row in range(rows):
        for i in range(len(is_list)):
            if at >= len(first):
                return where, -1
            if slot[i] >= 0:
                where[row, slot[i]] = at
            if is_list[i]:
                count = _word_count(text, first[at], last[at])
                if count < 0:
                    return where, -1
                at += count
            at += 1
            if at > len(first):
                return where, -1
    return where, at


def element_rows_text(
    text: IntArray, first: IntArray, last: IntArray, at: int, rows: int, lists: list[bool], wanted: list[int]
) -> tuple[IntArray, int]:
    """Word number at which the wanted properties of every row start, and the word after; -1 when words run out."""
    slot = _slots(len(lists), wanted)
    where, end = _walk_text(text, first, last, at, rows, np.array(lists, dtype=np.int64), slot, len(wanted))
    return where, int(end)


@kernel
def _gather_text(text: IntArray, first: IntArray, last: IntArray, at: IntArray) -> tuple[IntArray, IntArray]:
    start = np.zeros(len(at) + 1, np.int64)
    for row in range(len(at)):
        start[row + 1] = start[row] + _word_count(text, first[at[row]], last[at[row]])
    words = np.empty(start[-1], np.int64)
    for row in range(len(at)):
        for k in range(start[row + 1] - start[row]):
            words[start[row] + k] = at[row] + 1 + k
    return words, start


def lists_text(text: IntArray, first: IntArray, last: IntArray, at: IntArray) -> tuple[IntArray, IntArray]:
    """Word numbers of the members of the lists that start at words `at`, and where each list starts among them."""
    words, start = _gather_text(text, first, last, np.ascontiguousarray(at))
    return words, start
