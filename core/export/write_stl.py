"""Write triangles as binary STL: float32, little-endian, the same bytes every time."""

from pathlib import Path

import numpy as np

from core.refusal import Refusal
from core.units import FloatArray, IntArray
from core.version import PROGRAM, VERSION

RECORD = np.dtype([("normal", "<f4", (3,)), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
"""One facet of 50 bytes as in the StereoLithography Interface Specification (3D Systems, 1989)."""
HEADER_BYTES = 80


def write_stl(path: Path, vertices_mm: FloatArray, triangles: IntArray) -> Path:
    """Write one mesh and return its path.

    vertices_mm: (n, 3); must already hold float32 values, else what is read back would differ.
    triangles: (m, 3). The header names program, version and unit; it never starts with 'solid', which would
    make readers take the file for text.
    """
    corners = np.asarray(vertices_mm, dtype=np.float64)[triangles]
    if not len(corners):
        raise Refusal(f"'{path.name}' would hold no triangles and was not written.")
    if not np.isfinite(corners).all() or np.abs(corners).max() > 1e6:
        raise Refusal(f"'{path.name}' would hold coordinates beyond a kilometre and was not written.")
    facets = np.zeros(len(corners), dtype=RECORD)
    facets["corners"] = corners
    cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    length = np.linalg.norm(cross, axis=1, keepdims=True)
    facets["normal"] = np.divide(cross, length, out=np.zeros_like(cross), where=length > 0)
    header = f"{PROGRAM} {VERSION}, binary STL, unit mm".encode("ascii")
    with open(path, "wb") as file:
        file.write(header.ljust(HEADER_BYTES, b" "))
        file.write(np.uint32(len(facets)).astype("<u4").tobytes())
        file.write(facets.tobytes())
    return path


def joined(bodies: list[tuple[FloatArray, IntArray]]) -> tuple[FloatArray, IntArray]:
    """Several meshes as one list of vertices and triangles, in order."""
    starts = np.cumsum([0] + [len(vertices) for vertices, _ in bodies])
    vertices = np.concatenate([vertices for vertices, _ in bodies])
    triangles = np.concatenate([tris + start for (_, tris), start in zip(bodies, starts, strict=False)])
    return vertices, triangles.astype(np.int32)
