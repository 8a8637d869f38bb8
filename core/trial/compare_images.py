"""Compare the layer images of a build with the part: scores, hot spots, patches with a sink and without."""

from dataclasses import dataclass

import numpy as np

from core.part.layers import slice_layers
from core.part.part import Part
from core.part.patch import Patch
from core.part.triangle_tree import TriangleTree
from core.progress import GoesOn, never_stop, report
from core.refusal import Refusal
from core.trial.compare_groups import Difference, compare_groups
from core.trial.image_choice import ImageChoice
from core.trial.image_mask import Window, faces_below, slice_mask, window_of
from core.trial.image_scores import LayerLevel, Spot, SpotFinder, inner, layer_level
from core.trial.layer_images import LayerImages
from core.trial.register_images import ImagePlace, mapped
from core.units import BoolArray, FloatArray, IntArray


@dataclass(frozen=True, kw_only=True)
class HotSpot:
    """Connected hot pixels of one layer, on the plate. layer: counted from 1. z_mm: top of the layer.

    group: the same for spots of neighbouring layers over each other. patch: the nearest one within reach, or None.
    """

    layer: int
    x_mm: float
    y_mm: float
    z_mm: float
    pixels: int
    area_mm2: float
    highest_z: float
    mean_z: float
    group: int
    patch: int | None
    distance_mm: float | None


@dataclass(frozen=True, kw_only=True, eq=False)
class PatchImages:
    """What the images show just above one patch. layers: (n,) counted from 0. mean_z: (n,) mean score in each."""

    patch: int
    with_sink: bool
    layers: IntArray
    mean_z: FloatArray
    pixels: int
    hot_pixels: int

    @property
    def mean(self) -> float:
        return float(self.mean_z.mean()) if len(self.mean_z) else float("nan")


@dataclass(frozen=True, kw_only=True, eq=False)
class ImageComparison:
    """Scores are robust standard deviations above the median of the part's pixels in the same layer.

    levels: one per image, None where it shows nothing of the part. highest_z: (n_images,) the highest score, NaN where
    there is none. face_z: (n_faces,) mean score just above each face's middle, NaN where the images don't tell.
    difference: patches with a sink less those without; None where one of the two is lacking.
    """

    choice: ImageChoice
    place: ImagePlace
    levels: tuple[LayerLevel | None, ...]
    highest_z: FloatArray
    spots: tuple[HotSpot, ...]
    patches: tuple[PatchImages, ...]
    difference: Difference | None
    face_z: FloatArray
    warnings: tuple[str, ...]

    @property
    def worst_layers(self) -> list[int]:
        """The layers with the most heat in spots, then those with the highest score; counted from 0."""
        heat = np.zeros(len(self.levels))
        for spot in self.spots:
            heat[spot.layer - 1] += spot.pixels * spot.mean_z
        order = np.lexsort([-np.nan_to_num(self.highest_z, nan=-np.inf), -heat])
        shown = [int(i) for i in order if self.levels[i] is not None]
        return sorted(shown[: self.choice.worst_layers])


def compare_images(
    images: LayerImages,
    place: ImagePlace,
    part: Part,
    patches: tuple[Patch, ...],
    with_sink: frozenset[int],
    choice: ImageChoice,
    goes_on: GoesOn = never_stop,
) -> ImageComparison:
    """Read the images once, lowest first, one at a time.

    patches: those to be told apart; with_sink: the ids of those that had a sink. Raises Refusal when the images don't
    show the part, Stopped when goes_on says so.
    """
    layers = slice_layers(part.vertices_mm, part.triangles, choice.layer_mm, choice.first_layer_mm - choice.layer_mm)
    by_patch = _PatchSums(part, patches, choice)
    by_face = _FaceSums(part, choice)
    finder = SpotFinder(choice.z_limit, choice.least_pixels)
    levels: list[LayerLevel | None] = []
    highest = np.full(len(images), np.nan)
    found: list[tuple[int, tuple[int, int], Spot]] = []
    for i in range(len(images)):
        report(goes_on, i / len(images))
        segments = layers.segments(i) if i < len(layers) else np.zeros((0, 2, 2))
        window = window_of(segments.reshape(-1, 2), place, images.shape)
        levels.append(None)
        if window is None:
            continue
        grey = images.image(i)[window]
        mask = inner(slice_mask(segments, place, window), choice.inset_px) & np.isfinite(grey)
        level = layer_level(grey[mask], images.pages[i].step)
        if level is None:
            continue
        levels[i] = level
        z = np.where(mask, (grey - np.float32(level.median)) / np.float32(level.sigma), np.float32(np.nan))
        highest[i] = float(z[mask].max())
        corner = (window[0].start, window[1].start)
        found += [(i, corner, spot) for spot in finder.find(z, i, corner)]
        height_mm = float(layers.z_mm[i])
        by_patch.add(z, mask, i, height_mm, place, window)
        by_face.add(z, height_mm, place, window)
    report(goes_on, 1.0)
    if not any(levels):
        raise Refusal("No image shows anything of the part; check the point pairs, the layer (--layer) and the first "
                      "layer (--first-layer).")  # fmt: skip
    told = by_patch.series(with_sink)
    face_z = by_face.means()
    by_patch.put_means(face_z)
    return ImageComparison(
        choice=choice,
        place=place,
        levels=tuple(levels),
        highest_z=highest,
        spots=_on_the_plate(found, place, part, patches, choice),
        patches=told,
        difference=compare_groups([p.mean_z for p in told if p.with_sink], [p.mean_z for p in told if not p.with_sink]),
        face_z=face_z,
        warnings=_warnings(levels, len(layers), told, place, images),
    )


def _warnings(
    levels: list[LayerLevel | None], n_slices: int, told: tuple[PatchImages, ...], place: ImagePlace,
    images: LayerImages,
) -> tuple[str, ...]:  # fmt: skip
    texts = [*images.warnings, *place.warnings]
    if place.mirrored:
        texts.append("The images show the plate mirrored; check it with a mark that isn't symmetrical.")
    without = sum(level is None for level in levels)
    if without:
        texts.append(f"{without} of {len(levels)} images show nothing of the part that could be judged.")
    if len(levels) < n_slices:
        texts.append(f"The part has {n_slices} layers from the first image on, but there are {len(levels)} images.")
    if not any(len(p.layers) for p in told if p.with_sink) or not any(len(p.layers) for p in told if not p.with_sink):
        texts.append("Patches with a sink can't be compared with others: the images show only one of the two kinds.")
    elif min(sum(p.with_sink for p in told), sum(not p.with_sink for p in told)) < 3:
        texts.append("With fewer than three patches of a kind the interval says nothing about other patches.")
    return tuple(texts)


class _PatchSums:
    """Adds up scores above each patch, layer by layer."""

    def __init__(self, part: Part, patches: tuple[Patch, ...], choice: ImageChoice) -> None:
        self._patches = patches
        self._depth_mm = choice.depth_mm
        self._limit = choice.z_limit
        self._faces = np.concatenate([p.faces for p in patches]) if patches else np.zeros(0, dtype=np.int32)
        self._of = np.repeat(np.arange(len(patches)), [len(p.faces) for p in patches])
        self._corners = part.corners_mm[self._faces]
        heights = self._corners[:, :, 2]
        self._low, self._high = heights.min(axis=1, initial=np.inf), heights.max(axis=1, initial=-np.inf)
        self._face_sum, self._face_count = np.zeros(len(self._faces)), np.zeros(len(self._faces), dtype=np.int64)
        self._rows: list[list[tuple[int, float]]] = [[] for _ in patches]
        self._pixels = np.zeros(len(patches), dtype=np.int64)
        self._hot = np.zeros(len(patches), dtype=np.int64)

    def add(self, z: FloatArray, mask: BoolArray, i: int, height_mm: float, place: ImagePlace, window: Window) -> None:
        near = np.flatnonzero((self._low <= height_mm) & (self._high >= height_mm - self._depth_mm))
        if not near.size:
            return
        which = faces_below(self._corners[near], height_mm, self._depth_mm, place, window)
        seen = (which >= 0) & mask
        index, score = near[which[seen]], z[seen]
        patch = self._of[index]
        self._face_sum += np.bincount(index, weights=score, minlength=len(self._faces))
        self._face_count += np.bincount(index, minlength=len(self._faces))
        count = np.bincount(patch, minlength=len(self._patches))
        total = np.bincount(patch, weights=score, minlength=len(self._patches))
        self._pixels += count
        self._hot += np.bincount(patch, weights=score > self._limit, minlength=len(self._patches)).astype(np.int64)
        for k in np.flatnonzero(count):
            self._rows[k].append((i, float(total[k] / count[k])))

    def put_means(self, face_z: FloatArray) -> None:
        """Replace the scores of the patches' faces (n_faces,) by means over all their pixels, where they have any."""
        known = self._face_count > 0
        face_z[self._faces[known]] = self._face_sum[known] / self._face_count[known]

    def series(self, with_sink: frozenset[int]) -> tuple[PatchImages, ...]:
        return tuple(
            PatchImages(
                patch=patch.id,
                with_sink=patch.id in with_sink,
                layers=np.array([i for i, _ in rows], dtype=np.int64),
                mean_z=np.array([mean for _, mean in rows]),
                pixels=int(pixels),
                hot_pixels=int(hot),
            )
            for patch, rows, pixels, hot in zip(self._patches, self._rows, self._pixels, self._hot, strict=True)
        )


class _FaceSums:
    """Samples the scores just inside the middle of every face, in the layers that hold it or lie just above."""

    def __init__(self, part: Part, choice: ImageChoice) -> None:
        self._middles = part.corners_mm.mean(axis=1)
        self._inwards = -part.normals[:, :2]
        self._order = np.argsort(self._middles[:, 2], kind="stable")
        self._heights = self._middles[self._order, 2]
        self._half_mm, self._depth_mm, self._inset_px = choice.layer_mm / 2, choice.depth_mm, choice.inset_px + 1
        self._sum = np.zeros(part.n_faces)
        self._count = np.zeros(part.n_faces, dtype=np.int64)

    def add(self, z: FloatArray, height_mm: float, place: ImagePlace, window: Window) -> None:
        ends = np.searchsorted(self._heights, [height_mm - self._depth_mm, height_mm + self._half_mm])
        faces = self._order[ends[0] : ends[1]]
        if not faces.size:
            return
        inside = self._middles[faces, :2] + self._inset_px * max(place.mm_per_px) * self._inwards[faces]
        pixels = np.rint(mapped(place.to_px, inside)).astype(np.int64) - [window[1].start, window[0].start]
        shown = (pixels >= 0).all(axis=1) & (pixels[:, 0] < z.shape[1]) & (pixels[:, 1] < z.shape[0])
        faces, pixels = faces[shown], pixels[shown]
        scores = z[pixels[:, 1], pixels[:, 0]]
        known = np.isfinite(scores)
        self._sum[faces[known]] += scores[known]
        self._count[faces[known]] += 1

    def means(self) -> FloatArray:
        with np.errstate(invalid="ignore"):
            return np.asarray(np.where(self._count > 0, self._sum / self._count, np.nan))


def _on_the_plate(
    found: list[tuple[int, tuple[int, int], Spot]], place: ImagePlace, part: Part, patches: tuple[Patch, ...],
    choice: ImageChoice,
) -> tuple[HotSpot, ...]:  # fmt: skip
    """Spots in mm with the nearest patch, hottest first."""
    if not found:
        return ()
    pixels = np.array([[spot.column + corner[1], spot.row + corner[0]] for _, corner, spot in found])
    xy = mapped(place.to_mm, pixels)
    tops = np.array([choice.top_mm(i) for i, _, _ in found])
    divisor = np.abs(pixels @ place.to_mm[2, :2] + place.to_mm[2, 2])
    pixel_mm2 = abs(np.linalg.det(place.to_mm)) / divisor**3
    distance, patch = np.full(len(found), np.inf), np.zeros(len(found), dtype=np.int64)
    if patches:
        faces = np.concatenate([p.faces for p in patches])
        owner = np.repeat([p.id for p in patches], [len(p.faces) for p in patches])
        distance, nearest, _ = TriangleTree.of(part.corners_mm[faces]).nearest(np.column_stack([xy, tops]))
        patch = owner[nearest]
    near = distance <= choice.link_mm
    spots = [
        HotSpot(
            layer=i + 1,
            x_mm=float(xy[k, 0]),
            y_mm=float(xy[k, 1]),
            z_mm=float(tops[k]),
            pixels=spot.pixels,
            area_mm2=float(spot.pixels * pixel_mm2[k]),
            highest_z=spot.highest_z,
            mean_z=spot.mean_z,
            group=spot.group,
            patch=int(patch[k]) if near[k] else None,
            distance_mm=float(distance[k]) if near[k] else None,
        )
        for k, (i, _, spot) in enumerate(found)
    ]
    return tuple(sorted(spots, key=lambda s: (-s.highest_z, s.layer, s.x_mm)))
