"""How far each pixel of a layer is from the layer's usual grey value, and where many lie far off together."""

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from core.units import BoolArray, FloatArray, IntArray

MAD_TO_SIGMA = 1.4826022185056018
"""1 / 0.6744897501960817, the upper quartile of the normal distribution (Huber and Ronchetti, Robust Statistics)."""
ROUND_8 = np.ones((3, 3), dtype=bool)
"""Pixels that touch at a corner belong together."""


@dataclass(frozen=True, kw_only=True)
class LayerLevel:
    """The usual grey value of a layer and its spread, by median and median absolute deviation."""

    median: float
    sigma: float
    pixels: int


def layer_level(values: FloatArray, step: float) -> LayerLevel | None:
    """Level of the grey values (n,) inside the part; None when there are none, or they don't differ at all.

    step: between two grey values; the spread isn't taken smaller than the rounding to steps makes it, step / sqrt 12.
    """
    if not values.size:
        return None
    median = float(np.median(values))
    sigma = MAD_TO_SIGMA * float(np.median(np.abs(values - np.float32(median))))
    sigma = max(sigma, step / np.sqrt(12.0))
    return LayerLevel(median=median, sigma=sigma, pixels=values.size) if sigma > 0 else None


def inner(mask: BoolArray, inset_px: int) -> BoolArray:
    """The mask without the pixels at its rim, which show powder too."""
    return np.asarray(ndimage.binary_erosion(mask, ROUND_8, iterations=inset_px)) if inset_px else mask


@dataclass(frozen=True, kw_only=True)
class Spot:
    """Connected hot pixels of one layer, in pixels of the window it was looked for in."""

    column: float
    row: float
    pixels: int
    highest_z: float
    mean_z: float
    group: int
    """Spots of neighbouring layers that lie over each other have the same number."""


class SpotFinder:
    """Finds hot spots layer by layer and follows them upwards."""

    def __init__(self, z_limit: float, least_pixels: int) -> None:
        self._z_limit = z_limit
        self._least = least_pixels
        self._groups = 0
        self._before: tuple[int, tuple[int, int], IntArray] | None = None

    def find(self, z: FloatArray, layer: int, corner: tuple[int, int]) -> list[Spot]:
        """Spots of one layer. z: (rows, columns) scores, NaN outside; corner: row and column of its first pixel."""
        with np.errstate(invalid="ignore"):
            labels, count = ndimage.label(z > self._z_limit, ROUND_8)
        found = []
        groups = np.zeros(count + 1, dtype=np.int32)
        for number, box in enumerate(ndimage.find_objects(labels), start=1):
            own = labels[box] == number
            size = int(own.sum())
            if size < self._least:
                continue
            scores = z[box][own]
            rows, columns = np.nonzero(own)
            groups[number] = self._group_of(layer, box, own, corner)
            found.append(
                Spot(
                    column=float(np.average(columns, weights=scores)) + box[1].start,
                    row=float(np.average(rows, weights=scores)) + box[0].start,
                    pixels=size,
                    highest_z=float(scores.max()),
                    mean_z=float(scores.mean()),
                    group=int(groups[number]),
                )
            )
        self._before = (layer, corner, groups[labels]) if found else None
        return found

    def _group_of(self, layer: int, box: tuple[slice, slice], own: BoolArray, corner: tuple[int, int]) -> int:
        """The group of the layer below that lies under most of these pixels, else a new one."""
        if self._before is not None and self._before[0] == layer - 1:
            _, (row0, column0), groups = self._before
            rows, columns = np.nonzero(own)
            rows, columns = rows + box[0].start + corner[0] - row0, columns + box[1].start + corner[1] - column0
            inside = (rows >= 0) & (rows < groups.shape[0]) & (columns >= 0) & (columns < groups.shape[1])
            below = groups[rows[inside], columns[inside]]
            below = below[below > 0]
            if below.size:
                return int(np.bincount(below).argmax())
        self._groups += 1
        return self._groups
