"""Malformed and nasty STL files: binary and text, truncated, miscounted, misnamed, with numbers that are none."""

import random
import struct
from collections.abc import Iterator

import numpy as np

from tests.files.cases import Case
from tests.files.solids import BOX_MM3, box, joined, stl, text_stl

TWO = joined(box(), box((50, 0, 0)))


def good(kind: str, name: str, data: bytes | str, *warns: str, **more: object) -> Case:
    """A file that must load as the box."""
    raw = data.encode() if isinstance(data, str) else data
    wanted = {"volume": BOX_MM3, "file": "part.stl"} | more
    return Case(kind=kind, name=name, data=raw, warns=warns, **wanted)  # type: ignore[arg-type]


def bad(kind: str, name: str, data: bytes | str, word: str, file: str = "part.stl") -> Case:
    """A file that must be refused in a sentence with this word."""
    return Case(kind=kind, name=name, data=data.encode() if isinstance(data, str) else data, file=file, refused=word)


def stl_cases(seed: int = 1) -> Iterator[Case]:
    """All STL files of the corpus."""
    yield from _binary(random.Random(seed))
    yield from _text(random.Random(seed))
    yield from _sizes()


def _binary(rng: random.Random) -> Iterator[Case]:
    whole = stl(box())
    yield good("STL, sound", "plain", whole)
    yield good("STL, sound", "attribute bytes", stl(box(), attribute=0xBEEF))
    yield good("STL, sound", "normals that are no number", stl(box(), normal=float("nan")))
    yield good("STL, sound", "named as OBJ", whole, file="part.obj")
    yield good("STL, sound", "named as 3MF", whole, file="part.3mf")
    yield good("STL, sound", "without ending, name not Latin", whole, file="деталь 部品")
    yield good("STL, sound", "two bodies", stl(TWO), "2 separate bodies", volume=2 * BOX_MM3, bodies=2)
    for text in (b"solid box", b"solid box facet normal", b"PK\x03\x04", b"ply\nformat", b"ISO-10303-21;", b"\0" * 9):
        yield good("STL, header that lies", f"header {text!r}", stl(box(), header=text))
    yield good("STL, zero tail", "one zero byte", whole + b"\0", "zero bytes after")
    yield good("STL, zero tail", "4 KiB of zeros", whole + bytes(4096), "zero bytes after")
    yield bad("STL, zero tail", "tail that isn't zero", whole + b"x" * 50, "count is wrong")
    for at in sorted({0, 1, 40, 79, 83, 84, 85, 133, *(rng.randrange(1, len(whole)) for _ in range(10))}):
        yield bad("STL, truncated", f"cut at byte {at}", whole[:at], "")
    for count in (0, 1, 11, 13, 600, 2**31, 2**32 - 1):
        yield bad("STL, wrong count", f"count {count}", stl(box(), count=count), "")
    for value in ("nan", "inf", "-inf"):
        broken = bytearray(whole)
        broken[84 + 12 : 84 + 16] = struct.pack("<f", float(value))
        yield bad("STL, no finite number", f"binary {value}", bytes(broken), "no finite number")
    for value in (3e38, 1e30, -1e12):
        broken = bytearray(whole)
        broken[84 + 12 : 84 + 16] = struct.pack("<f", value)
        yield bad("STL, huge coordinate", f"binary {value}", bytes(broken), "damaged or the unit is wrong")
    yield bad("STL, nothing in it", "zeros", stl((np.zeros((8, 3)), box()[1])), "area")
    for k in range(4):
        yield bad("no format", f"random bytes {k}", rng.randbytes(1000), "", "part.stl")
    yield bad("no format", "random bytes without a known name", rng.randbytes(1000), "no part file", "part.bin")
    yield bad("no format", "empty", b"", "empty")
    yield bad("no format", "web page", "<html><body>Not found</body></html>", "", "part.stl")
    yield bad("no format", "comments without end before a STEP head", "/**/" * 1000, "no part file", "part")
    yield bad("no format", "comments before nothing, named STEP", "/**/" * 1000, "STEP", "part.step")


def _text(rng: random.Random) -> Iterator[Case]:
    text = text_stl(box())
    for name, data in {
        "plain": text,
        "CR LF": text_stl(box(), end="\r\n"),
        "CR": text_stl(box(), end="\r"),
        "tabs and blank lines": "\n\n" + text.replace(" ", "\t\t").replace("\n", "\n\n"),
        "capitals": text.upper(),
        "byte order mark": "\ufeff" + text,
        "no name": text_stl(box(), name=""),
        "name not Latin": text_stl(box(), name="Gehäuse 部品 №7"),
        "name with words of the form": text_stl(box(), name="facet normal outer loop"),
        "end without name": text.replace("endsolid box", "endsolid"),
        "no line end at the end": text.rstrip(),
        "exponents": text_stl(box(), form="{:.6E}"),
        "signs": text_stl(box(), form="{:+.3f}"),
        "no digit before the point": text.replace("vertex 0.0", "vertex .0"),
        "no digit after the point": text.replace("10.0", "10."),
        "40 digits": text_stl(box(), form="{:.40f}"),
        "one long line": text.replace("\n", " ").replace("solid box ", "solid box\n", 1),
    }.items():
        yield good("STL text, sound", name, data)
    both = text + text_stl(box((50, 0, 0)))
    yield good("STL text, several solids", "two", both, "2 solids", volume=2 * BOX_MM3, bodies=2)
    for _ in range(8):
        at = rng.randrange(len(text) // 3, len(text) - 20)
        yield bad("STL text, truncated", f"cut at letter {at}", text[:at], "")
    for word in ("nan", "inf", "-Infinity", "1e999", "0x1p3", "1,5", "ten", "1_0", "--1", "1e", ".", "1.2.3", "٣"):
        yield bad("STL text, no finite number", f"{word} as a coordinate", text.replace("10.0", word, 1), "Line")
    for name, data in {
        "a coordinate missing": text.replace("vertex 0.0 0.0", "vertex 0.0", 1),
        "a coordinate too many": text.replace("vertex 0.0", "vertex 0.0 0.0", 1),
        "four corners": text.replace("endloop", "vertex 0 0 0\nendloop", 1),
        "two corners": text.replace("vertex 0.0 0.0 0.0\n", "", 1),
        "no endfacet": text.replace("endfacet\n", "", 1),
        "a zero byte": text.replace("vertex", "ver\0tex", 1),
        "misspelt": text.replace("endloop", "endlop", 1),
        "no facets": "solid box\nendsolid box\n",
        "text after the end": text + "hello there",
        "UTF-16": text.encode("utf-16").decode("latin-1"),
    }.items():
        raw = data.encode("latin-1") if name == "UTF-16" else data.encode()
        yield bad("STL text, broken", name, raw, "")


def _sizes() -> Iterator[Case]:
    yield good("unit doubtful", "metres", stl(box(scale=1e-3)), "With m ", volume=6e-6)
    yield good("unit doubtful", "inches of a pump", stl(box(scale=0.02)), "With in", volume=BOX_MM3 * 8e-6)
    yield good("unit doubtful", "micrometres", stl(box(scale=1e3)), "With um", "from the origin", volume=6e12)
    yield good("unit doubtful", "10 m", stl(box(scale=400)), "Check the unit", volume=BOX_MM3 * 6.4e7)
    yield good("far away", "1 km off", stl(box((1e6, 0, 0))), "from the origin")
    yield good("far away", "1 km off as text", text_stl(box((0, -1e6, 0))), "from the origin")
