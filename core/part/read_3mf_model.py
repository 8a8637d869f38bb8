"""Parse one model part of a 3MF package: its objects, its build, its unit; strict where the specification is."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

import numpy as np

from core.part.package_3mf import Parser
from core.part.read_3mf_materials import Resources
from core.part.read_3mf_rows import Numbers, scan_rows
from core.part.read_3mf_rules import (
    BEAMS,
    CORE,
    FOREIGN_INSIDE,
    MATERIAL,
    MATERIAL_INSIDE,
    PRODUCTION,
    READABLE,
    RULES,
    breaks,
    check_element,
    core,
    local,
    plain,
)
from core.refusal import Refusal
from core.units import FloatArray, IntArray

_MODEL, _RESOURCES, _BUILD, _ITEM = core("model"), core("resources"), core("build"), core("item")
_OBJECT, _MESH, _COMPONENTS, _COMPONENT = core("object"), core("mesh"), core("components"), core("component")
_VERTICES, _VERTEX, _TRIANGLES, _TRIANGLE = core("vertices"), core("vertex"), core("triangles"), core("triangle")
_METADATA = core("metadata")
_ONCE = (_MODEL, _RESOURCES, _BUILD, _MESH, _COMPONENTS, _VERTICES, _TRIANGLES, core("metadatagroup"))
_AFTER = {_BUILD: _RESOURCES, _TRIANGLES: _VERTICES}
_PATH = f"{PRODUCTION} path"
_PLAIN_ROWS = {b"<vertices>": b"vertices", b"<triangles>": b"triangles"}
_TAIL = 16
_LONGEST_ROW = 65536
_MOST_OTHER_ELEMENTS = 4_000_000
_DEEPEST_XML = 64


@dataclass(frozen=True, kw_only=True, eq=False)
class Placing:
    """An object put somewhere: its number, the model part it is in ('' for this one), and where, (4, 3)."""

    number: int
    path: str
    matrix: FloatArray


@dataclass(kw_only=True, eq=False)
class Thing:
    """An object: points (n, 3) and triangles (m, 3) when it is a mesh, else the placings it is made of."""

    kind: str
    points: FloatArray = field(default_factory=lambda: np.zeros((0, 3)))
    triangles: IntArray = field(default_factory=lambda: np.zeros((0, 3), np.int32))
    parts: list[Placing] = field(default_factory=list)
    beams: int = 0
    is_mesh: bool = False


class ModelParser(Parser):
    """What a model part holds: things by number, items of the build, unit, and what is odd about it."""

    def __init__(self, holds: Callable[[str], bool]) -> None:
        super().__init__()
        self.parser.StartNamespaceDeclHandler = self._namespace
        self.parser.CharacterDataHandler = self._text
        self.parser.buffer_text = True
        self.resources = Resources(holds)
        self.things: dict[int, Thing] = {}
        self.items: list[Placing] = []
        self.unit = "millimeter"
        self.strange: set[str] = set()
        self._stack: list[str] = [""]
        self._children: list[set[str]] = [set()]
        self._names: list[set[str]] = [set()]
        self._prefixes: dict[str, str] = {}
        self._foreign = 0
        self._n_other = 0
        self._thing: Thing | None = None
        self._number = 0
        self._has_group = False
        self._points = Numbers("coordinate", whole=False)
        self._corners = Numbers("vertex number", whole=True)
        self._fed = 0
        self._skipped = 0
        self._opened_at = -1

    def counts_lines(self) -> bool:
        return self._skipped == 0

    def _namespace(self, prefix: str | None, uri: str | None) -> None:
        self._prefixes[prefix or ""] = uri or ""

    def _text(self, text: str) -> None:
        if self._foreign == 0 and not text.isspace():
            rule = RULES.get(self._stack[-1])
            if rule is None or not rule.holds_text:
                raise breaks(f"text {plain(text.strip())} where none may be")

    def start(self, name: str, attributes: list[str]) -> None:
        parent = self._stack[-1]
        if name == _VERTEX and parent == _VERTICES and attributes[::2] == ["x", "y", "z"]:
            self._points.add_words(attributes[1::2])
            self._stack.append(name)
            return
        if name == _TRIANGLE and parent == _TRIANGLES and attributes[::2] == ["v1", "v2", "v3"]:
            self._corners.add_words(attributes[1::2])
            self._stack.append(name)
            return
        self._n_other += 1
        if self._n_other > _MOST_OTHER_ELEMENTS or len(self._stack) > _DEEPEST_XML:
            raise Refusal("The 3MF model has more elements than any part needs. Export the part as plain triangles.")
        self._stack.append(name)
        if self._foreign or not name.startswith((f"{CORE} ", f"{MATERIAL} ")):
            self._start_foreign(name, parent, attributes)
            return
        values = dict(zip(attributes[::2], attributes[1::2], strict=True))
        if name.startswith(f"{MATERIAL} ") and name not in RULES and parent == MATERIAL_INSIDE:
            self._foreign += 1  # display properties and what later editions add
            return
        self.strange.update(check_element(name, parent, values))
        if name in _ONCE and name in self._children[-1]:
            raise breaks(f"two {local(name)} in one {local(parent)}")
        if name in _AFTER and _AFTER[name] not in self._children[-1]:
            raise breaks(f"{local(name)} before or without {local(_AFTER[name])}")
        self._children[-1].add(name)
        self._children.append(set())
        self._names.append(set())
        self._take(name, parent, values)

    def _start_foreign(self, name: str, parent: str, attributes: list[str]) -> None:
        if not self._foreign and parent not in FOREIGN_INSIDE:
            raise breaks(f"{local(name)} in {local(parent)}" if parent else f"{local(name)} instead of a model")
        if parent == _RESOURCES and "id" in attributes[::2]:
            self.resources.add_foreign(name, attributes[2 * attributes[::2].index("id") + 1])
        if name == f"{BEAMS} beam" and self._thing is not None:
            self._thing.beams += 1
        self._foreign += 1

    def _take(self, name: str, parent: str, values: dict[str, str]) -> None:
        if name == _MODEL:
            self._check_extensions(values.get("requiredextensions", ""))
            self.unit = values.get("unit", self.unit)
        elif name == _METADATA:
            if values["name"] in self._names[-2]:
                raise breaks(f"two metadata named {plain(values['name'])}")
            self._names[-2].add(values["name"])
        elif name == _OBJECT:
            self.resources.check_properties(values, False, name)
            self.resources.add(name, values)
            self._number = int(values["id"])
            self._has_group = "pid" in values
            self._thing = Thing(kind=values.get("type", "model"))
        elif parent == _RESOURCES:
            self.resources.add(name, values)
        elif name in (_VERTICES, _TRIANGLES):
            self._opened_at = self.parser.CurrentByteIndex
        elif name == _VERTEX:
            self._points.add_words([values[key] for key in "xyz"])
        elif name == _TRIANGLE:
            self._corners.add_words([values[key] for key in ("v1", "v2", "v3")])
            self.resources.check_properties(values, self._has_group, name)
        elif name == _COMPONENT and self._thing is not None:
            placing = self._placing(values)
            if placing.path == "" and placing.number not in self.things:
                raise breaks(f"a component refers to object {placing.number}, which isn't given before it")
            self._thing.parts.append(placing)
        elif name == _ITEM:
            placing = self._placing(values)
            if placing.path == "" and placing.number not in self.things:
                raise breaks(f"its build refers to object {placing.number}, which isn't there")
            self.items.append(placing)

    def _placing(self, values: dict[str, str]) -> Placing:
        number, path = int(values["objectid"]), values.get(_PATH, "")
        if "transform" not in values:
            return Placing(number=number, path=path, matrix=np.eye(4, 3))
        matrix = np.array([float(word) for word in values["transform"].split()]).reshape(4, 3)
        if not np.isfinite(matrix).all() or not abs(np.linalg.det(matrix[:3])) > 1e-12:
            raise Refusal("A 3MF transform flattens its object or isn't finite. Export the part again.")
        return Placing(number=number, path=path, matrix=matrix)

    def _check_extensions(self, prefixes: str) -> None:
        for prefix in prefixes.split():
            namespace = self._prefixes.get(prefix, "")
            if namespace not in READABLE:
                raise Refusal(
                    f"The 3MF file requires an extension that isn't read here ({plain((namespace or prefix)[-40:])}). "
                    "Export the part as plain triangles."
                )

    def end(self, name: str) -> None:
        self._stack.pop()
        if name in (_VERTEX, _TRIANGLE) and self._foreign == 0:
            if len(self._children) > len(self._stack):
                self._children.pop()
                self._names.pop()
            return
        if self._foreign:
            self._foreign -= 1
            return
        children = self._children.pop()
        self._names.pop()
        if name == _MODEL:
            for needed in (_RESOURCES, _BUILD):
                if needed not in children:
                    raise breaks(f"a model without {local(needed)}")
        elif name == _MESH:
            self._close_mesh(children)
        elif name == _OBJECT and self._thing is not None:
            if (_MESH in children) == (_COMPONENTS in children):
                raise breaks(f"object {self._number} has not either a mesh or components")
            self.things[self._number] = self._thing
            self._thing = None

    def _close_mesh(self, children: set[str]) -> None:
        if _TRIANGLES not in children or self._thing is None:
            raise breaks("a mesh without triangles")
        points, corners = self._points.all(), self._corners.all()
        if len(corners) and (corners.min() < 0 or corners.max() >= len(points)):
            raise breaks(f"a triangle names a vertex that doesn't exist; there are {len(points):,}")
        self._thing.points, self._thing.triangles = points, corners.astype(np.int32)
        self._thing.is_mesh = True

    def read(self, pieces: Iterable[bytes]) -> None:
        """Parse the whole part, its plain rows by the scanner, all else by the parser."""
        held = b""
        rows = b""
        for piece in pieces:
            held = self._advance(held + piece, rows)
            held, rows = held[1:], _ROWS[held[0]]
        self._feed(held)
        self.feed(b"", last=True)

    def _advance(self, held: bytes, rows: bytes) -> bytes:
        """Take what can be taken; returns a byte saying which rows go on, and the bytes left for next time."""
        while True:
            if rows:
                text = np.frombuffer(held, dtype=np.uint8)
                start, end, done = scan_rows(text, rows)
                if len(start):
                    (self._points if rows == b"vertices" else self._corners).add_text(text, start, end)
                self._skipped += done
                held = held[done:]
                if len(held) < _LONGEST_ROW and b">" not in held:
                    return bytes([_ROWS.index(rows)]) + held
                rows = b""
            found = min((at for mark in _PLAIN_ROWS if (at := held.find(mark)) >= 0), default=-1)
            if found < 0:
                kept = max(len(held) - _TAIL, 0)
                self._feed(held[:kept])
                return b"\0" + held[kept:]
            mark = held[found : held.index(b">", found) + 1]
            opens_at = self._fed + found
            self._feed(held[: found + len(mark)])
            held = held[found + len(mark) :]
            rows = _PLAIN_ROWS[mark] if self._opened_at == opens_at and self._stack[-1] in _LISTS else b""

    def _feed(self, data: bytes) -> None:
        self._fed += len(data)
        self.feed(data)


_ROWS = (b"", b"vertices", b"triangles")
_LISTS = (_VERTICES, _TRIANGLES)
