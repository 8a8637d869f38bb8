"""Read 3MF with lib3mf, behind our own look at the package: sizes, entities, object types, transforms."""

import ctypes
import re
from typing import Any

import numpy as np

from core.part.package_3mf import look_into_package
from core.part.raw_mesh import MOST_TRIANGLES, RawMesh, check_triangle_count
from core.refusal import Refusal
from core.units import FloatArray, IntArray

_DEEPEST = 32
_MOST_OBJECTS = 50_000
_UNITS = ("um", "mm", "cm", "in", "ft", "m")
"""In the order of lib3mf's ModelUnit."""
_TYPES = ("other", "model", "support", "solidsupport", "surface")
"""In the order of lib3mf's ObjectType."""

Placed = tuple[FloatArray, IntArray]


def read_3mf(data: bytes) -> RawMesh:
    """The `model` objects of a 3MF package's build, placed and merged, in the package's unit.

    Object types and the build as in the 3MF Core Specification, chapters 3 and 4.
    Raises Refusal for a damaged, hostile or empty package.
    """
    look_into_package(data)
    try:
        import lib3mf
    except ImportError:
        raise Refusal("Reading 3MF needs the package lib3mf. Install it with: pip install lib3mf") from None
    wrapper = lib3mf.get_wrapper()
    model = wrapper.CreateModel()
    reader = model.QueryReader("3mf")
    buffer = (ctypes.c_uint8 * len(data)).from_buffer_copy(data)
    try:
        wrapper.checkError(
            reader, wrapper.lib.lib3mf_reader_readfrombuffer(reader._handle, ctypes.c_uint64(len(data)), buffer)
        )
        return _merge_build(wrapper, model)
    except lib3mf.ELib3MFException as fault:
        raise Refusal(f"The 3MF file breaks its format: {_plain(fault)}. Export the part again.") from None


def _plain(fault: Exception) -> str:
    text = str(getattr(fault, "_message", "") or fault)
    text = re.sub(r"\s+", " ", re.sub(r"(?i)^.*?exception\s*[\d:]*\s*:?\s*", "", text)).strip(" .:")
    return "".join(c if c.isprintable() else "?" for c in text)[:200] or "it can't be parsed"


def _transform(raw: Any) -> FloatArray:
    """(4, 3) matrix of a lib3mf transform: row vectors are multiplied from the left, as in the specification."""
    return np.ctypeslib.as_array(raw.Fields).astype(np.float64).reshape(4, 3)


def _mesh_of(wrapper: Any, mesh: Any) -> Placed:
    n_points, n_triangles = mesh.GetVertexCount(), mesh.GetTriangleCount()
    points = np.zeros((n_points, 3), dtype=np.float32)
    triangles = np.zeros((n_triangles, 3), dtype=np.uint32)
    needed = ctypes.c_uint64(0)
    for array, count, call in (
        (points, n_points, wrapper.lib.lib3mf_meshobject_getvertices),
        (triangles, n_triangles, wrapper.lib.lib3mf_meshobject_gettriangleindices),
    ):
        if count:
            target = ctypes.cast(array.ctypes.data, ctypes.c_void_p)
            kind = call.argtypes[3] if getattr(call, "argtypes", None) else ctypes.c_void_p
            pointer = ctypes.cast(target, kind)
            wrapper.checkError(mesh, call(mesh._handle, ctypes.c_uint64(count), ctypes.byref(needed), pointer))
    if n_triangles and triangles.max() >= n_points:
        raise Refusal("A 3MF triangle names a vertex that doesn't exist. Export the part again.")
    return points.astype(np.float64), triangles.astype(np.int32)


class _Build:
    """Collects the placed meshes of a build and what was left out."""

    def __init__(self, wrapper: Any) -> None:
        self.wrapper = wrapper
        self.meshes: dict[int, Placed] = {}
        self.placed: list[Placed] = []
        self.skipped: dict[str, int] = {}
        self.beams = 0
        self.costs: dict[int, tuple[int, int, int]] = {}

    def cost(self, thing: Any, above: int = 0) -> tuple[int, int, int]:
        """Triangles and objects that placing an object makes, and how deep it nests; nothing is placed yet."""
        key = thing.GetUniqueResourceID()
        if key not in self.costs:
            triangles, objects, deepest = 0, 1, 0
            if thing.IsMeshObject():
                triangles = thing.GetTriangleCount()
            elif thing.IsComponentsObject():
                if above > _DEEPEST:
                    raise Refusal("The 3MF file nests components too deeply. Export the part as one body.")
                for i in range(thing.GetComponentCount()):
                    inner = self.cost(thing.GetComponent(i).GetObjectResource(), above + 1)
                    triangles, objects, deepest = triangles + inner[0], objects + inner[1], max(deepest, inner[2] + 1)
            self.costs[key] = (triangles, objects, deepest)
        return self.costs[key]

    def check_cost(self, things: list[Any]) -> None:
        """Raise Refusal before anything is placed when the build would be too large."""
        costs = [self.cost(thing) for thing in things]
        if sum(cost[1] for cost in costs) > _MOST_OBJECTS or any(cost[2] > _DEEPEST for cost in costs):
            raise Refusal("The 3MF file nests components too deeply or too often. Export the part as one body.")
        if (total := sum(cost[0] for cost in costs)) > MOST_TRIANGLES:
            check_triangle_count(total)

    def add(self, thing: Any, matrix: FloatArray) -> None:
        """Place an object, and the components it is made of."""
        kind = _TYPES[int(thing.GetType())]
        if kind != "model":
            self.skipped[kind] = self.skipped.get(kind, 0) + 1
            return
        if thing.IsMeshObject():
            key = thing.GetUniqueResourceID()
            if key not in self.meshes:
                self.meshes[key] = _mesh_of(self.wrapper, thing)
                self.beams += thing.BeamLattice().GetBeamCount()
            points, triangles = self.meshes[key]
            if not np.isfinite(matrix).all() or abs(np.linalg.det(matrix[:3])) < 1e-12:
                raise Refusal("A 3MF transform flattens its object or isn't finite. Export the part again.")
            if np.linalg.det(matrix[:3]) < 0:
                triangles = triangles[:, ::-1]
            self.placed.append((points @ matrix[:3] + matrix[3], triangles))
        elif thing.IsComponentsObject():
            for i in range(thing.GetComponentCount()):
                part = thing.GetComponent(i)
                inner = _transform(part.GetTransform()) if part.HasTransform() else np.eye(4, 3)
                whole = inner[:, :3] @ matrix[:3]
                whole[3] += matrix[3]
                self.add(part.GetObjectResource(), whole)
        else:
            self.skipped["no mesh"] = self.skipped.get("no mesh", 0) + 1


def _merge_build(wrapper: Any, model: Any) -> RawMesh:
    build = _Build(wrapper)
    items = []
    found = model.GetBuildItems()
    while found.MoveNext():
        items.append(found.GetCurrent())
    build.check_cost([item.GetObjectResource() for item in items])
    n_items = 0
    for item in items:
        before = len(build.placed)
        matrix = _transform(item.GetObjectTransform()) if item.HasObjectTransform() else np.eye(4, 3)
        build.add(item.GetObjectResource(), matrix)
        n_items += len(build.placed) > before
    left_out = ", ".join(f"{count} of type {kind}" for kind, count in sorted(build.skipped.items()))
    if not build.placed:
        raise Refusal(
            "The 3MF file's build holds no object of type model"
            + (f" ({left_out} left out)." if left_out else ".")
            + " Export the part itself as a build item."
        )
    warnings = []
    if left_out:
        warnings.append(f"The 3MF file holds objects that are no part and were left out: {left_out}.")
    if build.beams:
        warnings.append(f"{build.beams:,} beams of the 3MF file's lattice were left out; export them as triangles.")
    if n_items > 1:
        warnings.append(f"The 3MF file builds {n_items} objects; they were read as one part.")
    offset = np.cumsum([0] + [len(points) for points, _ in build.placed])
    triangles = np.concatenate([t + o for (_, t), o in zip(build.placed, offset, strict=False)])
    check_triangle_count(len(triangles))
    return RawMesh(
        points=np.concatenate([points for points, _ in build.placed]),
        triangles=np.ascontiguousarray(triangles, dtype=np.int32),
        file_format="3mf",
        unit=_UNITS[int(model.GetUnit())],
        warnings=tuple(warnings),
    )
