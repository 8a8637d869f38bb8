"""Read PLY, text and binary of either byte order, strictly: what the header declares must be there."""

from dataclasses import dataclass

import numpy as np

from core.part.ply_rows import TYPES, element_rows_binary, element_rows_text, lists_binary, lists_text
from core.part.polygons import cut_polygons
from core.part.raw_mesh import MOST_TRIANGLES, RawMesh
from core.part.text_numbers import find_words, read_numbers, show_word
from core.refusal import Refusal
from core.units import FloatArray, IntArray

_LONGEST_HEADER = 65536
_MOST_ROWS = 3 * MOST_TRIANGLES
_FORMATS = {"ascii": "", "binary_little_endian": "<", "binary_big_endian": ">"}


@dataclass(frozen=True, kw_only=True)
class _Property:
    """kind: type of the value; count_kind: type of a list's length, '' for a single value."""

    name: str
    kind: str
    count_kind: str = ""


@dataclass(frozen=True, kw_only=True)
class _Element:
    name: str
    count: int
    properties: tuple[_Property, ...]

    def at(self, *names: str) -> int:
        """Which property has one of the names; -1 when none has."""
        return next((i for i, p in enumerate(self.properties) if p.name in names), -1)


def read_ply(data: bytes) -> RawMesh:
    """The faces of a PLY file, in file order, cut into triangles.

    Raises Refusal when the header is malformed, declares more or less than the file holds, or a face names a
    vertex that doesn't exist; also for triangle strips.
    """
    order, elements, body = _header(data)
    names = [element.name for element in elements]
    if "vertex" not in names or "face" not in names:
        what = "triangle strips" if "tristrips" in names else "no faces"
        raise Refusal(
            f"The PLY file holds {what}, but vertices and faces are needed. Export the part as a polygon mesh."
        )
    points, corners, start = (_text_body if order == "" else _binary_body)(data[body:], elements, order)
    if len(corners) and (corners.min() < 0 or corners.max() >= len(points)):
        raise Refusal(
            f"A face of the PLY file names a vertex that doesn't exist; there are {len(points):,}. "
            "Export the part again."
        )
    triangles, warnings = cut_polygons(points, corners, start)
    return RawMesh(points=points, triangles=triangles, file_format="ply", warnings=warnings)


def _bad_header(why: str) -> Refusal:
    return Refusal(f"The PLY header {why}. Export the part again.")


def _header(data: bytes) -> tuple[str, list[_Element], int]:
    """Byte order ('' for text), elements in file order, and where the body starts."""
    head = data[:_LONGEST_HEADER]
    end = -1
    for mark in (b"\nend_header", b"\rend_header"):
        end = end if end >= 0 else head.find(mark)
    if end < 0:
        raise _bad_header("has no end_header line")
    body = end + len(b"\nend_header")
    while data[body : body + 1] in (b" ", b"\t"):
        body += 1
    if data[body : body + 2] == b"\r\n":
        body += 2
    elif data[body : body + 1] in (b"\n", b"\r"):
        body += 1
    else:
        raise _bad_header("is cut off at end_header")
    order: str | None = None
    elements: list[_Element] = []
    for line in head[:end].decode("latin-1").splitlines()[1:]:
        words = line.split()
        if not words or words[0] in ("comment", "obj_info"):
            continue
        if words[0] == "format" and len(words) == 3 and words[1] in _FORMATS and words[2] == "1.0" and order is None:
            order = _FORMATS[words[1]]
        elif words[0] == "element" and len(words) == 3:
            elements.append(_Element(name=words[1], count=_count(words[2]), properties=()))
        elif words[0] == "property" and elements:
            old = elements[-1]
            elements[-1] = _Element(name=old.name, count=old.count, properties=(*old.properties, _property(words)))
        else:
            raise _bad_header(f"has a line it can't have: {show_word(line.encode('latin-1', 'replace'))}")
    if order is None:
        raise _bad_header("doesn't say its format (ascii or binary, 1.0)")
    if len({element.name for element in elements}) < len(elements):
        raise _bad_header("declares an element twice")
    return order, elements, body


def _count(word: str) -> int:
    if not (word.isascii() and word.isdigit() and len(word) < 19):
        raise _bad_header(f"declares an impossible count: {show_word(word.encode('latin-1', 'replace'))}")
    return int(word)


def _property(words: list[str]) -> _Property:
    if len(words) == 3 and words[1] in TYPES:
        return _Property(name=words[2], kind=words[1])
    whole = [name for name, (code, _) in TYPES.items() if code != "f"]
    if len(words) == 5 and words[1] == "list" and words[2] in whole and words[3] in TYPES:
        return _Property(name=words[4], kind=words[3], count_kind=words[2])
    raise _bad_header(f"has a property it can't have: {show_word(' '.join(words[1:]).encode('latin-1', 'replace'))}")


def _axes(vertex: _Element) -> list[int]:
    axes = [vertex.at(name) for name in "xyz"]
    if min(axes) < 0 or any(vertex.properties[i].count_kind for i in axes):
        raise _bad_header("gives vertices no x, y and z")
    return axes


def _list_of(face: _Element) -> int:
    which = face.at("vertex_indices", "vertex_index")
    if which < 0 or not face.properties[which].count_kind or TYPES[face.properties[which].kind][0] == "f":
        raise _bad_header("gives faces no list of whole vertex_indices")
    return which


def _wanted(element: _Element) -> list[int]:
    """The properties of an element that a mesh is made of."""
    if element.name == "vertex":
        return _axes(element)
    return [_list_of(element)] if element.name == "face" else []


def _short(element: _Element) -> Refusal:
    return Refusal(
        f"The PLY header declares {element.count:,} rows of {show_word(element.name.encode('latin-1', 'replace'))}, "
        "but the file ends before: it is cut off or the count is wrong. Copy or export it again."
    )


def _spare() -> Refusal:
    return Refusal("The PLY file goes on after the rows its header declares: a count is wrong. Export the part again.")


def _too_many(element: _Element) -> Refusal:
    return Refusal(
        f"The PLY file has {element.count:,} rows of {show_word(element.name.encode('latin-1', 'replace'))}; at most "
        f"{_MOST_ROWS:,} can be worked on. Export the part with a coarser tolerance."
    )


def _binary_body(body: bytes, elements: list[_Element], order: str) -> tuple[FloatArray, IntArray, IntArray]:
    raw = np.frombuffer(body, dtype=np.uint8)
    at = 0
    points: FloatArray = np.zeros((0, 3))
    corners: IntArray = np.zeros(0, dtype=np.int64)
    start: IntArray = np.zeros(1, dtype=np.int64)
    for element in elements:
        kinds = [(p.kind, p.count_kind) for p in element.properties]
        least = sum(TYPES[count or kind][1] for kind, count in kinds)
        if element.count * least > len(raw) - at:
            raise _short(element)
        if element.count > _MOST_ROWS:
            raise _too_many(element)
        wanted = _wanted(element)
        where, end = element_rows_binary(raw, at, element.count, kinds, order, wanted)
        if end < 0:
            raise _short(element)
        if element.name == "vertex":
            columns = []
            for column, i in enumerate(wanted):
                code, size = TYPES[element.properties[i].kind]
                cells = raw[where[:, column, None] + np.arange(size)]
                columns.append(np.ascontiguousarray(cells).view(f"{order}{code}{size}").ravel().astype(np.float64))
            points = np.stack(columns, axis=1)
        elif element.name == "face":
            corners, start = lists_binary(raw, where[:, 0], kinds[wanted[0]], order)
        at = end
    if body[at:].strip(b"\0\r\n \t"):
        raise _spare()
    return points, corners, start


def _text_body(body: bytes, elements: list[_Element], order: str) -> tuple[FloatArray, IntArray, IntArray]:
    text = np.frombuffer(body, dtype=np.uint8)
    first, last = find_words(text)
    at = 0
    points: FloatArray = np.zeros((0, 3))
    corners: IntArray = np.zeros(0, dtype=np.int64)
    start: IntArray = np.zeros(1, dtype=np.int64)
    for element in elements:
        lists = [bool(p.count_kind) for p in element.properties]
        if element.count * len(lists) > len(first) - at:
            raise _short(element)
        if element.count > _MOST_ROWS:
            raise _too_many(element)
        wanted = _wanted(element)
        where, end = element_rows_text(text, first, last, at, element.count, lists, wanted)
        if end < 0:
            raise _short(element)
        if element.name == "vertex":
            words = where.ravel()
            points = read_numbers(text, first[words], last[words], "coordinate").reshape(-1, 3)
        elif element.name == "face":
            words, start = lists_text(text, first, last, where[:, 0])
            number = read_numbers(text, first[words], last[words], "vertex number")
            corners = number.astype(np.int64)
            if (corners != number).any():
                raise Refusal("A face of the PLY file has a vertex number that isn't whole. Export the part again.")
        at = end
    if at != len(first):
        raise _spare()
    return points, corners, start
