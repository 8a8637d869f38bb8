"""Read 3MF: the model objects that are built, placed and merged; nothing outside the package is ever opened.

After the 3MF Core Specification, chapters 3 and 4, and the Production Extension's paths.
"""

import numpy as np

from core.part.package_3mf import MODEL, MODEL_TYPE, Package
from core.part.raw_mesh import MOST_TRIANGLES, RawMesh, check_triangle_count
from core.part.read_3mf_model import ModelParser, Placing, Thing
from core.part.read_3mf_rules import breaks, plain
from core.refusal import Refusal
from core.units import FloatArray, IntArray

_DEEPEST = 32
_MOST_OBJECTS = 50_000
_UNITS = {"micron": "um", "millimeter": "mm", "centimeter": "cm", "inch": "in", "foot": "ft", "meter": "m"}

Key = tuple[str, int]


def read_3mf(data: bytes) -> RawMesh:
    """The `model` objects of a 3MF package's build, placed and merged, in the package's unit, float64 as written.

    Raises Refusal for a package that is damaged, hostile, empty, or breaks the specification.
    """
    package = Package(data)
    root = package.model()
    build = _Build(package, root)
    main = build.parser(root)
    for item in main.items:
        build.check(item)
    for item in main.items:
        build.item(item)
    return build.merged(_UNITS[main.unit])


class _Build:
    """Collects the placed meshes of a build and what was left out."""

    def __init__(self, package: Package, root: str) -> None:
        self.package, self.root = package, root
        self.others = {r.target.casefold(): r.target for r in package.relations(root) if r.kind == MODEL}
        self.parsers: dict[str, ModelParser] = {}
        self.costs: dict[Key, tuple[int, int, int]] = {}
        self.placed: list[tuple[FloatArray, IntArray]] = []
        self.skipped: dict[str, int] = {}
        self.beams = 0
        self.n_triangles, self.n_objects, self.n_items = 0, 0, 0

    def parser(self, path: str) -> ModelParser:
        """A model part of the package, parsed once."""
        key = path.casefold()
        if key not in self.parsers:
            if key != self.root.casefold():
                if key not in self.others:
                    raise breaks(f"a path {plain(path)} that no relationship of its model names")
                if self.package.type_of(path) != MODEL_TYPE:
                    raise breaks(f"its model has the content type {plain(self.package.type_of(path))}")
            parser = self.parsers[key] = ModelParser(self.package.holds)
            parser.read(self.package.pieces(path))
            if key != self.root.casefold() and any(p.path for t in parser.things.values() for p in t.parts):
                raise breaks("a path to another model in a model that isn't the first")
        return self.parsers[key]

    def thing(self, placing: Placing, path: str) -> tuple[Thing, str]:
        """The object placed, and the model part it is in; path: the model part that places it."""
        where = placing.path or path
        found = self.parser(where).things.get(placing.number)
        if found is None:
            raise breaks(f"object {placing.number} isn't in {plain(where)}")
        return found, where

    def cost(self, placing: Placing, path: str) -> tuple[int, int, int]:
        """Triangles and objects that placing makes, and how deep it nests; nothing is placed yet.

        Objects only refer to earlier ones, so nothing here goes round in circles.
        """
        thing, where = self.thing(placing, path)
        todo = [(where.casefold(), placing.number, where, thing)]
        while todo:
            key, number, where, thing = todo[-1]
            inner = [(*self._place_of(part, where), part) for part in thing.parts]
            missing = [(k, n, w, t) for k, n, w, t, _ in inner if (k, n) not in self.costs]
            if missing and len(todo) <= _DEEPEST + 1:
                todo += missing[:1]
                continue
            if missing:
                raise Refusal("The 3MF file nests components too deeply. Export the part as one body.")
            costs = [self.costs[k, n] for k, n, _, _, _ in inner]
            self.costs[key, number] = (
                len(thing.triangles) + sum(cost[0] for cost in costs),
                1 + sum(cost[1] for cost in costs),
                max((cost[2] + 1 for cost in costs), default=0),
            )
            todo.pop()
        where = (placing.path or path).casefold()
        return self.costs[where, placing.number]

    def _place_of(self, placing: Placing, path: str) -> tuple[str, int, str, Thing]:
        thing, where = self.thing(placing, path)
        return where.casefold(), placing.number, where, thing

    def check(self, item: Placing) -> None:
        """Refuse an item that can't be built, or that would be too much with those before; nothing is placed yet."""
        triangles, objects, deepest = self.cost(item, self.root)
        self.n_triangles += triangles
        self.n_objects += objects
        if self.n_objects > _MOST_OBJECTS or deepest > _DEEPEST:
            raise Refusal("The 3MF file nests components too deeply or too often. Export the part as one body.")
        if self.n_triangles > MOST_TRIANGLES:
            check_triangle_count(self.n_triangles)
        if self.thing(item, self.root)[0].kind == "other":
            raise breaks("its build refers to an object of type other")

    def item(self, item: Placing) -> None:
        """Place one item of the build."""
        before = len(self.placed)
        self._add(item, self.root, np.eye(4, 3))
        self.n_items += len(self.placed) > before

    def _add(self, placing: Placing, path: str, outer: FloatArray) -> None:
        """Row vectors are multiplied from the left, as in the specification."""
        thing, where = self.thing(placing, path)
        matrix = placing.matrix @ outer[:3]
        matrix[3] += outer[3]
        if thing.kind != "model":
            self.skipped[thing.kind] = self.skipped.get(thing.kind, 0) + 1
            return
        for part in thing.parts:
            self._add(part, where, matrix)
        self.beams += thing.beams
        if not thing.is_mesh or len(thing.triangles) == 0:
            if not thing.parts:
                self.skipped["no mesh"] = self.skipped.get("no mesh", 0) + 1
            return
        if not np.isfinite(matrix).all() or not abs(np.linalg.det(matrix[:3])) > 1e-12:
            raise Refusal("A 3MF transform flattens its object or isn't finite. Export the part again.")
        triangles = thing.triangles if np.linalg.det(matrix[:3]) > 0 else thing.triangles[:, ::-1]
        moved = thing.points if np.array_equal(matrix, np.eye(4, 3)) else thing.points @ matrix[:3] + matrix[3]
        self.placed.append((moved, triangles))

    def merged(self, unit: str) -> RawMesh:
        """All that was placed as one mesh, with warnings about what was left out or merged."""
        left_out = ", ".join(f"{count} of type {kind}" for kind, count in sorted(self.skipped.items()))
        if not self.placed:
            why = f" ({left_out} left out)" if left_out else ""
            raise Refusal(
                f"The 3MF file's build holds no object of type model{why}. Export the part itself as a build item."
            )
        offset = np.cumsum([0] + [len(points) for points, _ in self.placed])
        triangles = np.concatenate([t + o for (_, t), o in zip(self.placed, offset, strict=False)])
        check_triangle_count(len(triangles))
        return RawMesh(
            points=np.concatenate([points for points, _ in self.placed]),
            triangles=np.ascontiguousarray(triangles, dtype=np.int32),
            file_format="3mf",
            unit=unit,
            warnings=tuple(self._warnings(left_out)),
        )

    def _warnings(self, left_out: str) -> list[str]:
        warnings = []
        if left_out:
            warnings.append(f"The 3MF file holds objects that are no part and were left out: {left_out}.")
        if self.beams:
            warnings.append(f"{self.beams:,} beams of the 3MF file's lattice were left out; export them as triangles.")
        if self.n_items > 1:
            warnings.append(f"The 3MF file builds {self.n_items} objects; they were read as one part.")
        strange = sorted(set().union(*(parser.strange for parser in self.parsers.values())))
        if strange:
            more = f" and {len(strange) - 3} more" if len(strange) > 3 else ""
            named = ", ".join(plain(text) for text in strange[:3])
            warnings.append(f"Attributes that 3MF doesn't know were passed over: {named}{more}.")
        return warnings
