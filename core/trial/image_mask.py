"""Paint the part's slice and its faces into the pixels of an image that lies anywhere on the plate."""

import numpy as np

from core.compiled import kernel
from core.trial.register_images import ImagePlace, mapped
from core.units import BoolArray, FloatArray, IntArray

Window = tuple[slice, slice]
"""Rows and columns of an image."""


def window_of(points_mm: FloatArray, place: ImagePlace, shape: tuple[int, int], margin_px: int = 2) -> Window | None:
    """The pixels round some points (n, 2) of the plate, or None where the image doesn't show them."""
    if not len(points_mm):
        return None
    pixels = mapped(place.to_px, points_mm)
    low = np.maximum(np.floor(pixels.min(axis=0)).astype(int) - margin_px, 0)
    high = np.minimum(np.ceil(pixels.max(axis=0)).astype(int) + margin_px + 1, [shape[1], shape[0]])
    if (low >= high).any():
        return None
    return slice(int(low[1]), int(high[1])), slice(int(low[0]), int(high[0]))


def slice_mask(segments_mm: FloatArray, place: ImagePlace, window: Window) -> BoolArray:
    """(rows, columns) of the window: True where the middle of a pixel lies in the solid.

    segments_mm: (k, 2, 2) pieces of outline with the solid on their left; overlapping bodies are one.
    """
    rows, columns = window
    pixels = mapped(place.to_px, segments_mm.reshape(-1, 2)).reshape(-1, 2, 2) - [columns.start, rows.start]
    turns = np.zeros((rows.stop - rows.start, columns.stop - columns.start + 1), dtype=np.int16)
    _count_crossings(np.ascontiguousarray(pixels), turns)
    winding = np.cumsum(turns, axis=1, dtype=np.int16)[:, :-1]
    # in pixels y runs downwards, so outlines run clockwise round solid unless the view is mirrored
    return np.asarray(winding > 0) if place.mirrored else np.asarray(winding < 0)


@kernel
def _count_crossings(pixels: FloatArray, turns: IntArray) -> None:
    """Add to turns what the winding number changes by, going along each row past every segment."""
    rows, columns = turns.shape
    for k in range(len(pixels)):
        x0, y0, x1, y1 = pixels[k, 0, 0], pixels[k, 0, 1], pixels[k, 1, 0], pixels[k, 1, 1]
        if y0 == y1:
            continue
        way = -1 if y1 > y0 else 1
        first, last = max(int(np.ceil(min(y0, y1))), 0), min(int(np.ceil(max(y0, y1))), rows)
        for row in range(first, last):  # half open, so that a shared corner counts once
            x = x0 + (row - y0) / (y1 - y0) * (x1 - x0)
            turns[row, min(max(int(np.ceil(x)), 0), columns - 1)] += way


def faces_below(corners_mm: FloatArray, z_mm: float, depth_mm: float, place: ImagePlace, window: Window) -> IntArray:
    """(rows, columns) of the window: which triangle lies below each pixel within a depth of z, nearest first; else -1.

    corners_mm: (n, 3, 3) the triangles to look at.
    """
    rows, columns = window
    which = np.full((rows.stop - rows.start, columns.stop - columns.start), -1, dtype=np.int32)
    if not len(corners_mm):
        return which
    plan = np.ascontiguousarray(corners_mm)
    pixels = mapped(place.to_px, plan[:, :, :2].reshape(-1, 2)).reshape(-1, 3, 2) - [columns.start, rows.start]
    shift = np.array([[1.0, 0, columns.start], [0, 1.0, rows.start], [0, 0, 1.0]])
    _paint_faces(plan, np.ascontiguousarray(pixels), place.to_mm @ shift, z_mm, depth_mm, which)
    return which


@kernel
def _paint_faces(
    corners: FloatArray, pixels: FloatArray, to_mm: FloatArray, z_mm: float, depth_mm: float, which: IntArray
) -> None:
    rows, columns = which.shape
    height = np.full((rows, columns), -np.inf, np.float32)
    for f in range(len(corners)):
        a, b, c = corners[f, 0], corners[f, 1], corners[f, 2]
        turn = (b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1])
        if abs(turn) < 1e-12:
            continue
        px, py = pixels[f, :, 0], pixels[f, :, 1]
        first, last = max(int(np.ceil(py.min())), 0), min(int(np.floor(py.max())), rows - 1)
        left, right = max(int(np.ceil(px.min())), 0), min(int(np.floor(px.max())), columns - 1)
        for row in range(first, last + 1):
            for column in range(left, right + 1):
                w = to_mm[2, 0] * column + to_mm[2, 1] * row + to_mm[2, 2]
                x = (to_mm[0, 0] * column + to_mm[0, 1] * row + to_mm[0, 2]) / w - a[0]
                y = (to_mm[1, 0] * column + to_mm[1, 1] * row + to_mm[1, 2]) / w - a[1]
                one = (x * (c[1] - a[1]) - y * (c[0] - a[0])) / turn
                two = (y * (b[0] - a[0]) - x * (b[1] - a[1])) / turn
                if one < -1e-9 or two < -1e-9 or one + two > 1.0 + 1e-9:
                    continue
                z = a[2] + one * (b[2] - a[2]) + two * (c[2] - a[2])
                if z <= z_mm and z_mm - z <= depth_mm and z > height[row, column]:
                    height[row, column] = z
                    which[row, column] = f
