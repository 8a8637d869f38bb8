"""What layer images showed, in sentences: where they lie, how patches differ, what goes with temperature."""

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QCoreApplication

if TYPE_CHECKING:
    from core.run_images import ImagesResult
    from core.trial.compare_groups import Difference
    from core.trial.image_heat import Correlation


def _tr(text: str) -> str:
    return QCoreApplication.translate("ImagesWords", text)


def _signed(value: float) -> str:
    return f"{value:+.2f}".replace("-", "−")


def place_words(result: "ImagesResult", source: Path) -> str:
    """How many images there are and how they lie on the plate."""
    images, place = result.images, result.comparison.place
    kinds = {"affine": _tr("affine map"), "homography": _tr("homography"), "similarity": _tr("shift, turn and scale")}
    shown = sum(level is not None for level in result.comparison.levels)
    mirrored = _tr("mirrored") if place.mirrored else _tr("not mirrored")
    return "\n".join(
        (
            _tr("{0}: {1} images of {2} × {3} pixels, {4} of them show the part.").format(
                source.name, len(images), images.shape[1], images.shape[0], shown
            ),
            _tr("Placed by {0} pairs ({1}): RMS {2} px = {3} mm, {4} mm a pixel, turned {5}°, {6}.").format(
                len(place.error_px), kinds[place.kind], f"{place.rms_px:.3f}", f"{place.rms_mm:.4f}",
                f"{place.mm_per_px[0]:.4f}", f"{place.turned_deg:.2f}".replace("-", "−"), mirrored,
            ),
        )
    )  # fmt: skip


def difference_words(difference: "Difference | None") -> str:
    """With sinks against without, in one sentence."""
    if difference is None:
        return _tr("Patches with a sink can't be compared with others: the images show only one of the two kinds.")
    d = difference
    if d.low > 0:
        text = _tr(
            "Patches with a sink are brighter by {0} σ than those without "
            "(95 % {1} to {2}; effect size, Hedges' g, {3}, {4} to {5})."
        )
    elif d.high < 0:
        text = _tr(
            "Patches with a sink are darker by {0} σ than those without "
            "(95 % {1} to {2}; effect size, Hedges' g, {3}, {4} to {5})."
        )
    else:
        text = _tr(
            "Patches with a sink are not told from those without: {0} σ (95 % {1} to {2}, which holds 0; "
            "effect size, Hedges' g, {3}, {4} to {5})."
        )
    first = f"{abs(d.mean):.2f}" if d.low > 0 or d.high < 0 else _signed(d.mean)
    rest = (_signed(value) for value in (d.low, d.high, d.effect, d.effect_low, d.effect_high))
    return text.format(first, *rest)


def heat_words(heat: "dict[str, Correlation | None] | None") -> str:
    """How the images go with the predicted temperatures between layers."""
    if heat is None:
        return _tr("Follow the build of this job on the page Heat to compare the images with predicted temperatures.")
    layers, faces = heat["layers"], heat["faces"]
    by_layer = f"{_signed(layers.spearman)} (n {layers.n})" if layers is not None else _tr("too few values")
    by_face = f"{_signed(faces.spearman)} (n {faces.n})" if faces is not None else _tr("too few values")
    text = _tr("Rank correlation with the predicted temperature between layers: by layers {0}, by faces {1}.")
    return text.format(by_layer, by_face)


def spots_words(n: int, shown: int, limit: float) -> str:
    """Above the list of hot spots."""
    if not n:
        return _tr("No hot spots: nowhere are enough pixels together above {0} σ.").format(f"{limit:g}")
    if shown < n:
        return _tr("{0} hot spots, the {1} hottest; click one to see where it is.").format(n, shown)
    return _tr("Hot spots: {0}; click one to see where it is.").format(n)


def notes_words(result: "ImagesResult") -> str:
    """What to keep in mind, and warnings."""
    from core.run_images import LIMITS  # loaded already, as there is a result

    return "\n".join((*result.comparison.warnings, *LIMITS))
