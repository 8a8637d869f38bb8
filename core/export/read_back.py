"""Read what was written again and compare it with what was meant; a difference is a refusal."""

import ctypes
from pathlib import Path
from typing import Any

import manifold3d
import numpy as np

from core.export.body import Body
from core.export.write_stl import HEADER_BYTES, RECORD
from core.refusal import Refusal
from core.units import FloatArray, IntArray


def check_stl(path: Path, vertices_mm: FloatArray, triangles: IntArray) -> None:
    """Refuse an STL file whose triangles aren't exactly the given ones, in order."""
    _same(path.name, read_stl(path), np.asarray(vertices_mm)[triangles])


def read_stl(path: Path) -> FloatArray:
    """(m, 3, 3) corners of the triangles of a binary STL file, float32 values in float64."""
    size = path.stat().st_size
    with open(path, "rb") as file:
        head = file.read(HEADER_BYTES + 4)
        count = int(np.frombuffer(head[HEADER_BYTES:], dtype="<u4")[0]) if len(head) == HEADER_BYTES + 4 else -1
        if size != HEADER_BYTES + 4 + max(count, 0) * RECORD.itemsize or count < 0:
            raise Refusal(f"'{path.name}' was not written whole; check the disk and export again.")
        facets = np.frombuffer(file.read(), dtype=RECORD)
    return facets["corners"].astype(np.float64)


def check_3mf(path: Path, bodies: list[Body]) -> None:
    """Refuse a 3MF file that a strict reader rejects, or that doesn't hold exactly these bodies, in order.

    That reader keeps float32, so a part's float64 corners are compared after rounding.
    """
    import lib3mf  # loads a shared library: only when a 3MF file is really read

    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    try:
        reader.ReadFromFile(str(path))
    except lib3mf.ELib3MFException as problem:
        raise Refusal(f"'{path.name}' did not read back by the 3MF standard ({problem}); export again.") from problem
    if model.GetUnit() != lib3mf.ModelUnit.MilliMeter:
        raise Refusal(f"'{path.name}' did not read back in millimetres; export again.")
    types = {
        lib3mf.ObjectType.Model: "model",
        lib3mf.ObjectType.SolidSupport: "solidsupport",
        lib3mf.ObjectType.Support: "support",
        lib3mf.ObjectType.Other: "other",
    }
    objects = model.GetMeshObjects()
    items = model.GetBuildItems()
    if objects.Count() != len(bodies) or items.Count() != len(bodies):
        raise Refusal(f"'{path.name}' read back with {objects.Count()} bodies instead of {len(bodies)}; export again.")
    for body in bodies:
        objects.MoveNext()
        mesh = objects.GetCurrentMeshObject()
        if mesh.GetName() != body.name or types[mesh.GetType()] != body.object_type:
            raise Refusal(f"'{path.name}' read back '{body.name}' under another name or type; export again.")
        points, corners = _points_and_corners(mesh)
        _same(
            f"{path.name}: {body.name}",
            points.astype(np.float64)[corners],
            body.vertices_mm.astype(np.float32)[body.triangles],
        )


def _points_and_corners(mesh: Any) -> tuple[FloatArray, IntArray]:
    """Vertices (n, 3) float32 and triangles (m, 3) uint32 of a mesh of lib3mf.

    By the functions of its C interface: its Python one makes an object of every vertex, which holds up all threads.
    """
    import lib3mf

    c, found = mesh._wrapper.lib, []
    for count, read, kind, whole in (
        (mesh.GetVertexCount(), c.lib3mf_meshobject_getvertices, lib3mf.Position, np.float32),
        (mesh.GetTriangleCount(), c.lib3mf_meshobject_gettriangleindices, lib3mf.Triangle, np.uint32),
    ):
        values = np.empty((count, 3), dtype=whole)
        room, needed = ctypes.c_uint64(count), ctypes.c_uint64()
        into = values.ctypes.data_as(ctypes.POINTER(kind))
        mesh._wrapper.checkError(mesh, read(mesh._handle, room, needed, into))
        found.append(values)
    return found[0], found[1]


def check_solid(name: str, corners_mm: FloatArray, volume_mm3: float | None = None) -> None:
    """Refuse triangles that, welded by equal corners, don't close to one or more solids.

    corners_mm: (m, 3, 3) as read back. Two tests that don't know each other: every directed edge once and its
    opposite once, and Manifold's own status. volume_mm3: what it should enclose, to 1e-6 of it.
    """
    flat = np.ascontiguousarray(corners_mm.reshape(-1, 3) + 0.0)
    order = np.lexsort(flat.T)  # frees the interpreter while it sorts, which np.unique of rows doesn't
    differs = np.append(True, (np.diff(flat[order], axis=0) != 0).any(axis=1))
    points, index = flat[order[differs]], np.empty(len(flat), dtype=np.int64)
    index[order] = np.cumsum(differs) - 1
    triangles = index.reshape(-1, 3)
    problem = _edge_problem(triangles, len(points))
    if not problem:
        mesh = manifold3d.Mesh(
            vert_properties=points.astype(np.float32), tri_verts=np.ascontiguousarray(triangles, dtype=np.uint32)
        )
        solid = manifold3d.Manifold(mesh)
        if solid.status() != manifold3d.Error.NoError:
            problem = f"it is not a solid ({solid.status().name})"
        elif solid.is_empty():
            problem = "it encloses nothing"
    volume = enclosed_volume_mm3(corners_mm)
    if not problem and volume <= 0:
        problem = "it is inside out"
    if not problem and volume_mm3 is not None and abs(volume - volume_mm3) > 1e-6 * abs(volume_mm3) + 1e-9:
        problem = f"it encloses {volume:g} mm³ instead of {volume_mm3:g} mm³"
    if problem:
        raise Refusal(f"'{name}' can't be exported: {problem}. Change the gap, margin or sink kind and build again.")


def enclosed_volume_mm3(corners_mm: FloatArray) -> float:
    """Volume by the divergence theorem, about the first corner to keep digits. corners_mm: (m, 3, 3)."""
    moved = corners_mm - corners_mm[0, 0]
    return float(np.einsum("ij,ij->", np.cross(moved[:, 0], moved[:, 1]), moved[:, 2]) / 6.0)


def _edge_problem(triangles: IntArray, n_points: int) -> str:
    """What keeps a mesh from closing, or ''. triangles: (m, 3)."""
    start = triangles.astype(np.int64).ravel()
    end = np.roll(triangles, -1, axis=1).astype(np.int64).ravel()
    if (start == end).any():
        return f"{int((start == end).sum())} of its triangles have collapsed"
    there, back = start * n_points + end, end * n_points + start
    kinds, counts = np.unique(there, return_counts=True)
    if (counts > 1).any():
        return f"{int((counts > 1).sum())} of its edges are used twice in the same direction"
    missing = int((~np.isin(back, kinds, assume_unique=True)).sum())
    return f"{missing} of its edges are open" if missing else ""


def _same(name: str, read_mm: FloatArray, meant_mm: FloatArray) -> None:
    """Refuse any difference between what was read and what was meant. Both (m, 3, 3)."""
    if len(read_mm) != len(meant_mm):
        raise Refusal(f"'{name}' read back with {len(read_mm)} triangles instead of {len(meant_mm)}; export again.")
    if not np.array_equal(read_mm, meant_mm):
        moved_um = float(np.abs(read_mm - meant_mm).max()) * 1e3
        raise Refusal(f"'{name}' read back with corners moved by up to {moved_um:.3g} µm; export again.")
