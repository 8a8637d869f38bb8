"""Images and the temperatures of a build followed just now: what goes together by construction correlates fully."""

from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from core.job import Job
from core.part.part import Part
from core.run_images import run_images, with_heat
from core.trial.image_choice import ImageChoice
from core.trial.image_heat import faces_with_heat, predicted_of
from core.trial.layer_images import open_layer_images
from core.trial.register_images import register
from tests.trial_images.invented import LAYER_MM, Stack, pairs_of


def test_temperatures_made_from_the_images_correlate_fully(stack: Stack, bracket: Part, tmp_path: Path) -> None:
    """Faces the colder the brighter: rank correlation -1. Layers in proportion to their grey value: +1 and +1."""
    brighter = stack.images + np.arange(len(stack.images), dtype=np.float32)[:, None, None]
    np.save(tmp_path / "stack.npy", brighter)
    pairs = pairs_of(stack.seen_by, bracket)
    result = run_images(
        Job(part_file="bracket.stl"), open_layer_images(tmp_path / "stack.npy"), register(pairs[:, :2], pairs[:, 2:]),
        ImageChoice(layer_mm=LAYER_MM, first_layer_mm=LAYER_MM), part=bracket,
    )  # fmt: skip
    assert result.heat is None
    grey = np.array([level.median for level in result.comparison.levels if level is not None])
    middles = (np.arange(len(grey)) + 0.5) * LAYER_MM
    run = SimpleNamespace(
        z_mm=np.append(middles, middles[-1] + LAYER_MM), layer_mean_c=np.append(2 * grey + 10, np.nan),
        face_between_c=300 - np.exp(result.face_scores),
    )  # fmt: skip
    build = SimpleNamespace(with_sinks=run)
    heat = with_heat(result, build).heat
    assert heat["layers"].spearman == pytest.approx(1) and heat["layers"].pearson == pytest.approx(1)
    assert heat["layers"].n == 70
    assert heat["faces"] is None, "both patches together have four faces, fewer than five say nothing"
    every = faces_with_heat(result.comparison, predicted_of(build), np.arange(bracket.n_faces))
    assert every.spearman == pytest.approx(-1) and every.pearson > -1
    assert with_heat(result, None).heat is None
