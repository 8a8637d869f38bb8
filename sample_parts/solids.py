"""Ways to make and write a watertight solid; shared by the sample parts."""

import struct
import uuid
from collections.abc import Sequence
from pathlib import Path

import lib3mf
import manifold3d as m3
import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
Triangles = NDArray[np.int64]


def solid_of(points: Points, triangles: Triangles) -> m3.Manifold:
    """A solid from (n, 3) points in mm and (m, 3) outward triangles; an error when it is no closed 2-manifold."""
    mesh = m3.Mesh64(np.ascontiguousarray(points, dtype=np.float64), np.ascontiguousarray(triangles, dtype=np.uint64))
    solid = m3.Manifold(mesh)
    if solid.status() != m3.Error.NoError or solid.is_empty() or solid.volume() <= 0:
        raise SystemExit(f"Not a solid: {solid.status()}")
    return solid


def grid_triangles(n_along: int, n_round: int, closed_along: bool) -> Triangles:
    """Triangles of a grid of n_along sections with n_round points each; sections are closed rings."""
    last = n_along if closed_along else n_along - 1
    i, j = (grid.ravel() for grid in np.meshgrid(np.arange(last), np.arange(n_round), indexing="ij"))
    a, b = i * n_round + j, i * n_round + (j + 1) % n_round
    c, d = ((i + 1) % n_along) * n_round + j, ((i + 1) % n_along) * n_round + (j + 1) % n_round
    return np.concatenate([np.stack([a, c, b], axis=1), np.stack([b, c, d], axis=1)])


def closed_ring(sections: Points) -> m3.Manifold:
    """Solid swept round: sections (n_along, n_round, 3), each a closed outline, the last joined to the first."""
    n_along, n_round = sections.shape[:2]
    return solid_of(sections.reshape(-1, 3), grid_triangles(n_along, n_round, closed_along=True))


def open_sweep(sections: Points) -> m3.Manifold:
    """Solid swept along an open path: sections (n_along, n_round, 3), flat ends closed by a polygon."""
    n_along, n_round = sections.shape[:2]
    sides = grid_triangles(n_along, n_round, closed_along=False)
    start = sections[0]
    along = np.linalg.svd(start - start.mean(axis=0))[2][:2]
    flat = (start - start.mean(axis=0)) @ along.T
    x, y = flat.T
    if np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y) < 0:
        flat = flat[:, ::-1]
        cap = np.asarray(m3.triangulate([np.ascontiguousarray(flat)]), dtype=np.int64)
    else:
        cap = np.asarray(m3.triangulate([np.ascontiguousarray(flat)]), dtype=np.int64)[:, ::-1]
    if _edges_run_with(cap, sides):
        cap = cap[:, ::-1]
    end = cap[:, ::-1] + (n_along - 1) * n_round
    return solid_of(sections.reshape(-1, 3), np.concatenate([sides, cap, end]))


def _edges_run_with(cap: Triangles, sides: Triangles) -> bool:
    """True when an outline edge of the cap runs the same way as in the sides, so that the cap must be turned."""
    edges = {tuple(edge) for edge in np.concatenate([sides[:, [0, 1]], sides[:, [1, 2]], sides[:, [2, 0]]]).tolist()}
    own = np.concatenate([cap[:, [0, 1]], cap[:, [1, 2]], cap[:, [2, 0]]]).tolist()
    return any(tuple(edge) in edges for edge in own)


def revolved(profile_mm: Points, segments: int) -> m3.Manifold:
    """Solid of revolution about z from a counter-clockwise (r, z) outline; points lie on the true circles."""
    turn = 2 * np.pi * np.arange(segments) / segments
    r, z = profile_mm.T
    ring = np.stack(
        [np.outer(np.cos(turn), r), np.outer(np.sin(turn), r), np.broadcast_to(z, (segments, len(z)))], axis=2
    )
    return closed_ring(ring)


def prism_along_x(outline_yz: Sequence[tuple[float, float]] | Points, x0: float, x1: float) -> m3.Manifold:
    """Solid with a (y, z) outline between two x."""
    outline = np.asarray(outline_yz, dtype=float)
    solid = m3.Manifold.extrude(m3.CrossSection([outline], m3.FillRule.NonZero), x1 - x0)
    turn = np.array([[0.0, 0.0, 1.0, x0], [1.0, 0.0, 0.0, 0.0], [0.0, 1.0, 0.0, 0.0]])
    return solid.transform(turn)


def prism_along_y(outline_xz: Sequence[tuple[float, float]] | Points, y0: float, y1: float) -> m3.Manifold:
    """Solid with an (x, z) outline between two y."""
    outline = np.asarray(outline_xz, dtype=float)[::-1]
    solid = m3.Manifold.extrude(m3.CrossSection([outline], m3.FillRule.NonZero), y1 - y0)
    turn = np.array([[1.0, 0.0, 0.0, 0.0], [0.0, 0.0, -1.0, y1], [0.0, 1.0, 0.0, 0.0]])
    return solid.transform(turn)


def prism_along_z(outline_xy: Sequence[tuple[float, float]] | Points, z0: float, z1: float) -> m3.Manifold:
    """Solid with an (x, y) outline between two z."""
    outline = np.asarray(outline_xy, dtype=float)
    section = m3.CrossSection([outline], m3.FillRule.NonZero)
    return m3.Manifold.extrude(section, z1 - z0).translate((0.0, 0.0, z0))


def box(low: tuple[float, float, float], high: tuple[float, float, float]) -> m3.Manifold:
    """Block between two corners."""
    return m3.Manifold.cube(tuple(h - k for k, h in zip(low, high, strict=True))).translate(low)


def hole_along_z(x: float, y: float, radius: float, z0: float, z1: float, segments: int = 128) -> m3.Manifold:
    """Upright cylinder between two z."""
    return m3.Manifold.cylinder(z1 - z0, radius, radius, segments).translate((x, y, z0))


def arc(centre: tuple[float, float], radius: float, from_deg: float, to_deg: float, steps: int) -> Points:
    """(steps + 1, 2) points on an arc, both ends included."""
    turn = np.radians(np.linspace(from_deg, to_deg, steps + 1))
    return np.stack([centre[0] + radius * np.cos(turn), centre[1] + radius * np.sin(turn)], axis=1)


def round_to_file(solid: m3.Manifold, rounds: int = 6) -> m3.Manifold:
    """The solid with every point on a float32 number, as STL holds them, still a closed 2-manifold."""
    for _ in range(rounds):
        mesh = solid.to_mesh64()
        points = np.asarray(mesh.vert_properties)[:, :3].astype(np.float32).astype(np.float64)
        points += 0.0  # -0 becomes 0, so that equal points are equal bytes
        welded, place = np.unique(points, axis=0, return_inverse=True)
        triangles = place.reshape(-1)[np.asarray(mesh.tri_verts, dtype=np.int64)]
        a, b, c = triangles.T
        kept = triangles[(a != b) & (b != c) & (c != a)]
        again = solid_of(welded, kept)
        if len(kept) == len(triangles) and again.num_tri() == len(kept):
            return again
        solid = again.simplify(1e-5)
    raise SystemExit("Some points still fall together in float32.")


def points_and_triangles(solid: m3.Manifold) -> tuple[Points, Triangles]:
    """Points (n, 3) and triangles (m, 3) in an order that depends only on the geometry."""
    mesh = solid.to_mesh64()
    points, place = np.unique(np.asarray(mesh.vert_properties)[:, :3], axis=0, return_inverse=True)
    triangles = place.reshape(-1)[np.asarray(mesh.tri_verts, dtype=np.int64)]
    first = np.argmin(triangles, axis=1)
    turned = np.stack([np.take_along_axis(triangles, ((first + k) % 3)[:, None], 1)[:, 0] for k in range(3)], axis=1)
    order = np.lexsort((turned[:, 2], turned[:, 1], turned[:, 0]))
    return points, turned[order]


def write_stl(path: Path, points: Points, triangles: Triangles, title: str) -> None:
    """Binary STL; lengths are mm, which the format itself can't say."""
    corners = points[triangles].astype(np.float32)
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]).astype(np.float64)
    normal /= np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-30)
    record = np.zeros(len(triangles), dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
    record["normal"], record["corners"] = normal, corners
    path.write_bytes(title.encode("ascii").ljust(80)[:80] + struct.pack("<I", len(triangles)) + record.tobytes())


def write_3mf(path: Path, points: Points, triangles: Triangles, title: str) -> None:
    """3MF in millimetres with one named object."""
    model = lib3mf.get_wrapper().CreateModel()
    model.SetUnit(lib3mf.ModelUnit.MilliMeter)
    body = model.AddMeshObject()
    body.SetName(title)
    body.SetGeometry(
        [lib3mf.Position((lib3mf.ctypes.c_float * 3)(*point)) for point in points.tolist()],
        [lib3mf.Triangle((lib3mf.ctypes.c_uint32 * 3)(*triangle)) for triangle in triangles.tolist()],
    )
    item = model.AddBuildItem(body, lib3mf.get_wrapper().GetIdentityTransform())
    for k, owner in enumerate((body.SetUUID, item.SetUUID, model.SetBuildUUID)):
        owner(str(uuid.uuid5(uuid.NAMESPACE_URL, f"nordhaven-tidal/{title}/{k}")))
    model.QueryWriter("3mf").WriteToFile(str(path))
