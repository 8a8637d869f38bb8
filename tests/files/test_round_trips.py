"""What our writers write comes back bit for bit, and one solid is the same solid in every format."""

import struct
from pathlib import Path

import numpy as np
import pytest
import trimesh

from core.export.body import Body
from core.export.write_3mf import write_3mf
from core.export.write_stl import write_stl
from core.part.load_part import load_part
from core.part.part import Part
from tests.files.solids import obj, ply, text_stl


def solid(seed: int) -> tuple[np.ndarray, np.ndarray]:
    """A bumpy ball anywhere within half a metre, all digits of float64 in use."""
    rng = np.random.default_rng(seed)
    mesh = trimesh.creation.icosphere(subdivisions=3, radius=rng.uniform(1, 100))
    points = np.asarray(mesh.vertices) * rng.uniform(0.9, 1.1, (len(mesh.vertices), 1)) + rng.uniform(-400, 400, 3)
    return points, np.asarray(mesh.faces)


@pytest.mark.parametrize("seed", range(5))
def test_3mf_keeps_every_bit_of_float64(seed: int, tmp_path: Path) -> None:
    points, triangles = solid(seed)
    path = write_3mf(tmp_path / "a.3mf", [Body(name="a", vertices_mm=points, triangles=triangles, object_type="model")])
    part = load_part(path)
    assert (
        part.warnings == () and np.array_equal(part.vertices_mm, points) and np.array_equal(part.triangles, triangles)
    )


def test_3mf_keeps_the_smallest_and_the_largest_numbers(tmp_path: Path) -> None:
    points, triangles = solid(9)
    points[:4, 0] = 5e-324, 1e-310, -2.2250738585072014e-308, 0.1 + 0.2
    path = write_3mf(tmp_path / "a.3mf", [Body(name="a", vertices_mm=points, triangles=triangles, object_type="model")])
    assert np.array_equal(load_part(path).vertices_mm, points)


@pytest.mark.parametrize("seed", range(5))
def test_stl_keeps_every_bit_of_float32(seed: int, tmp_path: Path) -> None:
    points, triangles = solid(seed)
    single = points.astype(np.float32).astype(np.float64)
    part = load_part(write_stl(tmp_path / "a.stl", single, triangles))
    assert part.warnings == () and np.array_equal(part.corners_mm, single[triangles])


def same(part: Part, points: np.ndarray, triangles: np.ndarray) -> bool:
    """True when the part has the same triangles in the same order, number for number."""
    return np.array_equal(part.corners_mm, points[triangles]) and part.health.bodies == 1 and part.warnings == ()


@pytest.mark.parametrize("seed", range(3))
def test_all_formats_give_the_same_solid(seed: int, tmp_path: Path) -> None:
    points, triangles = solid(seed)
    points = points.astype(np.float32).astype(np.float64)
    write_stl(tmp_path / "binary.stl", points, triangles)
    (tmp_path / "text.stl").write_text(text_stl((points, triangles)))
    (tmp_path / "a.obj").write_text(obj(points, triangles.tolist()))
    for order in ("binary_little_endian", "binary_big_endian"):
        (tmp_path / f"{order}.ply").write_bytes(ply(order, "double", points=points, faces=triangles.tolist()))
    write_3mf(tmp_path / "a.3mf", [Body(name="a", vertices_mm=points, triangles=triangles, object_type="model")])
    files = sorted(tmp_path.iterdir())
    assert len(files) == 6 and all(same(load_part(file), points, triangles) for file in files)


def test_a_decimal_is_the_nearest_double_in_every_text_format(tmp_path: Path) -> None:
    # Python's float() rounds correctly (IEEE 754); so must the readers
    rng = np.random.default_rng(3)
    bits = [struct.unpack("<d", struct.pack("<Q", int(b)))[0] for b in rng.integers(1, 2**63 - 1, 3000)]
    values = np.array([v for v in bits if 1e-250 < abs(v) < 1e5] + [0.1, 1 / 3, 1e22 / 1e20, 9007199254740993e-10] * 3)
    values = values[: len(values) // 3 * 3].reshape(-1, 3)
    faces = np.arange(len(values) // 3 * 3).reshape(-1, 3)
    values = values[: faces.size]
    (tmp_path / "a.stl").write_text(text_stl((values, faces)))
    (tmp_path / "a.obj").write_text(obj(values, faces.tolist()))
    for file in ("a.stl", "a.obj"):
        part = load_part(tmp_path / file)
        assert set(part.vertices_mm.ravel().tolist()) <= set(values.ravel().tolist()) | {0.0}
