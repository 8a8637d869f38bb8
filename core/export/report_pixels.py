"""A small painter: closed solids seen from afar, flat shades and dark outlines, as PNG without any window or card."""

import struct
import zlib
from dataclasses import dataclass

import numpy as np

from core.compiled import kernel
from core.units import FloatArray, IntArray

FINER = 2
"""Pixels are painted so many times finer in both directions, then averaged."""
COARSER = 4
"""To see which faces are visible, pixels may be so many times larger."""
CREASE = float(np.cos(np.radians(28.0)))
"""Neighbouring pixels whose faces turn by more than this get a line between them."""
LIGHTS = ((0.75, (-0.45, 0.65, 0.61)), (0.25, (0.8, -0.2, 0.56)))
"""Share and direction of each light: to the right, up, towards the viewer."""
DIMMEST, LINE_SHADE, VEIL_SHARE = 0.66, 0.35, 0.3
PAPER = (255.0, 255.0, 255.0)


@dataclass(frozen=True, kw_only=True, eq=False)
class Solid:
    """Triangles of a closed body to be painted. corners_mm: (n, 3, 3). normals: (n, 3) unit.

    rgb: (n, 3) or (3,), 0 to 255. veil: seen through.
    """

    corners_mm: FloatArray
    normals: FloatArray
    rgb: FloatArray
    veil: bool = False

    @classmethod
    def of(cls, corners_mm: FloatArray, rgb: FloatArray) -> "Solid":
        """Works the normals out."""
        cross = np.cross(corners_mm[:, 1] - corners_mm[:, 0], corners_mm[:, 2] - corners_mm[:, 0])
        length = np.maximum(np.linalg.norm(cross, axis=1, keepdims=True), 1e-30)
        return cls(corners_mm=corners_mm, normals=cross / length, rgb=rgb)


@dataclass(frozen=True, kw_only=True, eq=False)
class Camera:
    """A view without perspective. axes: (3, 3) unit rows to the right, up and towards the viewer."""

    axes: FloatArray
    middle: FloatArray
    """(2,) what lies in the middle of the picture, mm along right and up."""
    mm_per_pixel: float
    width: int
    height: int

    @classmethod
    def around(cls, points_mm: FloatArray, azimuth_deg: float, elevation_deg: float, width: int, height: int,
               margin: float = 0.06) -> "Camera":  # fmt: skip
        """Looks at points (n, 3) so that all fit. azimuth: where the viewer stands in plan, from the X axis."""
        turn, tilt = np.radians(azimuth_deg), np.radians(elevation_deg)
        towards = np.array([np.cos(tilt) * np.cos(turn), np.cos(tilt) * np.sin(turn), np.sin(tilt)])
        right = np.array([-np.sin(turn), np.cos(turn), 0.0])
        axes = np.stack([right, np.cross(towards, right), towards])
        flat = points_mm @ axes[:2].T
        low, high = flat.min(axis=0), flat.max(axis=0)
        room = (1.0 - 2.0 * margin) * np.array([width, height])
        scale = float(((high - low) / room).max())
        return cls(axes=axes, middle=(low + high) / 2, mm_per_pixel=max(scale, 1e-9), width=width, height=height)

    def pixels(self, points_mm: FloatArray) -> FloatArray:
        """(..., 3) pixels to the right, pixels down, mm towards the viewer."""
        seen = points_mm @ self.axes.T
        right = self.width / 2 + (seen[..., 0] - self.middle[0]) / self.mm_per_pixel
        down = self.height / 2 - (seen[..., 1] - self.middle[1]) / self.mm_per_pixel
        return np.stack([right, down, seen[..., 2]], axis=-1)


def paint(solids: list[Solid], camera: Camera) -> bytes:
    """PNG bytes of the solids; the same bytes each time. A veil lets what lies behind it through."""
    colour = _painted([solid for solid in solids if not solid.veil], camera)
    veils = [solid for solid in solids if solid.veil]
    if veils:
        over = _painted(veils, camera)
        nearer = (over.depth > colour.depth)[..., None]
        share = np.float32(VEIL_SHARE) * nearer
        colour.rgb[:] += share * (over.rgb - colour.rgb)
    image = np.empty((camera.height, camera.width, 3), dtype=np.uint8)
    average_pixels(colour.rgb, image)
    return png_bytes(image)


def seen_places(solid: Solid, camera: Camera, groups: list[IntArray]) -> list[FloatArray | None]:
    """Pixel (2,) about the middle of what is seen of each group of faces; None where none of it is."""
    rows, columns = camera.height // COARSER, camera.width // COARSER
    depth = np.full((rows, columns), -np.inf, dtype=np.float32)
    face = np.full((rows, columns), -1, dtype=np.int32)
    seen = camera.pixels(solid.corners_mm)
    seen[..., :2] /= COARSER
    fill_pixels(seen, depth, face)
    group = np.full(len(solid.corners_mm) + 1, -1, dtype=np.int64)
    for number, faces in enumerate(groups):
        group[faces] = number
    shown = group[face]
    places: list[FloatArray | None] = []
    for number in range(len(groups)):
        at = np.argwhere(shown == number)[:, ::-1] + 0.5
        nearest = np.argmin(np.linalg.norm(at - at.mean(axis=0), axis=1)) if len(at) else 0
        places.append(at[nearest] * COARSER if len(at) else None)
    return places


@dataclass(frozen=True, eq=False)
class _Painted:
    """rgb: (rows, columns, 3). depth: (rows, columns) mm towards the viewer, -inf where nothing is."""

    rgb: FloatArray
    depth: FloatArray


def _painted(solids: list[Solid], camera: Camera) -> _Painted:
    rows, columns = camera.height * FINER, camera.width * FINER
    depth = np.full((rows, columns), -np.inf, dtype=np.float32)
    face = np.full((rows, columns), -1, dtype=np.int32)
    if not solids:
        return _Painted(np.full((rows, columns, 3), PAPER, dtype=np.float32), depth)
    fronts = [solid.normals @ camera.axes[2] > 0.0 for solid in solids]  # of a closed solid nothing else is seen
    pairs = list(zip(solids, fronts, strict=True))
    seen = camera.pixels(np.concatenate([solid.corners_mm[front] for solid, front in pairs]))
    seen[..., :2] *= FINER
    fill_pixels(seen, depth, face)
    normals = np.concatenate([solid.normals[front] for solid, front in pairs]) @ camera.axes.T
    light = np.sum([share * np.maximum(normals @ np.array(way), 0.0) for share, way in LIGHTS], axis=0)
    shade = DIMMEST + (1.0 - DIMMEST) * np.minimum(light, 1.0)
    rgb = np.concatenate([np.broadcast_to(solid.rgb, (len(front), 3))[front] for solid, front in pairs])
    body = np.repeat(np.arange(len(solids), dtype=np.int32), [np.count_nonzero(front) for front in fronts])
    painted = np.empty((rows, columns, 3), dtype=np.float32)
    step = np.float32(camera.mm_per_pixel / FINER)
    colour_pixels(depth, face, np.float32(rgb * shade[:, None]), np.float32(normals), body, step, painted)
    return _Painted(painted, depth)


@kernel
def fill_pixels(seen: FloatArray, depth: FloatArray, face: IntArray) -> None:
    """Mark in every pixel the nearest face and its depth. seen: (n, 3, 3) pixels right, down, depth."""
    rows, columns = depth.shape
    for i in range(len(seen)):
        x0, y0, z0 = seen[i, 0, 0], seen[i, 0, 1], seen[i, 0, 2]
        x1, y1, z1 = seen[i, 1, 0] - x0, seen[i, 1, 1] - y0, seen[i, 1, 2] - z0
        x2, y2, z2 = seen[i, 2, 0] - x0, seen[i, 2, 1] - y0, seen[i, 2, 2] - z0
        turn = x1 * y2 - x2 * y1
        if abs(turn) < 1e-12:
            continue
        part = 1.0 / turn
        low_x, high_x = min(0.0, x1, x2) + x0, max(0.0, x1, x2) + x0
        low_y, high_y = min(0.0, y1, y2) + y0, max(0.0, y1, y2) + y0
        for row in range(max(int(np.ceil(low_y - 0.5)), 0), min(int(np.floor(high_y - 0.5)), rows - 1) + 1):
            y = row + 0.5 - y0
            for column in range(
                max(int(np.ceil(low_x - 0.5)), 0), min(int(np.floor(high_x - 0.5)), columns - 1) + 1
            ):
                x = column + 0.5 - x0
                one = (x * y2 - x2 * y) * part
                two = (x1 * y - x * y1) * part
                if one >= 0.0 and two >= 0.0 and one + two <= 1.0:
                    z = z0 + one * z1 + two * z2
                    if z > depth[row, column]:
                        depth[row, column] = z
                        face[row, column] = i


@kernel
def colour_pixels(
    depth: FloatArray, face: IntArray, rgb: FloatArray, normals: FloatArray, body: IntArray, step: float,
    painted: FloatArray,
) -> None:  # fmt: skip
    """Give every pixel its face's colour, dark where an outline or a crease runs between it and the next pixel.

    step: mm from pixel to pixel. painted: (rows, columns, 3), filled here.
    """
    rows, columns = depth.shape
    for row in range(rows):
        for column in range(columns):
            i = face[row, column]
            line = False
            for way in range(2):
                next_row, next_column = row + way, column + 1 - way
                if next_row >= rows or next_column >= columns:
                    continue
                j = face[next_row, next_column]
                if i == j:
                    continue
                if i < 0 or j < 0 or body[i] != body[j]:
                    line = True
                    continue
                turned = 0.0
                for k in range(3):
                    turned += normals[i, k] * normals[j, k]
                steep = max(min(normals[i, 2], normals[j, 2]), 0.1)
                jump = abs(depth[row, column] - depth[next_row, next_column])
                line = line or turned < CREASE or jump > 4.0 * step / steep
            for k in range(3):
                value = 255.0 if i < 0 else rgb[i, k]
                painted[row, column, k] = LINE_SHADE * min(value, 200.0) if line else value


@kernel
def average_pixels(fine: FloatArray, image: IntArray) -> None:
    """Fill image (rows, columns, 3) with the means of squares of FINER pixels."""
    rows, columns, _ = image.shape
    for row in range(rows):
        for column in range(columns):
            for k in range(3):
                total = 0.0
                for i in range(FINER):
                    for j in range(FINER):
                        total += fine[FINER * row + i, FINER * column + j, k]
                image[row, column, k] = int(total / (FINER * FINER) + 0.5)


def png_bytes(rgb: IntArray) -> bytes:
    """An image (rows, columns, 3) uint8 as PNG (ISO/IEC 15948): 8 bits, true colour, each row as its change."""
    rows, columns, _ = rgb.shape
    flat = rgb.reshape(rows, columns * 3)
    changes = np.empty((rows, 1 + columns * 3), dtype=np.uint8)
    changes[:, 0] = 2  # filter 'up'
    changes[0, 1:] = flat[0]
    changes[1:, 1:] = flat[1:] - flat[:-1]

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", columns, rows, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(changes.tobytes(), 6))
        + chunk(b"IEND", b"")
    )
