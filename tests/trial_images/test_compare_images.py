"""Scores and hot spots on invented stacks: what was planted is found where it was planted, and nothing else."""

from pathlib import Path

import numpy as np
import pytest
from scipy import ndimage, stats

from core.part.downskin import find_patches
from core.part.layers import slice_layers
from core.part.part import Part
from core.progress import Stopped
from core.trial.compare_images import ImageComparison, compare_images
from core.trial.image_choice import ImageChoice
from core.trial.image_heat import PredictedHeat, correlated, layers_with_heat
from core.trial.image_mask import slice_mask, window_of
from core.trial.image_overlay import OUTLINE, SPOT, layer_overlay
from core.trial.image_scores import MAD_TO_SIGMA, layer_level
from core.trial.layer_images import LayerImages, open_layer_images
from core.trial.register_images import register
from tests.trial_images.invented import LAYER_MM, NOISE, Stack, pairs_of

CHOICE = ImageChoice(layer_mm=LAYER_MM, first_layer_mm=LAYER_MM)


def as_images(values: np.ndarray, folder: Path) -> LayerImages:
    np.save(folder / "invented.npy", values)
    return open_layer_images(folder / "invented.npy")


def compared(stack: Stack, values: np.ndarray, bracket: Part, folder: Path, having: set[int]) -> ImageComparison:
    pairs = pairs_of(stack.seen_by, bracket)
    patches = find_patches(bracket, 45.0, LAYER_MM)
    place = register(pairs[:, :2], pairs[:, 2:])
    return compare_images(as_images(values, folder), place, bracket, patches, frozenset(having), CHOICE)


def test_the_painted_slice_is_the_one_shapely_finds(stack: Stack, bracket: Part) -> None:
    pairs = pairs_of(stack.seen_by, bracket)
    place = register(pairs[:, :2], pairs[:, 2:])
    assert place.mirrored
    layers = slice_layers(bracket.vertices_mm, bracket.triangles, LAYER_MM)
    for i in range(0, 70, 7):
        segments = layers.segments(i)
        window = window_of(segments.reshape(-1, 2), place, stack.seen_by.shape)
        assert window is not None
        painted = np.zeros(stack.seen_by.shape, dtype=bool)
        painted[window] = slice_mask(segments, place, window)
        differing = painted ^ stack.solid[i]
        assert differing.sum() <= 2  # a middle of a pixel may lie on the outline
        assert painted.sum() > 300


def test_the_spread_is_that_of_the_normal_distribution() -> None:
    assert pytest.approx(1 / stats.norm.ppf(0.75), rel=1e-12) == MAD_TO_SIGMA
    values = np.random.default_rng(1).normal(50, 3, 200_000).astype(np.float32)
    values[:20_000] = 1000  # a tenth of rubbish moves neither by much
    level = layer_level(values, 0.0)
    assert level is not None and abs(level.median - 50) < 0.5 and abs(level.sigma - 3) < 0.5
    flat = layer_level(np.full(100, 7, np.float32), 1.0)
    assert flat is not None and flat.sigma == pytest.approx(12**-0.5)  # the standard deviation of rounding
    assert layer_level(np.full(100, 7, np.float32), 0.0) is None


PLANTED = [(12, 0.0), (33, 0.4), (50, 0.8)]
"""Layer counted from 0, and which of the pixels far from the rim is the middle."""


def test_planted_spots_are_all_found_and_nothing_else(stack: Stack, bracket: Part, tmp_path: Path) -> None:
    """Asked: five standard deviations planted are all found, false alarms on at most 0.01 % of the part's pixels."""
    values = stack.images.copy()
    planted = np.zeros(values.shape, dtype=bool)
    middles = []
    for layer, share in PLANTED:
        deep = np.argwhere(ndimage.binary_erosion(stack.solid[layer], iterations=8))
        row, column = deep[int(share * (len(deep) - 1))]
        planted[layer, row - 2 : row + 3, column - 2 : column + 3] = True
        middles.append((layer, row, column))
    values[planted] += 5 * NOISE
    found = compared(stack, values, bracket, tmp_path, set())
    x, y = stack.seen_by.plate()
    for layer, row, column in middles:
        here = x[row, column], y[row, column]
        at = [s for s in found.spots if s.layer == layer + 1 and np.hypot(s.x_mm - here[0], s.y_mm - here[1]) < 0.5]
        assert len(at) == 1
        assert at[0].z_mm == pytest.approx(layer + 1.0)
        assert at[0].area_mm2 == pytest.approx(25 * 0.32**2, rel=0.4)  # pixels below the limit are missing
    false = sum(s.pixels for s in found.spots) - sum(s.pixels for s in found.spots if s.layer - 1 in dict(PLANTED))
    part_pixels = sum(level.pixels for level in found.levels if level is not None)
    assert part_pixels > 200_000
    assert false <= 1e-4 * part_pixels
    assert len(found.spots) == len(PLANTED)
    assert {i + 1 for i, _, _ in middles} <= {i + 1 for i in found.worst_layers}


def over_patch(stack: Stack, bracket: Part, number: int, depth: int = 5) -> np.ndarray:
    """(layers, rows, columns) pixels whose column of solid starts on a patch within some layers below."""
    patch = next(p for p in find_patches(bracket, 45.0, LAYER_MM) if p.id == number)
    low, high = (int(z) for z in (patch.z_min_mm, patch.z_max_mm))
    over = np.zeros(stack.solid.shape, dtype=bool)
    corners = bracket.corners_mm[patch.faces]
    x, y = stack.seen_by.plate()
    near = (x >= corners[..., 0].min()) & (x <= corners[..., 0].max())
    near &= (y >= corners[..., 1].min()) & (y <= corners[..., 1].max())
    for i in range(max(low, 1), min(high + depth, len(over))):
        started = stack.solid[i] & ~stack.solid[max(i - depth, 0)] & near
        over[i] = started
    return over


def test_a_warmer_patch_differs_and_owns_its_spots_and_faces(stack: Stack, bracket: Part, tmp_path: Path) -> None:
    ids = sorted(p.id for p in find_patches(bracket, 45.0, LAYER_MM))
    hot_one, other = ids[0], ids[1]
    over = over_patch(stack, bracket, hot_one)
    values = stack.images + 2.0 * NOISE * over
    size = over.sum(axis=(1, 2))
    layer = int(np.flatnonzero(size > 0.3 * size.max())[0])
    rows, columns = np.nonzero(over[layer])
    row, column = int(np.median(rows)), int(np.median(columns))
    values[layer, row - 2 : row + 3, column - 2 : column + 3] += 8 * NOISE
    found = compared(stack, values, bracket, tmp_path, {other})
    by_id = {p.patch: p for p in found.patches}
    assert by_id[hot_one].mean > 1.0 and abs(by_id[other].mean) < 0.25
    assert found.difference is not None
    assert found.difference.high < -0.5  # the one with a sink is cooler, and the interval knows it
    assert found.spots[0].patch == hot_one and found.spots[0].distance_mm is not None
    patches = {p.id: p for p in find_patches(bracket, 45.0, LAYER_MM)}
    mean = {k: np.nanmean(found.face_z[patches[k].faces]) for k in (hot_one, other)}
    assert mean[hot_one] > 1.0 > 0.5 > abs(mean[other])
    assert len(found.face_z) == bracket.n_faces


def test_the_picture_shows_outline_and_spot(stack: Stack, bracket: Part, tmp_path: Path) -> None:
    values = stack.images.copy()
    deep = np.argwhere(ndimage.binary_erosion(stack.solid[20], iterations=8))[0]
    values[20, deep[0] - 2 : deep[0] + 3, deep[1] - 2 : deep[1] + 3] += 100
    found = compared(stack, values, bracket, tmp_path, set())
    picture = layer_overlay(as_images(values, tmp_path), found, bracket, 20)
    pixels = picture.reshape(-1, 3).tolist()
    outline = ndimage.binary_dilation(stack.solid[20]) & ~stack.solid[20]
    assert abs(pixels.count(list(OUTLINE)) - outline.sum()) <= 30  # the ring may lie over it
    assert pixels.count(list(SPOT)) > 20


def test_correlation_with_predicted_temperatures(stack: Stack, bracket: Part, tmp_path: Path) -> None:
    """A grey value that rises with the layer's predicted temperature is correlated by one."""
    predicted = PredictedHeat(
        z_mm=np.arange(70) + 0.5, layer_c=80 + 3.0 * np.arange(70), face_c=np.zeros(bracket.n_faces)
    )
    values = stack.images + (0.5 * np.arange(70.0))[:, None, None]
    answer = layers_with_heat(compared(stack, values, bracket, tmp_path, set()), predicted)
    assert answer is not None and answer.spearman > 0.99 and answer.pearson > 0.99
    assert correlated(np.arange(9.0), -np.arange(9.0)).spearman == pytest.approx(-1)  # type: ignore[union-attr]
    assert correlated(np.arange(4.0), np.arange(4.0)) is None


def test_spots_over_each_other_are_one_group_and_a_stop_stops(stack: Stack, bracket: Part, tmp_path: Path) -> None:
    values = stack.images.copy()
    deep = np.argwhere(ndimage.binary_erosion(stack.solid[5:9].all(axis=0), iterations=8))
    (row, column), (other, further) = deep[0], deep[-1]
    values[5:8, row - 2 : row + 3, column - 2 : column + 3] += 60
    values[6, other - 2 : other + 3, further - 2 : further + 3] += 60
    found = compared(stack, values, bracket, tmp_path, set())
    groups = sorted((s.group, s.layer) for s in found.spots)
    assert [layer for group, layer in groups if group == groups[0][0]] == [6, 7, 8]
    assert len({group for group, _ in groups}) == 2
    with pytest.raises(Stopped):
        images = as_images(values, tmp_path)
        compare_images(images, found.place, bracket, (), frozenset(), CHOICE, goes_on=lambda share: share < 0.1)
