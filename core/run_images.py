"""From a job and layer images to scores, hot spots and files: window and command line both run this."""

import csv
import io
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from core.export.report_pixels import png_bytes
from core.export.result_json import json_text, number
from core.heat.compare_heat import HeatComparison
from core.job import Job
from core.job_file import job_hash
from core.job_picks import picked_patches
from core.part.downskin import find_patches
from core.part.part import Part
from core.part.patch import Patch
from core.progress import GoesOn, never_stop, report
from core.refusal import Refusal
from core.run_job import LEAST_AREA_MM2, load_placed_part
from core.trial.compare_groups import Difference
from core.trial.compare_images import HotSpot, ImageComparison, compare_images
from core.trial.image_choice import ImageChoice
from core.trial.image_heat import (
    Correlation,
    PredictedHeat,
    faces_with_heat,
    layers_with_heat,
    predicted_of,
    read_predicted,
)
from core.trial.image_overlay import layer_overlay
from core.trial.layer_images import LayerImages
from core.trial.register_images import COLUMNS, ImagePlace, register
from core.trial.register_points import read_points
from core.version import PROGRAM, VERSION
from core.write_whole import could_not_write, write_together

RESULT, SPOTS, FACES = "images.json", "hot-spots.csv", "image-faces.npz"
LIMITS = (
    "Scores compare pixels of one layer with each other; they are no temperatures.",
    "A pixel that is bright may be hot, or smooth, or lit otherwise: look at the pictures before you conclude.",
)


@dataclass(frozen=True, kw_only=True, eq=False)
class ImagesResult:
    """What layer images of a job gave. heat: correlation by layers and by faces with predicted temperatures."""

    job: Job
    part: Part
    patches: tuple[Patch, ...]
    images: LayerImages
    comparison: ImageComparison
    heat: dict[str, Correlation | None] | None = None

    @property
    def face_scores(self) -> np.ndarray[Any, np.dtype[np.floating[Any]]]:
        """(n_faces,) for the view: mean score just above each face, NaN where the images don't tell."""
        return self.comparison.face_z


def told_apart(job: Job, part: Part, with_sink: tuple[int, ...] = ()) -> tuple[tuple[Patch, ...], frozenset[int]]:
    """Patches to compare and the ids of those with a sink: the job's picks, or those named.

    Patches that share faces with a pick, or are below 1 mm², aren't compared. Raises Refusal for an unknown number.
    """
    patches = find_patches(part, job.max_angle_deg, job.laser.layer_mm)
    if with_sink:
        known = {p.id for p in patches}
        if unknown := sorted(set(with_sink) - known):
            raise Refusal(f"There is no patch {unknown[0]} on this part; 'underfin-cli faces' lists them.")
        chosen = tuple(p for p in patches if p.area_mm2 >= LEAST_AREA_MM2 or p.id in with_sink)
        return chosen, frozenset(with_sink)
    picked = picked_patches(job, part, patches)
    taken = np.zeros(part.n_faces, dtype=bool)
    for patch in picked:
        taken[patch.faces] = True
    others = tuple(p for p in patches if p.area_mm2 >= LEAST_AREA_MM2 and not taken[p.faces].any())
    return picked + others, frozenset(p.id for p in picked)


def place_of_images(points: Path | str, kind: str = "auto") -> ImagePlace:
    """Where the images lie, from a CSV file of column_px, row_px, x_mm, y_mm; with a column 'mark', two rows do."""
    pairs, marks = read_points(points, COLUMNS)
    try:
        return register(pairs[:, :2], pairs[:, 2:], kind, marks=marks)
    except Refusal as fault:
        raise Refusal(f"'{Path(points).name}': {fault}") from None


def run_images(
    job: Job,
    images: LayerImages,
    place: ImagePlace,
    choice: ImageChoice,
    goes_on: GoesOn = never_stop,
    *,
    part: Part | None = None,
    with_sink: tuple[int, ...] = (),
    heat_folder: Path | None = None,
) -> ImagesResult:
    """Compare layer images with a job's part. part: in build position, when it is loaded already.

    heat_folder: what 'heat' wrote for this job, to be correlated. Raises Refusal, or Stopped.
    """
    part = load_placed_part(job) if part is None else part
    patches, having = told_apart(job, part, with_sink)
    predicted = None if heat_folder is None else read_predicted(heat_folder, part.n_faces)
    comparison = compare_images(images, place, part, patches, having, choice, goes_on)
    comparison = replace(comparison, warnings=part.warnings + comparison.warnings)
    result = ImagesResult(job=job, part=part, patches=patches, images=images, comparison=comparison)
    return result if predicted is None else replace(result, heat=_correlations(result, predicted))


def with_heat(result: ImagesResult, heat: HeatComparison | None) -> ImagesResult:
    """The same result, correlated with the temperatures of a build that was just followed; None takes them away."""
    return replace(result, heat=None if heat is None else _correlations(result, predicted_of(heat)))


def _correlations(result: ImagesResult, predicted: PredictedHeat) -> dict[str, Correlation | None]:
    found, patches = result.comparison, result.patches
    faces = np.concatenate([p.faces for p in patches]) if patches else np.zeros(0, dtype=np.int32)
    return {"layers": layers_with_heat(found, predicted), "faces": faces_with_heat(found, predicted, faces)}


def images_values(result: ImagesResult) -> dict[str, Any]:
    """What `images --json` prints; layers are counted from 1, lengths are mm, scores robust standard deviations."""
    found, place = result.comparison, result.comparison.place
    having = [level for level in found.levels if level is not None]
    return {
        "program": PROGRAM,
        "version": VERSION,
        "job_sha256": job_hash(result.job),
        "images": len(result.images),
        "rows": result.images.shape[0],
        "columns": result.images.shape[1],
        "images_with_part": len(having),
        "part_pixels": sum(level.pixels for level in having),
        "settings": asdict(found.choice),
        "place": {
            "kind": place.kind,
            "pairs": len(place.error_px),
            "rms_px": number(place.rms_px, 5),
            "rms_mm": number(place.rms_mm, 5),
            "worst_px": number(float(place.error_px.max()), 5),
            "turned_deg": number(place.turned_deg, 7),
            "mirrored": place.mirrored,
            "mm_per_px": [number(v, 7) for v in place.mm_per_px],
            "to_mm": [[number(v, 12) for v in row] for row in place.to_mm.tolist()],
        },
        "hot_spots": len(found.spots),
        "hot_spots_by_patch": spots_by_patch(found.spots),
        "hottest": [spot_values(spot) for spot in found.spots[:20]],
        "patches": [
            {
                "patch": p.patch,
                "with_sink": p.with_sink,
                "layers": len(p.layers),
                "pixels": p.pixels,
                "mean_z": number(p.mean, 5),
                "hot_share": number(p.hot_pixels / p.pixels, 4) if p.pixels else None,
            }
            for p in found.patches
        ],
        "difference": difference_values(found.difference),
        "heat": None if result.heat is None else {k: c and _numbers(asdict(c)) for k, c in result.heat.items()},
        "worst_layers": [i + 1 for i in found.worst_layers],
        "notes": list(LIMITS),
        "warnings": list(found.warnings),
    }


def spots_by_patch(spots: tuple[HotSpot, ...]) -> dict[str, int]:
    """How many spots belong to each patch; 'none' to no patch."""
    counts: dict[str, int] = {}
    for spot in spots:
        key = "none" if spot.patch is None else str(spot.patch)
        counts[key] = counts.get(key, 0) + 1
    return dict(sorted(counts.items()))


def spot_values(spot: HotSpot) -> dict[str, Any]:
    return _numbers(asdict(spot))


def difference_values(difference: Difference | None) -> dict[str, Any] | None:
    """Patches with a sink less those without, with its seeded 95 % bootstrap interval."""
    return None if difference is None else _numbers(asdict(difference))


def _numbers(values: dict[str, Any]) -> dict[str, Any]:
    return {key: number(value, 6) if isinstance(value, float) else value for key, value in values.items()}


def write_images(result: ImagesResult, folder: Path, goes_on: GoesOn = never_stop) -> tuple[str, ...]:
    """Write images.json, hot-spots.csv, the scores of all faces (npz) and pictures of the worst layers.

    Returns the names of the files; images.json is written last. Raises Refusal when the folder can't be written to.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise could_not_write(folder, problem) from problem
    table = io.StringIO()
    rows = csv.writer(table, lineterminator="\n")
    names = list(HotSpot.__dataclass_fields__)
    rows.writerow(names)
    for spot in result.comparison.spots:
        rows.writerow(["" if v is None else f"{v:.4f}" if isinstance(v, float) else v for v in vars(spot).values()])
    faces = io.BytesIO()
    np.savez(faces, score=result.comparison.face_z.astype(np.float32))
    files = {}
    for rank, i in enumerate(result.comparison.worst_layers, start=1):
        report(goes_on, rank / (result.comparison.choice.worst_layers + 1))
        files[f"overlay-{rank}.png"] = png_bytes(layer_overlay(result.images, result.comparison, result.part, i))
    files |= {SPOTS: table.getvalue().encode(), FACES: faces.getvalue()}
    names = [*files, RESULT]
    values = images_values(result) | {"files": names}
    write_together(folder, files | {RESULT: json_text(values).encode()})
    return tuple(names)


def check_not_among_images(folder: Path, images: Path) -> None:
    """Refuse to write pictures where they would be read as layers next time."""
    if images.is_dir() and folder.resolve() == images.resolve():
        raise Refusal(f"'{folder}' holds the layer images; choose another folder for what is written.")
