"""Read 3MF with lib3mf, behind our own look at the package: sizes, entities, object types, transforms."""

import ctypes
import io
import re
import zipfile
import zlib
from typing import Any

import numpy as np

from core.part.raw_mesh import MOST_TRIANGLES, RawMesh, check_triangle_count
from core.refusal import Refusal
from core.units import FloatArray, IntArray

MOST_INFLATED_BYTES = 1 << 30
_MOST_ENTRIES = 4096
_DEEPEST = 32
_UNITS = ("um", "mm", "cm", "in", "ft", "m")
"""In the order of lib3mf's ModelUnit."""
_TYPES = ("other", "model", "support", "solidsupport", "surface")
"""In the order of lib3mf's ObjectType."""
_FORBIDDEN = re.compile(rb"<!\s*(DOCTYPE|ENTITY)", re.IGNORECASE)

Placed = tuple[FloatArray, IntArray]


def read_3mf(data: bytes) -> RawMesh:
    """The `model` objects of a 3MF package's build, placed and merged, in the package's unit.

    Object types and the build as in the 3MF Core Specification, chapters 3 and 4.
    Raises Refusal for a damaged, hostile or empty package.
    """
    _look_into_package(data)
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


def _look_into_package(data: bytes) -> None:
    """Refuse what must not reach the parser: bombs, entities, names that leave the package, encryption."""
    try:
        package = zipfile.ZipFile(io.BytesIO(data))
    except (zipfile.BadZipFile, ValueError, OSError, NotImplementedError):
        raise Refusal("The file is a damaged zip package, so no 3MF. Copy or export it again.") from None
    entries = package.infolist()
    if len(entries) > _MOST_ENTRIES:
        raise Refusal(f"The 3MF package has {len(entries):,} entries, more than any part needs. Export it again.")
    names = [entry.filename for entry in entries]
    if len(set(names)) < len(names):
        raise Refusal("The 3MF package holds two entries with one name. Export the part again.")
    if not any(name.lower().endswith(".model") for name in names):
        raise Refusal("The zip package holds no 3MF model. Give the part as STL, OBJ, PLY, 3MF or STEP.")
    inflated = 0
    for entry in entries:
        if entry.filename.startswith("/") or ".." in entry.filename.split("/") or "\\" in entry.filename:
            raise Refusal("The 3MF package has an entry whose name leaves the package. Don't trust this file.")
        if entry.flag_bits & 1:
            raise Refusal("The 3MF package is encrypted. Export the part without protection.")
        inflated = _look_into_entry(package, entry, inflated, len(data))


def _look_into_entry(package: zipfile.ZipFile, entry: zipfile.ZipInfo, inflated: int, packed: int) -> int:
    """Inflate one entry in pieces; returns the bytes inflated so far. Lying sizes don't matter here."""
    is_xml = entry.filename.lower().endswith((".model", ".rels", ".xml"))
    triangles = 0
    tail = b""
    try:
        with package.open(entry) as stream:
            while piece := stream.read(1 << 20):
                inflated += len(piece)
                if inflated > MOST_INFLATED_BYTES:
                    raise Refusal(
                        "The 3MF package unpacks to more than 1 GiB. Export the part with a coarser tolerance."
                    )
                if inflated > 64 << 20 and inflated > 200 * packed:
                    raise Refusal("The 3MF package unpacks to over 200 times its size. Don't trust this file.")
                if is_xml:
                    window = tail + piece
                    plain = window.replace(b"\0", b"")
                    if _FORBIDDEN.search(plain):
                        raise Refusal("The 3MF file has a document type or entity, which 3MF forbids. Don't trust it.")
                    triangles += window.count(b"triangle ") - tail.count(b"triangle ")
                    if triangles > MOST_TRIANGLES:
                        check_triangle_count(triangles)
                    tail = window[-64:]
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, NotImplementedError, RuntimeError, ValueError) as fault:
        if isinstance(fault, Refusal):
            raise
        raise Refusal("The 3MF package is damaged: an entry can't be unpacked. Copy or export it again.") from None
    return inflated


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
        self.triangles = 0
        self.visits = 0

    def add(self, thing: Any, matrix: FloatArray, depth: int = 0) -> None:
        """Place an object, and the components it is made of."""
        self.visits += 1
        if depth > _DEEPEST or self.visits > 100_000:
            raise Refusal("The 3MF file nests components too deeply or too often. Export it as one body.")
        kind = _TYPES[int(thing.GetType())]
        if kind != "model":
            self.skipped[kind] = self.skipped.get(kind, 0) + 1
            return
        if thing.IsMeshObject():
            key = thing.GetUniqueResourceID()
            if key not in self.meshes:
                self.meshes[key] = _mesh_of(self.wrapper, thing)
            points, triangles = self.meshes[key]
            self.triangles += len(triangles)
            if self.triangles > MOST_TRIANGLES:
                check_triangle_count(self.triangles)
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
                self.add(part.GetObjectResource(), whole, depth + 1)
        else:
            self.skipped["no mesh"] = self.skipped.get("no mesh", 0) + 1


def _merge_build(wrapper: Any, model: Any) -> RawMesh:
    build = _Build(wrapper)
    items = model.GetBuildItems()
    n_items = 0
    while items.MoveNext():
        item = items.GetCurrent()
        before = len(build.placed)
        matrix = _transform(item.GetObjectTransform()) if item.HasObjectTransform() else np.eye(4, 3)
        build.add(item.GetObjectResource(), matrix)
        n_items += len(build.placed) > before
    warnings = []
    if build.skipped:
        listed = ", ".join(f"{count} of type {kind}" for kind, count in sorted(build.skipped.items()))
        warnings.append(f"The 3MF file holds objects that are no part and were left out: {listed}.")
    if not build.placed:
        raise Refusal(
            "The 3MF file's build holds no object of type model"
            + (f" ({listed} left out)." if build.skipped else ".")
            + " Export the part itself as a build item."
        )
    if n_items > 1:
        warnings.append(f"The 3MF file builds {n_items} objects; they were read as one part.")
    offset = np.cumsum([0] + [len(points) for points, _ in build.placed])
    check_triangle_count(build.triangles)
    return RawMesh(
        points=np.concatenate([points for points, _ in build.placed]),
        triangles=np.concatenate([t + o for (_, t), o in zip(build.placed, offset, strict=False)]).astype(np.int32),
        file_format="3mf",
        unit=_UNITS[int(model.GetUnit())],
        warnings=tuple(warnings),
    )
