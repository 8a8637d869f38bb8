"""Do layer images and predicted temperatures go together: rank and linear correlation over layers and faces."""

import csv
import io
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy import stats

from core.heat.compare_heat import HeatComparison
from core.refusal import Refusal
from core.trial.compare_images import ImageComparison
from core.trial.layer_pages import damage_named
from core.units import FloatArray, IntArray

LAYERS, FACES = "heat-layers.csv", "heat-faces.npz"
"""What following a build writes."""
LEAST = 5
"""Fewer pairs say nothing."""


@dataclass(frozen=True, kw_only=True, eq=False)
class PredictedHeat:
    """Temperatures between layers with the sinks, °C. z_mm, layer_c: (n_layers,) mean. face_c: (n_faces,)."""

    z_mm: FloatArray
    layer_c: FloatArray
    face_c: FloatArray


@dataclass(frozen=True, kw_only=True)
class Correlation:
    """Spearman's rank and Pearson's linear coefficient of n pairs."""

    spearman: float
    pearson: float
    n: int


def read_predicted(folder: Path, n_faces: int) -> PredictedHeat:
    """The temperatures that following a build wrote into a folder. Raises Refusal when they aren't this part's."""
    for name in (LAYERS, FACES):
        if not (folder / name).is_file():
            raise Refusal(f"'{folder}' has no {name}; give the folder that 'heat' wrote.")
    with damage_named(f"'{FACES}'"), np.load(folder / FACES, allow_pickle=False) as arrays:
        face_c = np.asarray(arrays["with_sinks_c"], dtype=np.float64)
    if face_c.shape != (n_faces,):
        raise Refusal(f"'{FACES}' has {face_c.size} faces, but the part has {n_faces}; follow this job's build first.")
    with damage_named(f"'{LAYERS}'"):
        table = list(csv.DictReader(io.StringIO((folder / LAYERS).read_text(encoding="utf-8"))))
        rows = [(float(r["z_mm"]), float(r["with_mean_c"])) for r in table if r["with_mean_c"]]
    if len(rows) < 2:
        raise Refusal(f"'{LAYERS}' has fewer than two layers with a temperature; follow the build again.")
    z_mm, layer_c = np.array(rows).T
    return PredictedHeat(z_mm=z_mm, layer_c=layer_c, face_c=face_c)


def predicted_of(heat: HeatComparison) -> PredictedHeat:
    """The temperatures of a build just followed, as `read_predicted` gives those of a written one."""
    run = heat.with_sinks
    known = np.isfinite(run.layer_mean_c)
    return PredictedHeat(z_mm=run.z_mm[known], layer_c=run.layer_mean_c[known], face_c=run.face_between_c)


def correlated(one: FloatArray, two: FloatArray) -> Correlation | None:
    """Of two arrays (n,), where both are known; None below five pairs, or where one doesn't vary."""
    known = np.isfinite(one) & np.isfinite(two)
    a, b = one[known], two[known]
    if len(a) < LEAST or np.ptp(a) == 0 or np.ptp(b) == 0:
        return None
    return Correlation(
        spearman=float(stats.spearmanr(a, b).statistic), pearson=float(stats.pearsonr(a, b).statistic), n=len(a)
    )


def layers_with_heat(comparison: ImageComparison, heat: PredictedHeat) -> Correlation | None:
    """The median grey value of every layer with its predicted mean temperature."""
    grey = np.array([np.nan if level is None else level.median for level in comparison.levels])
    choice = comparison.choice
    middles = np.array([choice.top_mm(i) - choice.layer_mm / 2 for i in range(len(grey))])
    predicted = np.interp(middles, heat.z_mm, heat.layer_c, left=np.nan, right=np.nan)
    return correlated(grey, predicted)


def faces_with_heat(comparison: ImageComparison, heat: PredictedHeat, faces: IntArray) -> Correlation | None:
    """The mean score above each of some faces (n,) with its predicted temperature."""
    return correlated(comparison.face_z[faces], heat.face_c[faces])
