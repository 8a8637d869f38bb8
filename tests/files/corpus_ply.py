"""Malformed and nasty PLY files: three encodings, all types, lists, foreign elements, counts that lie."""

import itertools
import random
import struct
from collections.abc import Iterator

import numpy as np

from tests.files.cases import Case
from tests.files.corpus_obj import prism
from tests.files.corpus_stl import bad as bad_file
from tests.files.corpus_stl import good as good_file
from tests.files.solids import CORNERS, QUADS, ply, ply_header

ORDERS = ("ascii", "binary_little_endian", "binary_big_endian")
XYZ = "property float x\nproperty float y\nproperty float z\n"
LIST = "property list uchar int vertex_indices\n"
ROWS = "\n".join(" ".join(f"{v:g}" for v in p) for p in CORNERS) + "\n"
FACES = "\n".join(" ".join(map(str, (4, *f))) for f in QUADS) + "\n"


def ply_cases(seed: int = 2) -> Iterator[Case]:
    """All PLY files of the corpus."""
    yield from _sound()
    yield from _broken_header()
    yield from _broken_body(random.Random(seed))


def _good(name: str, data: bytes | str, *warns: str, **more: object) -> Case:
    return good_file("PLY, sound", name, data, *warns, **({"file": "part.ply"} | more))


def _bad(kind: str, name: str, data: bytes | str, word: str = "") -> Case:
    return bad_file(f"PLY, {kind}", name, data, word, "part.ply")


def _text(vertex: str = XYZ, face: str = LIST, rows: str = ROWS, faces: str = FACES) -> str:
    return ply_header("ascii", vertex, face) + rows + faces


def _sound() -> Iterator[Case]:
    for order, kind in itertools.product(ORDERS, ("float", "double", "short", "int", "uchar")):
        yield _good(f"{order}, {kind}", ply(order, kind))
    for order, (count, index) in itertools.product(
        ORDERS, (("ushort", "short"), ("int", "uint"), ("uint", "uchar"), ("char", "ushort"))
    ):
        yield _good(f"{order}, lists of {count} {index}", ply(order, count=count, index=index))
    for n in (100, 255):
        points, faces = prism(n, 10.0, 5.0)
        volume = 0.5 * n * 100 * np.sin(2 * np.pi / n) * 5
        data = ply("binary_little_endian", "double", points=points, faces=faces)
        yield _good(f"caps of {n} corners", data, volume=float(volume))
    yield _good("CR LF", ply().replace(b"\n", b"\r\n"))
    yield _good("named vertex_index", ply().replace(b"vertex_indices", b"vertex_index"))
    yield _good("sized type names", ply().replace(b"float", b"float32").replace(b"uchar int", b"uint8 int32"))
    yield _good("comments and obj_info", ply().replace(b"comment a box", b"comment \xff\xfe caf\xe9\nobj_info 1"))
    yield _good("named as STL", ply("binary_big_endian"), file="part.stl")
    turned = _text(vertex=XYZ.replace("x", "q").replace("z", "x").replace("q", "z"))
    backwards = "\n".join(" ".join(row.split()[::-1]) for row in ROWS.splitlines()) + "\n"
    yield _good("z, y, x in that order", turned.replace(ROWS, backwards))
    head = ply_header(
        "ascii", "property uchar red\n" + XYZ + "property list uchar float w\n", "property int id\n" + LIST
    )
    rows = "".join(f"255 {row} 2 0.5 0.5\n" for row in ROWS.splitlines())
    yield _good("other properties", head + rows + "".join(f"7 {row}\n" for row in FACES.splitlines()))
    head = ply_header("binary_big_endian", XYZ + "property list uchar float w\n", LIST)
    body = b"".join(struct.pack(">3fB2f", *p, 2, 0.5, 0.5) for p in CORNERS)
    yield _good("other properties, binary", head.encode() + body + b"".join(struct.pack(">B4i", 4, *f) for f in QUADS))
    other = _text().replace(
        "element vertex", "element edge 2\nproperty int a\nproperty list uchar int b\nelement vertex"
    )
    yield _good("another element first", other.replace("end_header\n", "end_header\n1 0\n2 3 9 9 9\n"))
    swapped = ply_header("ascii", XYZ, LIST)
    vertex, face = swapped.index("element vertex"), swapped.index("element face")
    end = swapped.index("end_header")
    swapped = swapped[:vertex] + swapped[face:end] + swapped[vertex:face] + swapped[end:]
    yield _good("faces before corners", swapped + FACES + ROWS)
    yield _good("zeros after the end", ply("binary_little_endian") + bytes(100))
    yield _good("blank lines after the end", ply() + b"\n\n  \n")
    yield _good("all on one line", ply_header("ascii", XYZ, LIST) + (ROWS + FACES).replace("\n", " "))


def _broken_header() -> Iterator[Case]:
    def swapped(old: str, new: str) -> str:
        return _text().replace(old, new, 1)

    for count in ("4000000000", "9999999999999999999999", "-1", "1e3", "eight", "0x8", "8.0", "٨"):
        yield _bad("count that lies", f"{count} corners", swapped("vertex 8", f"vertex {count}"))
        yield _bad("count that lies", f"{count} faces", swapped("face 6", f"face {count}"))
    for order in ORDERS[1:]:
        for count in (b"4000000000", b"60000000", b"7", b"9"):
            yield _bad("count that lies", f"{order}, {count!r}", ply(order).replace(b"vertex 8", b"vertex " + count))
    for name, data in {
        "no end_header": swapped("end_header", "end_heder"),
        "endless": "ply\nformat ascii 1.0\n" + "comment x\n" * 10000 + _text().split("\n", 2)[2],
        "unknown format": swapped("ascii", "utf8"),
        "version 2": swapped("1.0", "2.0"),
        "two formats": swapped("format ascii 1.0", "format ascii 1.0\nformat ascii 1.0"),
        "no format": swapped("format ascii 1.0\n", ""),
        "unknown type": swapped("float x", "half x"),
        "no z": swapped("float z", "float w"),
        "x is a list": swapped("property float x", "property list uchar float x"),
        "property before an element": swapped("element vertex 8\n", ""),
        "an element twice": swapped("element face", "element vertex 1\nelement face"),
        "list length of float": swapped("list uchar int", "list float int"),
        "list of float": swapped("uchar int", "uchar float"),
        "corners are no list": swapped("property list uchar int", "property int"),
        "strips": swapped("element face", "element tristrips"),
        "no faces": swapped("element face", "element side"),
        "a word too many": swapped("property float x", "property float x y"),
        "an unknown line": swapped("comment", "remark"),
        "cut in the header": _text()[:80],
        "cut at end_header": _text()[: _text().index("end_header") + 10],
    }.items():
        yield _bad("broken header", name, data)


def _broken_body(rng: random.Random) -> Iterator[Case]:
    for order in ORDERS:
        data = ply(order)
        begin = data.index(b"end_header") + 11
        for k in range(4):
            yield _bad("truncated", f"{order}, cut {k}", data[: rng.randrange(begin, len(data) - 4)])
        yield _bad(
            "goes on after the end", order, data + (b"1 2 3\n" if order == "ascii" else b"\x01\x02\x03"), "goes on"
        )
        for name, face in {"too high": (8, 0, 1, 2), "negative": (-1, 0, 1, 2)}.items():
            yield _bad("no such corner", f"{order}, {name}", ply(order, faces=[*QUADS[:5], face]), "doesn't exist")
        for value in ("nan", "inf"):
            points = CORNERS.copy()
            points[3, 1] = float(value)
            yield _bad("no finite number", f"{order}, {value}", ply(order, points=points), "finite")
    swapped = ply("binary_little_endian").replace(b"little", b"big")
    yield _bad("wrong byte order", "says big, is little", swapped)
    yield _bad("wrong byte order", "says little, is big", ply("binary_big_endian").replace(b"big", b"little"))
    low = ply("binary_little_endian", count="char")
    at = low.index(b"end_header\n") + 11 + 96
    yield _bad("broken list", "negative length", low[:at] + b"\xff" + low[at + 1 :])
    yield _bad("broken list", "length beyond the file", low[:at] + b"\x7f" + low[at + 1 :])
    yield _bad("broken list", "text, length of words", _text(faces=FACES.replace("4 ", "four ", 1)))
    yield _bad("broken list", "text, negative length", _text(faces=FACES.replace("4 ", "-4 ", 1)))
    yield _bad("broken list", "text, length beyond the file", _text(faces=FACES.replace("4 ", "40 ", 1)))
    yield _bad("broken list", "text, half a corner", _text(faces=FACES.replace(" 1 ", " 1.5 ", 1)), "isn't whole")
    yield _bad("no finite number", "text, a word", _text(rows=ROWS.replace("10", "ten", 1)), "finite")
