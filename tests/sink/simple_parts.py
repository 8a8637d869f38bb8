"""Small parts with answers known by hand."""

import manifold3d as m3d
import numpy as np

from core.part.part import Part


def part_of(solid: m3d.Manifold, name: str = "part") -> Part:
    """A manifold3d solid as a part, rounded to float32 as a file would."""
    mesh = solid.to_mesh64()
    vertices = np.asarray(mesh.vert_properties)[:, :3].astype(np.float32).astype(float)
    triangles = np.asarray(mesh.tri_verts).astype(np.int32)
    return Part(name=name, file_format="stl", units="mm", vertices_mm=vertices, triangles=triangles)


def box(x: float, y: float, z: float, at: tuple[float, float, float] = (0, 0, 0)) -> m3d.Manifold:
    """A box with its low corner at a place."""
    return m3d.Manifold.cube([x, y, z]).translate(list(at))


def shelf() -> Part:
    """A 30 × 30 mm flat ceiling at z = 35 beside a wall that reaches down to the plate."""
    return part_of(box(10, 30, 40) + box(40, 30, 5, (0, 0, 35)), "shelf")


def shelf_over_a_step() -> Part:
    """The shelf, half of it over a step of the part itself."""
    return part_of(box(10, 30, 40) + box(40, 30, 5, (0, 0, 35)) + box(40, 15, 5), "shelf over a step")


def shelf_over_a_flange() -> Part:
    """The shelf, all of it over a flange of the part itself that reaches 2 mm farther out."""
    return part_of(box(10, 30, 40) + box(40, 30, 5, (0, 0, 35)) + box(42, 30, 5), "shelf over a flange")


def wedge(angle_deg: float = 20.0, length: float = 40.0, width: float = 25.0) -> Part:
    """A wedge whose underside rises from the plate at an angle."""
    high = length * np.tan(np.radians(angle_deg))
    outline = m3d.CrossSection([[[0, 0], [length, high], [length, high + 5], [0, high + 5]]])
    return part_of(outline.extrude(width).rotate([90, 0, 0]).translate([0, width, 0]), "wedge")


def low_faces(part: Part, limit_deg: float = 45.0) -> np.ndarray:
    """Faces flatter than the limit and off the plate."""
    angle = np.degrees(np.arccos(np.clip(-part.normals[:, 2], -1, 1)))
    return np.flatnonzero((angle < limit_deg - 0.01) & (part.corners_mm[:, :, 2].max(axis=1) > 0.02)).astype(np.int32)
