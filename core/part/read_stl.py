"""Read STL, binary and text, strictly: what the file declares must fit what it holds."""

import numpy as np

from core.compiled import kernel
from core.part.raw_mesh import RawMesh, check_triangle_count
from core.part.text_numbers import find_words, line_number, read_numbers, show_word
from core.refusal import Refusal
from core.units import FloatArray, IntArray

_RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
_WORDS = (b"solid", b"facet", b"normal", b"outer", b"loop", b"vertex", b"endloop", b"endfacet", b"endsolid")
_FACET_WORDS = 21
_FORM = ((0, 1), (1, 2), (5, 3), (6, 4), (7, 5), (11, 5), (15, 5), (19, 6), (20, 7))
"""A facet: which of its 21 words is which of _WORDS; the others are numbers."""


def fits_binary_stl(data: bytes) -> bool:
    """True when the length is exactly what the triangle count at byte 80 asks for."""
    return len(data) >= 84 and 84 + 50 * int.from_bytes(data[80:84], "little") == len(data)


def looks_like_text_stl(data: bytes) -> bool:
    """True when the file starts with 'solid' and the words of the text form follow."""
    head = data[:4096].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    if not head.startswith(b"solid") or b"\0" in head:
        return False
    return b"facet" in data[:65536].lower() or b"endsolid" in data[-256:].lower()


def read_stl(data: bytes) -> RawMesh:
    """The triangles of an STL file, in file order; corners not yet welded.

    A binary file that starts with 'solid' is told apart by its length.
    Raises Refusal for a truncated, miscounted, empty or malformed file and for numbers that aren't finite.
    """
    if fits_binary_stl(data) or not looks_like_text_stl(data):
        corners, warnings = _binary_corners(data)
    else:
        corners, warnings = _text_corners(data)
    points = np.ascontiguousarray(corners.reshape(-1, 3), dtype=np.float64)
    triangles = np.arange(len(points), dtype=np.int32).reshape(-1, 3)
    return RawMesh(points=points, triangles=triangles, file_format="stl", indexed=False, warnings=warnings)


def _binary_corners(data: bytes) -> tuple[FloatArray, tuple[str, ...]]:
    if len(data) < 84:
        raise Refusal(f"An STL file has at least 84 bytes; this one has {len(data)}. Export the part again.")
    count = int.from_bytes(data[80:84], "little")
    held, rest = divmod(len(data) - 84, 50)
    warnings: tuple[str, ...] = ()
    if count > held:
        raise Refusal(
            f"The STL file declares {count:,} triangles but holds {held:,}: it is cut off, damaged or no STL. "
            "Copy or export it again."
        )
    if count < held or rest:
        if any(data[84 + 50 * count :]):
            raise Refusal(
                f"The STL file declares {count:,} triangles but has data for {held:,}: its count is wrong. "
                "Export the part again."
            )
        spare = len(data) - 84 - 50 * count
        warnings = (f"{spare:,} zero bytes after the last triangle were ignored.",)
    check_triangle_count(count)
    corners = np.frombuffer(data, dtype=_RECORD, count=count, offset=84)["corners"]
    if not np.isfinite(corners.sum(dtype=np.float64)):
        bad = np.flatnonzero(~np.isfinite(corners).all(axis=(1, 2)))
        if len(bad):
            raise Refusal(
                f"{len(bad):,} triangles have coordinates that are no finite number, the first is triangle "
                f"{bad[0] + 1:,}. Export the part again."
            )
    return corners, warnings


@kernel
def _same(text: IntArray, start: int, end: int, word: IntArray) -> bool:
    if end - start != len(word):
        return False
    for i in range(len(word)):
        c = text[start + i]
        if (c + 32 if 65 <= c <= 90 else c) != word[i]:
            return False
    return True


@kernel
def _find_facets(
    text: IntArray, start: IntArray, end: IntArray, letters: IntArray, letters_end: IntArray, form: IntArray
) -> tuple[IntArray, int, int]:
    """First word of every facet, the number of solids, and the word where the grammar breaks (-1: nowhere)."""
    n = len(start)
    facet = np.empty(n // 21 + 1, np.int64)
    count = 0
    solids = 0
    inside = False
    k = 0
    solid = letters[: letters_end[0]]
    endsolid = letters[letters_end[7] : letters_end[8]]
    while k < n:
        named = False
        if not inside:
            if not _same(text, start[k], end[k], solid):
                return facet[:count], solids, k
            solids += 1
            inside = True
            named = True
        elif _same(text, start[k], end[k], endsolid):
            inside = False
            named = True
        if named:
            stop = end[k]
            while stop < len(text) and text[stop] != 10 and text[stop] != 13:
                stop += 1
            k += 1
            while k < n and start[k] < stop:
                k += 1
            continue
        if k + 21 > n:
            return facet[:count], solids, n
        for row in range(len(form)):
            which = form[row, 1]
            first = letters_end[which - 1]
            at = k + form[row, 0]
            if not _same(text, start[at], end[at], letters[first : letters_end[which]]):
                return facet[:count], solids, at
        facet[count] = k
        count += 1
        k += 21
    return facet[:count], solids, (n if inside else -1)


def _text_corners(data: bytes) -> tuple[FloatArray, tuple[str, ...]]:
    if data.startswith(b"\xef\xbb\xbf"):
        data = data[3:]
    text = np.frombuffer(data, dtype=np.uint8)
    start, end = find_words(text)
    letters = np.frombuffer(b"".join(_WORDS), dtype=np.uint8)
    letters_end = np.cumsum([len(word) for word in _WORDS])
    facet, solids, broken = _find_facets(text, start, end, letters, letters_end, np.array(_FORM))
    if broken == len(start):
        raise Refusal(
            f"The STL text ends after {len(facet):,} triangles without 'endsolid': it is cut off. "
            "Copy or export it again."
        )
    if broken >= 0:
        word = text[start[broken] : end[broken]].tobytes()
        raise Refusal(
            f"Line {line_number(text, int(start[broken]))} of the STL text has {show_word(word)} "
            f"where another word is due. Export the part again."
        )
    check_triangle_count(len(facet))
    at = (facet[:, None] + np.array([8, 9, 10, 12, 13, 14, 16, 17, 18])).ravel()
    corners = read_numbers(text, start[at], end[at], "coordinate").reshape(-1, 3, 3)
    warnings = (f"The file holds {solids} solids; they were read as one part.",) if solids > 1 else ()
    return corners, warnings
