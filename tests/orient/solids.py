"""Small parts whose best orientations can be told by hand."""

import numpy as np
import trimesh

from core.part.part import Part


def part_of(mesh: trimesh.Trimesh) -> Part:
    """A mesh as the program sees it."""
    return Part(
        name=str(mesh.metadata.get("name", "part")),
        file_format="stl",
        units="mm",
        vertices_mm=np.ascontiguousarray(mesh.vertices, dtype=np.float64),
        triangles=np.ascontiguousarray(mesh.faces, dtype=np.int32),
    )


def box(x: float = 30.0, y: float = 20.0, z: float = 10.0) -> Part:
    """A box, its lower corner at the origin."""
    return part_of(trimesh.creation.box(bounds=[[0, 0, 0], [x, y, z]]))


def gallows() -> Part:
    """A 10 × 10 mm post 40 mm high on a 40 × 10 × 5 mm foot, an arm 30 mm long and 5 mm thick on top, over the foot.

    As drawn the arm's underside, 30 × 10 mm at z = 35, is the only face that looks down in mid-air.
    """
    outline = [[0, 0], [40, 0], [40, 5], [10, 5], [10, 35], [40, 35], [40, 40], [0, 40]]
    return _extruded(outline, 10.0)


def tee() -> Part:
    """A post 10 × 10 × 30 mm under a beam 50 × 10 × 8 mm: two wings of 20 × 10 mm at z = 30, nothing below them."""
    outline = [[20, 0], [30, 0], [30, 30], [50, 30], [50, 38], [0, 38], [0, 30], [20, 30]]
    return _extruded(outline, 10.0)


def _extruded(outline: list[list[float]], deep_mm: float) -> Part:
    from shapely.geometry import Polygon

    mesh = trimesh.creation.extrude_polygon(Polygon(outline), deep_mm)
    mesh.apply_transform(trimesh.transformations.rotation_matrix(np.pi / 2, [1, 0, 0]))
    mesh.apply_translation(-mesh.bounds[0])
    return part_of(mesh)


def ring(inner_mm: float = 10.0, outer_mm: float = 20.0, high_mm: float = 30.0) -> Part:
    """A tube along z; faces whose normal points to the axis are the bore."""
    return part_of(trimesh.creation.annulus(r_min=inner_mm, r_max=outer_mm, height=high_mm, sections=64))
