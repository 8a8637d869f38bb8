"""The layer images in the report: how bright it was over every patch, with a sink and without, and the hot spots."""

import math

import numpy as np

from core.export.after_build import ImagesSeen, PatchSeen
from core.export.report_blocks import Block, Bullets, Cell, Figures, Heading, Table, Verdict, Words, cells
from core.export.report_groups import apart_words, worst_of
from core.export.report_tables import digits
from core.export.report_views import Build, views_of_values

LOW, HIGH = -2.0, 6.0
"""Ends of the scale, robust standard deviations; the same for all builds, so that reports compare."""
MOST_SPOTS = 8
HEAT_WORDS = {"layers": "by layers", "faces": "by faces"}


def images_verdict(images: ImagesSeen) -> Verdict:
    """How much was hot over which patches, and whether it was less over those with a sink."""
    if images.apart is None:
        good, strong = None, "Layer images:"
    elif images.apart.high < 0:
        good, strong = True, "Layer images: darker over patches with a sink, on this part."
    elif images.apart.low > 0:
        good, strong = False, "Layer images: brighter over patches with a sink, on this part."
    else:
        good, strong = None, "Layer images: no difference between patches with a sink and without is told."
    worst = worst_of(images.patches, lambda p: p.mean_z)
    if not worst:
        return Verdict(good=good, strong=strong, text="The images show nothing just above the patches.")
    told = [
        f"{who} {_share(patch)} (mean {patch.mean_z:.1f} σ)"
        if k
        else f"{who} had {_share(patch)} of its pixels hot (mean {patch.mean_z:.1f} σ)"
        for k, (who, patch) in enumerate(worst)
    ]
    return Verdict(good=good, strong=strong, text=f"{'; '.join(told)}.".replace("-", "−"))


def images_blocks(images: ImagesSeen, build: Build) -> list[Block]:
    """Place, a row per patch, the difference, the part coloured by score, the hottest spots, and cautions."""
    values = np.full(len(images.by_face), np.nan)
    told = {p.patch for p in images.patches}
    for patch in (p for p in (*build.result.patches, *build.result.picked) if p.id in told):
        values[patch.faces] = images.by_face[patch.faces]
    views = views_of_values(build, values, LOW, HIGH, "Score, σ", "Score of the layer images above the patches.")
    rows = tuple(
        cells(str(p.patch), "yes" if p.with_sink else "no", str(p.layers), _score(p.mean_z), _share(p))
        for p in images.patches
    )
    caption = (
        f"Mean score just above the faces of the patches; bright is {HIGH:g} σ and more. Pale: other faces, "
        "and what the images don't tell."
    )
    return [
        Heading(text="Layer images"),
        Words(text=f"{images.images} images, {images.with_part} of them show the part, one every {images.layer_mm:g} "
              f"mm; laid on the plate by {images.pairs} pairs of points, RMS {images.rms_mm:.3f} mm. Scores are robust "
              "standard deviations (σ) above the median of the part's pixels in the same layer; hot is above "
              f"{images.z_limit:g} σ."),
        Table(heads=("Patch", "Sink", "Layers", "Mean score σ", "Hot pixels"), rows=rows,
              widths=(0.15, 0.15, 0.2, 0.25, 0.25), numbers=frozenset({2, 3, 4})),
        *apart_words(images.apart, lambda v: f"{v:+.2f} σ", "brighter", "darker"),
        *_heat(images),
        Figures(drawings=[(views[0], caption), (views[1], "The same from the other side.")]),
        *_spots(images),
        Bullets(sentences=images.cautions),
    ]  # fmt: skip


def _heat(images: ImagesSeen) -> list[Block]:
    told = [f"{HEAT_WORDS[by]} {rho:+.2f} (n {n})" for by, (rho, n) in images.heat.items() if by in HEAT_WORDS]
    text = f"Rank correlation with the predicted temperature between layers: {', '.join(told)}."
    return [Words(text=text.replace("-", "−"))] if told else []


def _spots(images: ImagesSeen) -> list[Block]:
    """The hottest spot of each pile of spots."""
    if not images.hottest:
        return [Words(text="No hot spots.")]
    piles = list({spot.group: spot for spot in reversed(images.hottest)}.values())
    piles = sorted(piles, key=lambda spot: -spot.highest_z)[:MOST_SPOTS]
    rows = tuple(
        cells(
            str(s.layer),
            digits(s.z_mm, 2),
            f"{digits(s.x_mm, 1)}, {digits(s.y_mm, 1)}",
            digits(s.area_mm2, 1),
            digits(s.highest_z, 1),
            Cell(text="none" if s.patch is None else str(s.patch), tone="note" if s.patch is None else ""),
        )
        for s in piles
    )
    words = (
        f"Hot spots: {images.n_spots}. Spots over each other in neighbouring layers are one row, told by the hottest; "
        f"rows come from the {len(images.hottest)} hottest spots. Those at no patch ask for a look at their layer."
    )
    return [
        Words(text=words, small=True),
        Table(heads=("Layer", "z mm", "x, y mm", "Area mm²", "Highest σ", "Patch"), rows=rows,
              widths=(0.13, 0.15, 0.24, 0.17, 0.17, 0.14), numbers=frozenset(range(6))),
    ]  # fmt: skip


def _score(value: float) -> str:
    return "–" if math.isnan(value) else f"{value:+.2f}".replace("-", "−")


def _share(patch: PatchSeen) -> str:
    percent = 100 * patch.hot_share
    if math.isnan(percent) or percent == 0:
        return "–" if percent else "0 %"
    return f"{percent:.0f} %" if percent >= 10 else f"{percent:.1f} %" if percent >= 0.1 else "under 0.1 %"
