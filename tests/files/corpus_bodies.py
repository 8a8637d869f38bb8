"""Nasty surfaces: open, cracked, inverted, crossing, nested, doubled, flat, one-sided; repaired or said in words."""

from collections.abc import Iterator

import numpy as np

from tests.files.cases import Case
from tests.files.corpus_stl import TWO, bad, good
from tests.files.solids import BOX_MM3, box, joined, obj, stl, text_stl


def body_cases() -> Iterator[Case]:
    """All surfaces of the corpus, most as text STL with full digits."""
    yield from _repaired()
    yield from _said()


def _repaired() -> Iterator[Case]:
    points, triangles = box()
    turned = triangles.copy()
    turned[[1, 4]] = turned[[1, 4]][:, ::-1]
    yield good("repaired", "inside out", stl((points, triangles[:, ::-1])), "faced inward")
    yield good("repaired", "two faces turned", stl((points, turned)), "turned round")
    yield good("repaired", "a triangle twice", stl((points, np.vstack([triangles, triangles[:1]]))), "given twice")
    yield good("repaired", "all triangles twice", stl((points, np.vstack([triangles] * 2))), "given twice")
    flat = np.vstack([triangles, [[0, 0, 1], [2, 2, 2]]])
    yield good("repaired", "triangles without area", stl((points, flat)), "without area")
    back = np.vstack([triangles, [[0, 1, 7], [7, 1, 0]]])
    yield good("repaired", "a pair back to back", stl((points, back)), "back to back")
    cracked = points[triangles].copy()
    cracked[3] += 2e-5
    loose = (cracked.reshape(-1, 3), np.arange(36).reshape(-1, 3))
    yield Case(kind="repaired", name="a hairline crack", data=text_stl(loose).encode(), file="a.stl", warns=("cracks",))
    inner = box((2, 5, 8), 0.5)
    shell = joined(box(), (inner[0], inner[1][:, ::-1]))
    yield good("nested", "a cavity", stl(shell), volume=BOX_MM3 * 7 / 8)
    yield good("nested", "a body inside a body", stl(joined(box(), inner)), "cavity", volume=BOX_MM3 * 7 / 8)
    both = stl((TWO[0], TWO[1][:, ::-1]))
    yield good("repaired", "two inside out", both, "faced inward", "separate", volume=2 * BOX_MM3, bodies=2)
    glued = stl(joined(box(), box((10, 0, 0))))
    smaller = stl(joined(box(), box((10, 5, 8), 0.5)))
    said = ("touch near", "separate")
    yield good("touching", "a smaller box on a wall", smaller, *said, volume=BOX_MM3 * 9 / 8, bodies=2)
    yield good("touching", "boxes that share a wall", glued, "back to back", volume=2 * BOX_MM3)


def _said() -> Iterator[Case]:
    def wrong(name: str, data: bytes | str, *warns: str, bodies: int = 1, kind: str = "said, not built on") -> Case:
        raw = data.encode() if isinstance(data, str) else data
        file = "a.obj" if raw.startswith(b"v ") else "a.stl"
        return Case(kind=kind, name=name, data=raw, file=file, warns=warns, bodies=bodies, buildable=False)

    points, triangles = box()
    yield wrong("one triangle missing", stl((points, triangles[1:])), "open along 3 edges")
    yield wrong("a side missing", stl((points, triangles[2:])), "open along 4 edges")
    yield wrong("one triangle", stl((points, triangles[:1])), "open along 3 edges")
    middle = np.vstack([points, (points[0] + points[1]) / 2])
    split = np.vstack([triangles[1:], [[0, 8, 3], [8, 1, 3]]])
    yield wrong("a T-junction", stl((middle, split)), "open along")
    wide = points[triangles].copy()
    wide[3] += 0.05
    yield wrong(
        "a wide crack", stl((wide.reshape(-1, 3), np.arange(36).reshape(-1, 3))), "open along", "separate", bodies=2
    )
    edge = stl(joined(box(), box((10, 20, 0))))
    yield wrong("boxes that touch along an edge", edge, "More than two faces", "separate", bodies=2, kind="touching")
    fin = np.vstack([triangles, [[0, 1, 8]]])
    yield wrong("a loose fin", stl((np.vstack([points, [-5, -5, 10]]), fin)), "More than two", "open along", "separate",
                bodies=2)  # fmt: skip
    over = joined(box(), box((5, 10, 15)))
    yield wrong("overlapping boxes", stl(over), "cross each other", "separate", bodies=2, kind="crossing")
    through = joined(box(), box((-2, 5, 5), 0.6))
    yield wrong("a box through a wall", stl(through), "cross each other", "separate", bodies=2, kind="crossing")
    bow = points.copy()
    bow[[0, 2]] = bow[[2, 0]]
    yield wrong("a box twisted through itself", stl((bow, triangles)), "crosses itself", kind="crossing")
    sheet = np.array([[0, 0, 0], [10, 0, 0], [10, 10, 0], [0, 10, 0.0]])
    yield wrong("a flat sheet", stl((sheet, np.array([[0, 1, 2], [0, 2, 3]]))), "open along 4 edges")
    yield bad("nothing in it", "a sheet with two sides", stl((sheet, np.array([[0, 1, 2], [0, 2, 1]]))), "area")
    flat = sheet.copy()
    flat_tetrahedron = np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]])
    yield wrong("a tetrahedron without height", stl((flat, flat_tetrahedron)), "no volume", kind="zero volume")
    yield wrong("a one-sided band", _band(), "open along", "no inside", "turned round", kind="one-sided")


def _band() -> str:
    """A Moebius band of nine steps as OBJ."""
    n = 9
    angle = np.linspace(0, 2 * np.pi, n, endpoint=False)
    rows = []
    for side in (-2, 2):
        reach = 10 + side * np.cos(angle / 2)
        rows.append(np.stack([reach * np.cos(angle), reach * np.sin(angle), side * np.sin(angle / 2)], axis=1))
    faces = []
    for i in range(n):
        a, b, c, d = i, n + i, (i + 1) % n, n + (i + 1) % n
        if i == n - 1:
            c, d = d, c
        faces += [(a, c, b), (b, c, d)]
    return obj(np.concatenate(rows), faces)
