"""Parts for timing: a cambered plate on a foot, its underside curved to 20°, as finely meshed as asked."""

import atexit
import shutil
import tempfile
from functools import lru_cache
from pathlib import Path

import manifold3d as m3d
import numpy as np

from core.part.part import Part

ROOT = Path(__file__).resolve().parent.parent
SAMPLE = ROOT / "sample_parts" / "impeller-shroud.stl"
LENGTH_MM, WIDTH_MM, CLEAR_MM, THICK_MM = 60.0, 40.0, 20.0, 3.0
STEEPEST_DEG = 20.0


@lru_cache(maxsize=2)
def cambered_plate(n_triangles: int) -> Part:
    """About n_triangles; underside z = 20 + c x², with 20° at both ends, so all of it is low-angle."""
    along = max(4, int(np.sqrt(n_triangles / 4 * LENGTH_MM / WIDTH_MM)))
    across = max(2, int(along * WIDTH_MM / LENGTH_MM))
    x, y = np.linspace(-LENGTH_MM / 2, LENGTH_MM / 2, along + 1), np.linspace(0, WIDTH_MM, across + 1)
    c = np.tan(np.radians(STEEPEST_DEG)) / LENGTH_MM
    xx, yy = np.meshgrid(x, y, indexing="ij")
    low = np.stack([xx, yy, CLEAR_MM + c * xx**2], axis=2).reshape(-1, 3)
    high = low + [0, 0, THICK_MM]
    number = np.arange(len(low)).reshape(along + 1, across + 1)
    a, b, d, e = number[:-1, :-1], number[1:, :-1], number[:-1, 1:], number[1:, 1:]
    up = np.stack([a, b, e, a, e, d], axis=2).reshape(-1, 3)
    rim = np.concatenate([number[:, 0], number[-1, 1:], number[-2::-1, -1], number[0, -2:0:-1]])
    after = np.roll(rim, -1)
    n = len(low)
    sides = np.concatenate([np.stack([rim, after, after + n], axis=1), np.stack([rim, after + n, rim + n], axis=1)])
    mesh = m3d.Mesh64(np.concatenate([low, high]), np.concatenate([up[:, ::-1], up + n, sides]).astype(np.uint64))
    foot = m3d.Manifold.cube([6, WIDTH_MM, CLEAR_MM + 1]).translate([-3, 0, 0])
    out = (m3d.Manifold(mesh) + foot).to_mesh64()
    vertices = np.asarray(out.vert_properties)[:, :3].astype(np.float32).astype(float)
    return Part(
        name=f"cambered plate {n_triangles}",
        file_format="stl",
        units="mm",
        vertices_mm=vertices,
        triangles=np.asarray(out.tri_verts).astype(np.int32),
    )


@lru_cache(maxsize=1)
def plate_stl(n_triangles: int) -> Path:
    """The plate as a binary STL in a folder that is removed at the end."""
    from core.export.write_stl import write_stl

    folder = tempfile.mkdtemp(prefix="underfin-benchmark-")
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    part = cambered_plate(n_triangles)
    return write_stl(Path(folder) / "plate.stl", part.vertices_mm, part.triangles)
