"""Read the polygons of an OBJ file: v and f lines only, no other file is ever opened."""

import numpy as np

from core.compiled import kernel
from core.part.polygons import cut_polygons
from core.part.raw_mesh import RawMesh
from core.part.text_numbers import find_words, line_number, read_numbers, show_word
from core.refusal import Refusal
from core.units import FloatArray, IntArray

_VERTEX, _FACE = 1, 2


@kernel
def _lines(text: IntArray, start: IntArray, end: IntArray) -> tuple[IntArray, IntArray, IntArray]:
    """First and past-last word of every v and f line, and which of the two it is; comments end a line."""
    n = len(start)
    first = np.empty(n, np.int64)
    stop = np.empty(n, np.int64)
    kind = np.empty(n, np.int8)
    count = 0
    k = 0
    while k < n:
        line_end = start[k]
        comment = -1
        while line_end < len(text) and text[line_end] != 10 and text[line_end] != 13:
            if text[line_end] == 35 and comment < 0:
                comment = line_end
            line_end += 1
        words_end = k
        while words_end < n and start[words_end] < line_end:
            words_end += 1
        last = words_end
        while last > k and comment >= 0 and start[last - 1] >= comment:
            last -= 1
        if last > k and end[k] - start[k] == 1 and (text[start[k]] == 118 or text[start[k]] == 102):
            first[count] = k + 1
            stop[count] = last
            kind[count] = 1 if text[start[k]] == 118 else 2
            count += 1
        k = words_end
    return first[:count].copy(), stop[:count].copy(), kind[:count].copy()


@kernel
def _corner_numbers(
    text: IntArray, start: IntArray, end: IntArray, words: IntArray, seen: IntArray, n_points: int
) -> tuple[IntArray, int]:
    """Point numbers from 0 of the references a, a/b, a//c and a/b/c; and the first bad reference, or -1.

    seen: how many points the file had given before each reference; negative numbers count back from there.
    """
    number = np.empty(len(words), np.int32)
    for k in range(len(words)):
        i, stop = start[words[k]], end[words[k]]
        negative = text[i] == 45
        if negative or text[i] == 43:
            i += 1
        value = np.int64(0)
        digits = 0
        while i < stop and 48 <= text[i] <= 57 and value < 10_000_000_000:
            value = value * 10 + (text[i] - 48)
            digits += 1
            i += 1
        slashes = 0
        for j in range(i, stop):
            if text[j] == 47:
                slashes += 1
            elif not (48 <= text[j] <= 57 or (text[j] == 45 and text[j - 1] == 47)) or slashes == 0:
                digits = 0
        at = seen[k] - value if negative else value - 1
        if digits == 0 or slashes > 2 or value == 0 or at < 0 or at >= n_points:
            return number, k
        number[k] = at
    return number, -1


def read_obj(data: bytes) -> RawMesh:
    """The polygons of an OBJ file in file order, cut into triangles.

    Lines other than v and f (normals, groups, materials, curves) are passed over; material files aren't opened.
    Raises Refusal for numbers and references that can't be, and for a file without faces.
    """
    if b"\0" in data:
        raise Refusal("The OBJ file holds zero bytes, so it is damaged or no OBJ. Copy or export it again.")
    if data.startswith(b"\xef\xbb\xbf"):
        data = data[3:]
    if b"\\" in data:
        data = data.replace(b"\\\r\n", b"   ").replace(b"\\\n", b"  ")
    text = np.frombuffer(data, dtype=np.uint8)
    start, end = find_words(text)
    first, stop, kind = _lines(text, start, end)
    points = _points(text, start, end, first[kind == _VERTEX], stop[kind == _VERTEX])
    is_face = kind == _FACE
    if len(points) == 0 or not is_face.any():
        raise Refusal("The OBJ file holds no faces. Export the part as a polygon mesh.")
    count = (stop - first)[is_face]
    offset = np.concatenate([[0], np.cumsum(count)])
    words = np.repeat(first[is_face] - offset[:-1], count) + np.arange(offset[-1])
    seen = np.repeat(np.cumsum(kind == _VERTEX)[is_face], count)
    corners, bad = _corner_numbers(text, start, end, words, seen, len(points))
    if bad >= 0:
        word = text[start[words[bad]] : end[words[bad]]].tobytes()
        line = line_number(text, int(start[words[bad]]))
        raise Refusal(
            f"Line {line} of the OBJ file names vertex {show_word(word)}, but there are vertices 1 to {len(points):,} "
            "only. Export the part again."
        )
    triangles, warnings = cut_polygons(points, corners, offset)
    return RawMesh(points=points, triangles=triangles, file_format="obj", warnings=warnings)


def _points(text: IntArray, start: IntArray, end: IntArray, first: IntArray, stop: IntArray) -> FloatArray:
    """(n, 3) coordinates of the v lines, whose words are first..stop; weights and colours are passed over."""
    short = np.flatnonzero(stop - first < 3)
    if len(short):
        at = int(start[first[short[0]] - 1])
        raise Refusal(
            f"Line {line_number(text, at)} of the OBJ file has a vertex with fewer than three coordinates. "
            "Export the part again."
        )
    words = (first[:, None] + np.arange(3)).ravel()
    return read_numbers(text, start[words], end[words], "coordinate").reshape(-1, 3)
