"""Helpers for the tests of reading and looking at parts."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import trimesh

from core.part.load_part import load_part
from core.part.part import Part

Loader = Callable[..., Part]


@pytest.fixture
def load_bytes(tmp_path: Path) -> Loader:
    """Write bytes to a file of the given name and load it."""

    def load(data: bytes, name: str, units: str | None = None) -> Part:
        path = tmp_path / name
        path.write_bytes(data)
        return load_part(path, units)

    return load


@pytest.fixture
def load_mesh(load_bytes: Loader) -> Loader:
    """Load a trimesh body through a PLY file with double coordinates, which keeps its numbers and its sharing."""

    def load(mesh: trimesh.Trimesh) -> Part:
        header = (
            "ply\nformat binary_little_endian 1.0\n"
            f"element vertex {len(mesh.vertices)}\nproperty double x\nproperty double y\nproperty double z\n"
            f"element face {len(mesh.faces)}\nproperty list uchar int vertex_indices\nend_header\n"
        )
        faces = np.zeros(len(mesh.faces), dtype=[("n", "u1"), ("corners", "<i4", 3)])
        faces["n"] = 3
        faces["corners"] = mesh.faces
        return load_bytes(header.encode() + np.asarray(mesh.vertices, "<f8").tobytes() + faces.tobytes(), "mesh.ply")

    return load
