"""Draw one layer image with the outline of the part's slice, what counts for patches, and hot spots."""

import numpy as np
from scipy import ndimage

from core.part.layers import slice_layers
from core.part.part import Part
from core.refusal import Refusal
from core.trial.compare_images import ImageComparison
from core.trial.image_mask import slice_mask, window_of
from core.trial.layer_images import LayerImages
from core.units import FloatArray, IntArray

OUTLINE = (27, 127, 121)
SPOT = (213, 94, 0)
"""Vermillion of the colour-blind safe palette of Okabe and Ito, 2008."""
MOST_PX = 1200
RING_PX = 6
MARGIN_PX = 20


def layer_overlay(images: LayerImages, comparison: ImageComparison, part: Part, i: int) -> IntArray:
    """(rows, columns, 3) uint8: layer i round the part, the slice's outline in teal, hot spots ringed in vermillion."""
    choice, place = comparison.choice, comparison.place
    layers = slice_layers(part.vertices_mm, part.triangles, choice.layer_mm, choice.first_layer_mm - choice.layer_mm)
    segments = layers.segments(i) if i < len(layers) else np.zeros((0, 2, 2))
    window = window_of(segments.reshape(-1, 2), place, images.shape, MARGIN_PX)
    if window is None:
        raise Refusal(f"{images.pages[i].name} shows nothing of the part.")
    grey = images.image(i)[window]
    mask = slice_mask(segments, place, window)
    every = -(-max(grey.shape) // MOST_PX)
    rgb = np.repeat(_shaded(grey[::every, ::every])[..., None], 3, axis=2)
    # the outline is found before pixels are left out, so that thin walls keep theirs
    outline = ndimage.binary_dilation(mask) & ~mask
    rgb[_thinned(outline, every)] = OUTLINE
    rings = np.zeros(grey.shape, dtype=bool)
    rows, columns = np.ogrid[: grey.shape[0], : grey.shape[1]]
    for spot in comparison.spots:
        if spot.layer == i + 1:
            at = place.to_px @ [spot.x_mm, spot.y_mm, 1.0]
            column, row = at[0] / at[2] - window[1].start, at[1] / at[2] - window[0].start
            radius = np.sqrt(spot.pixels / np.pi) + RING_PX * every
            apart = np.hypot(rows - row, columns - column)
            rings |= np.abs(apart - radius) < every
    rgb[_thinned(rings, every)] = SPOT
    return rgb


def _shaded(grey: FloatArray) -> IntArray:
    """Grey values between the 1st and the 99.8th percentile as 0 to 255."""
    known = grey[np.isfinite(grey)]
    low, high = np.percentile(known, [1.0, 99.8]) if known.size else (0.0, 1.0)
    share = np.nan_to_num((grey - low) / max(high - low, 1e-9), nan=0.0, posinf=1.0, neginf=0.0)
    return np.asarray(np.clip(share, 0.0, 1.0) * 255 + 0.5).astype(np.uint8)


def _thinned(marks: IntArray, every: int) -> IntArray:
    """Marks with every n-th pixel kept; a kept pixel is marked when one that it stands for is."""
    if every == 1:
        return marks
    rows, columns = (-(-n // every) for n in marks.shape)
    padded = np.zeros((rows * every, columns * every), dtype=bool)
    padded[: marks.shape[0], : marks.shape[1]] = marks
    return np.asarray(padded.reshape(rows, every, columns, every).any(axis=(1, 3)))
