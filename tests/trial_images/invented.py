"""Invented layer images of a real part: grey where it is solid, darker in powder, seen by a camera of our choice.

Nothing here was measured on a machine. The slices come from manifold3d and shapely, not from this project.
"""

from dataclasses import dataclass
from pathlib import Path

import manifold3d as m3d
import numpy as np
import shapely
import trimesh

from core.part.part import Part

ROOT = Path(__file__).parents[2]
BRACKET = ROOT / "sample_parts" / "sensor-bracket.stl"
LAYER_MM = 1.0
POWDER, METAL, NOISE = 40.0, 120.0, 5.0


@dataclass(frozen=True, kw_only=True, eq=False)
class Camera:
    """Where invented images look: (3, 3) from the plate to pixels."""

    to_px: np.ndarray
    shape: tuple[int, int]

    def pixels(self, plate_mm: np.ndarray) -> np.ndarray:
        three = np.column_stack([plate_mm, np.ones(len(plate_mm))]) @ self.to_px.T
        return three[:, :2] / three[:, 2:]

    def plate(self) -> tuple[np.ndarray, np.ndarray]:
        """x and y (rows, columns) of the middle of every pixel."""
        rows, columns = np.indices(self.shape)
        three = np.linalg.inv(self.to_px) @ np.stack([columns.ravel(), rows.ravel(), np.ones(rows.size)])
        return (three[0] / three[2]).reshape(self.shape), (three[1] / three[2]).reshape(self.shape)


def camera(turn_deg: float, mm_per_px: float, *, mirrored: bool, middle_mm: np.ndarray,
           shape: tuple[int, int] = (330, 310), slant: tuple[float, float] = (0.0, 0.0)) -> Camera:  # fmt: skip
    """Looks down at a place of the plate: rows run downwards unless mirrored; slant makes it a homography."""
    c, s = np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))
    turn = np.array([[c, -s], [s, c]]) / mm_per_px
    flip = np.diag([1.0, 1.0 if mirrored else -1.0])
    two = flip @ turn
    half = np.array([shape[1] - 1, shape[0] - 1]) / 2
    matrix = np.eye(3)
    matrix[:2, :2], matrix[:2, 2] = two, half - two @ middle_mm
    return Camera(to_px=np.array([[1, 0, 0], [0, 1, 0], [*slant, 1.0]]) @ matrix, shape=shape)


@dataclass(frozen=True, kw_only=True, eq=False)
class Stack:
    """Invented images (layers, rows, columns), where they are solid, and who looks."""

    images: np.ndarray
    solid: np.ndarray
    seen_by: Camera


def draw_stack(mesh: trimesh.Trimesh, seen_by: Camera, layers: int, seed: int = 7) -> Stack:
    """Layers of LAYER_MM from the plate up, with normal noise."""
    random = np.random.default_rng(seed)
    x, y = seen_by.plate()
    body = m3d.Manifold(m3d.Mesh(mesh.vertices.astype(np.float32), mesh.faces.astype(np.uint32)))
    assert not body.is_empty()
    solid = np.zeros((layers, *seen_by.shape), dtype=bool)
    for i in range(layers):
        for ring in body.slice((i + 0.5) * LAYER_MM).to_polygons():
            area = shapely.Polygon(ring)
            shapely.prepare(area)
            (low_x, low_y), (high_x, high_y) = ring.min(axis=0), ring.max(axis=0)
            near = (x > low_x) & (x < high_x) & (y > low_y) & (y < high_y)
            solid[i, near] ^= shapely.contains_xy(area, x[near], y[near])  # inside an odd number of rings
    images = np.where(solid, METAL, POWDER) + random.normal(0, NOISE, solid.shape)
    return Stack(images=images.astype(np.float32), solid=solid, seen_by=seen_by)


def pairs_of(seen_by: Camera, part: Part, n: int = 9) -> np.ndarray:
    """(n, 4) column, row, x, y of a grid of places on the plate, as a person would measure without error."""
    side = round(n**0.5)
    x, y = np.meshgrid(*(np.linspace(part.low_mm[i], part.high_mm[i], side) for i in range(2)))
    plate = np.column_stack([x.ravel(), y.ravel()])
    return np.hstack([seen_by.pixels(plate), plate])


def write_pairs(path: Path, pairs: np.ndarray) -> Path:
    rows = ["column_px,row_px,x_mm,y_mm", *(",".join(f"{v:.9f}" for v in row) for row in pairs)]
    path.write_text("\n".join(rows) + "\n")
    return path
