"""Malformed and nasty OBJ files: every way to write a corner, and every way to get it wrong."""

from collections.abc import Iterator

import numpy as np

from tests.files.cases import Case
from tests.files.corpus_stl import bad as bad_file
from tests.files.corpus_stl import good as good_file
from tests.files.solids import BOX_MM3, CORNERS, QUADS, TRIANGLES, obj

PRISM = 6 * 0.25 * np.sqrt(3.0) * 100 * 5
"""Hexagonal prism: side 10, height 5."""


def obj_cases() -> Iterator[Case]:
    """All OBJ files of the corpus."""
    yield from _sound()
    yield from _broken()


def prism(n: int, radius: float, height: float) -> tuple[np.ndarray, list[tuple[int, ...]]]:
    """A prism whose caps are polygons with n corners."""
    angle = 2 * np.pi * np.arange(n) / n
    ring = np.stack([radius * np.cos(angle), radius * np.sin(angle)], axis=1)
    points = np.concatenate([np.column_stack([ring, np.full(n, z)]) for z in (0.0, height)])
    sides = [(i, (i + 1) % n, n + (i + 1) % n, n + i) for i in range(n)]
    return points, [tuple(range(n))[::-1], tuple(range(n, 2 * n)), *sides]


def _sound() -> Iterator[Case]:
    def good(name: str, data: str, *warns: str, **more: object) -> Case:
        return good_file("OBJ, sound", name, data, *warns, **({"file": "part.obj"} | more))

    plain = obj()
    extra = "vt 0 0\nvn 0 0 1\n" + plain
    yield good("quads", plain)
    yield good("triangles", obj(faces=TRIANGLES.tolist()))
    yield good("unknown name", plain, file="part.txt")
    yield good("corner and texture", extra.replace("vt 0 0\n", "vt 0 0\n" * 8) and "vt 0 0\n" * 8 + obj(form="{0}/{0}"))
    yield good("corner and normal", "vn 0 0 1\n" * 8 + obj(form="{0}//{0}"))
    yield good("all three", "vt 0 0\nvn 0 0 1\n" * 8 + obj(form="{0}/{0}/{0}"))
    yield good("counted backwards", obj(faces=[[i - 9 for i in face] for face in QUADS]))
    yield good("both ways", plain.replace("f 1 2 4 3", "f -8 2 -5 3"))
    yield good("CR LF", plain.replace("\n", "\r\n"))
    yield good("comments", "# a box\n" + plain.replace("\n", " # here\n"))
    yield good("a line goes on in the next", plain.replace("f 1 2 4 3", "f 1 2 \\\n4 3"))
    yield good("groups, objects, smoothing", "o box\ng side\ns off\n" + plain)
    yield good("a material file is not opened", "mtllib ../../../../etc/passwd\nusemtl тест\n" + plain)
    yield good("colours", plain.replace("v 0.0", "v 0.0").replace("0.0\nv", "0.0 1 0.5 0.5\nv"))
    yield good("weights", "\n".join(line + " 1.0" if line[:2] == "v " else line for line in plain.split("\n")))
    yield good("byte order mark", "\ufeff" + plain)
    yield good("no line end at the end", plain.rstrip())
    lines = plain.split("\n")
    yield good("faces before corners", "\n".join([line for line in lines if line[:1] == "f"] + lines[:8]) + "\n")
    yield good("corners nothing uses", plain + "v 999 999 999\n", volume=BOX_MM3)
    yield good("corners given per face", obj(CORNERS[TRIANGLES].reshape(-1, 3), np.arange(36).reshape(-1, 3).tolist()))
    yield good("curves and points passed over", "p 1\nl 1 2\ncurv 0 1 1 2\n" + plain)
    yield good("polygons of six", obj(*prism(6, 10.0, 5.0)), volume=float(PRISM))
    shape = [(0, 0), (20, 0), (20, 10), (10, 10), (10, 20), (0, 20)]
    ell = np.array([(x, y, z) for z in (0.0, 5.0) for x, y in shape])
    faces = [(5, 4, 3, 2, 1, 0), (6, 7, 8, 9, 10, 11), *[(i, (i + 1) % 6, 6 + (i + 1) % 6, 6 + i) for i in range(6)]]
    yield good("concave polygons", obj(ell, faces), volume=1500.0)
    yield good("faces of two corners", plain + "f 1 2\n", "fewer than three")
    bent = CORNERS.copy()
    bent[7] += 3
    yield good("quads that aren't flat", obj(bent), "aren't flat", volume=None)


def _broken() -> Iterator[Case]:
    def bad(name: str, data: str | bytes, word: str = "", kind: str = "OBJ, broken") -> Case:
        return bad_file(kind, name, data, word, "part.obj")

    plain = obj()
    for word in ("0", "9", "-9", "-0", "99999999999", "1.5", "a", "1e0", "/1", "1/2/3/4", "1/a", "+", "-", "1\\2"):
        yield bad(f"corner {word}", plain.replace("f 1 ", f"f {word} ", 1), "Line 9", "OBJ, no such corner")
    for word in ("nan", "inf", "1e999", "0x1", "ten", "1,5"):
        yield bad(f"coordinate {word}", plain.replace("v 0.0", f"v {word}", 1), "Line 1", "OBJ, no finite number")
    yield bad("two coordinates", plain.replace("v 0.0 0.0 0.0", "v 0.0 0.0", 1), "fewer than three")
    yield bad("no faces", plain[: plain.index("f ")], "no faces")
    yield bad("no corners", plain[plain.index("f ") :], "")
    yield bad("faces without corners", plain[: plain.index("f ")] + "f\nf\n", "")
    yield bad("faces of two corners only", plain[: plain.index("f ")] + "f 1 2\nf 3 4\n", "no triangles")
    yield bad("a zero byte", plain.replace("f 1", "f\0 1", 1), "zero bytes")
    yield bad("cut in a corner", plain.rstrip() + "4", "Line 14")
    short = plain[: plain.rindex(" ")].encode()
    yield Case(
        kind="OBJ, broken", name="cut between corners", data=short, file="a.obj", warns=("open",), buildable=False
    )
    yield bad("letter to a customer", "Dear customer,\nthe part is ready.\n", "")
    yield bad("binary", bytes(range(1, 256)) * 4, "")
    yield bad("huge", obj(CORNERS * 1e300), "damaged or the unit is wrong")
    yield bad("overflowing", obj(CORNERS * 5e306), "")
