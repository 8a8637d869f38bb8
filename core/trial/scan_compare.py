"""How far a scanned surface lies off the part, per face and per patch: swelling, dross, and the lowest edge."""

from dataclasses import dataclass

import numpy as np

from core.part.part import Part
from core.part.patch import Patch
from core.part.triangle_tree import TriangleTree
from core.progress import GoesOn, in_bites, never_stop, part_of, report
from core.refusal import Refusal
from core.trial.compare_groups import Difference, compare_groups
from core.trial.scan_align import Alignment, align_scan
from core.units import BoolArray, FloatArray, IntArray

SAMPLES = 200_000
"""About so many places are measured, at least one on every face."""
MOST_ON_FACE = 5_000
LEAST_COSINE = 0.5
"""The nearest place of the scan must lie within 60 degrees of the face's normal, else the scan has a hole there."""
TOUCHING_MM = 0.02
"""So near the direction to the scan says nothing."""
EDGE_MM, EDGE_SHARE = 0.5, 0.05
"""The lowest edge of a patch is its lowest half millimetre, or twentieth where that is more."""
BAND_MM = 0.5
"""Heights over which places are averaged before patches are compared, as neighbours are alike."""
NEAR_DOWNSKIN_MM = 1.0
LEAST_MEASURED = 0.5


@dataclass(frozen=True, kw_only=True, eq=False)
class PatchScan:
    """Deviation over one patch, mm, outward positive: swelling or dross. NaN where nothing was measured.

    p95_mm: 95 % of the measured places lie below. lowest_edge_mm, lowest_edge_p95_mm: of the lowest edge only.
    face, at_mm, off_mm: (n,), (n, 3), (n,) the places measured. measured: share of the places.
    """

    patch: int
    with_sink: bool
    mean_mm: float
    p5_mm: float
    p95_mm: float
    highest_mm: float
    lowest_edge_mm: float
    lowest_edge_p95_mm: float
    measured: float
    face: IntArray
    at_mm: FloatArray
    off_mm: FloatArray


@dataclass(frozen=True, kw_only=True, eq=False)
class ScanComparison:
    """A scan laid on the part. face_mm: (n_faces,) mean deviation of each face, NaN where the scan has a hole.

    elsewhere_rms_mm: of the faces of no patch. difference: patches with a sink less those without, or None.
    """

    alignment: Alignment
    reach_mm: float
    face_mm: FloatArray
    elsewhere_rms_mm: float
    patches: tuple[PatchScan, ...]
    difference: Difference | None
    warnings: tuple[str, ...]


def compare_scan(
    scan: Part,
    part: Part,
    patches: tuple[Patch, ...],
    with_sink: frozenset[int],
    *,
    pairs: FloatArray | None = None,
    reach_mm: float = 3.0,
    goes_on: GoesOn = never_stop,
) -> ScanComparison:
    """Lay a scan on the part by everything but the patches' surroundings, and measure it.

    reach_mm: what lies further off isn't taken for the same surface. Raises Refusal when the scan doesn't fit, Stopped
    when goes_on says so.
    """
    if not 0.05 <= reach_mm <= 50:
        raise Refusal(f"A reach of {reach_mm:g} mm is out of range; set 0.05 to 50 mm.")
    tree = TriangleTree.of(part.corners_mm)
    left_out = _near_downskin(part, patches)
    notes = []
    if part.areas_mm2[~left_out].sum() < 0.1 * part.areas_mm2.sum():
        left_out = np.zeros(part.n_faces, dtype=bool)
        notes.append("Nearly all of the part is low-angle downskin, so dross there may pull the alignment.")
    alignment = align_scan(scan, part, tree, left_out, pairs, part_of(goes_on, 0.0, 0.6))
    face, places = _places(part)
    of = np.full(part.n_faces, -1)
    for k, patch in enumerate(patches):
        of[patch.faces] = k
    surface = TriangleTree.of(np.ascontiguousarray(alignment.motion(scan.corners_mm.reshape(-1, 3)).reshape(-1, 3, 3)))
    off = np.empty(len(places))
    for bite in in_bites(len(places), part_of(goes_on, 0.6, 0.98)):
        off[bite] = _deviation(surface, places[bite], part.normals[face[bite]], reach_mm)
    measured = np.isfinite(off)
    count = np.bincount(face[measured], minlength=part.n_faces)
    with np.errstate(invalid="ignore"):
        face_mm = np.bincount(face[measured], weights=off[measured], minlength=part.n_faces) / count
    order = np.argsort(of[face], kind="stable")
    ends = np.searchsorted(of[face][order], np.arange(len(patches) + 1))
    told = tuple(
        _patch_scan(patch, patch.id in with_sink, face[own], places[own], off[own])
        for k, patch in enumerate(patches)
        for own in [order[ends[k] : ends[k + 1]]]
    )
    groups = [[_by_height(p) for p in told if p.with_sink is kind] for kind in (True, False)]
    difference = compare_groups(groups[0], groups[1])
    elsewhere = face_mm[(of < 0) & np.isfinite(face_mm)]
    report(goes_on, 1.0)
    return ScanComparison(
        alignment=alignment,
        reach_mm=reach_mm,
        face_mm=face_mm,
        elsewhere_rms_mm=float(np.sqrt(np.mean(elsewhere**2))) if elsewhere.size else float("nan"),
        patches=told,
        difference=difference,
        warnings=(*alignment.warnings, *notes, *_warnings(told, float(measured.mean()), difference)),
    )


def _warnings(told: tuple[PatchScan, ...], measured: float, difference: Difference | None) -> list[str]:
    texts = []
    if measured < LEAST_MEASURED:
        texts.append(f"The scan covers only {measured:.0%} of the part's surface; the rest is not judged.")
    poor = [str(p.patch) for p in told if p.measured < LEAST_MEASURED]
    if poor:
        texts.append(f"The scan covers less than half of patch {', '.join(poor[:10])}.")
    if difference is None:
        texts.append("Patches with a sink can't be compared with others: the scan shows only one of the two kinds.")
    elif min(difference.patches) < 3:
        texts.append("With fewer than three patches of a kind the interval says nothing about other patches.")
    return texts


def _near_downskin(part: Part, patches: tuple[Patch, ...]) -> BoolArray:
    """(n_faces,) faces of the patches, and those whose middle lies within a millimetre of one."""
    near = np.zeros(part.n_faces, dtype=bool)
    if not patches:
        return near
    faces = np.concatenate([p.faces for p in patches])
    near[faces] = True
    others = np.flatnonzero(~near)
    if others.size:
        tree = TriangleTree.of(part.corners_mm[faces])
        near[others] = tree.within(part.corners_mm[others].mean(axis=1), -1.0, NEAR_DOWNSKIN_MM)
    return near


def _places(part: Part) -> tuple[IntArray, FloatArray]:
    """Face (n,) and place (n, 3) of what is measured: evenly over the area, the same each time.

    The middle first, then the R2 sequence (Roberts, The unreasonable effectiveness of quasirandom sequences, 2018).
    """
    share = part.areas_mm2 / max(float(part.areas_mm2.sum()), 1e-12)
    count = np.clip(np.ceil(share * SAMPLES), 1, MOST_ON_FACE).astype(np.int64)
    face = np.repeat(np.arange(part.n_faces), count)
    k = np.arange(len(face)) - np.repeat(np.cumsum(count) - count, count)
    u, v = (1 / 3 + k * 0.7548776662466927) % 1.0, (1 / 3 + k * 0.5698402909980532) % 1.0
    over = u + v > 1.0
    u, v = np.where(over, 1 - u, u), np.where(over, 1 - v, v)
    a, b, c = (part.corners_mm[face, i] for i in range(3))
    return face, a + u[:, None] * (b - a) + v[:, None] * (c - a)


def _deviation(surface: TriangleTree, places: FloatArray, normals: FloatArray, reach_mm: float) -> FloatArray:
    """(n,) signed distance to the scan, outward positive; NaN beyond reach or where the scan has a hole."""
    distance, _, nearest = surface.nearest(places)
    along = np.einsum("ij,ij->i", nearest - places, normals)
    seen = (np.abs(along) >= LEAST_COSINE * distance) | (distance < TOUCHING_MM)
    return np.where(seen & (distance <= reach_mm), np.where(along < 0, -distance, distance), np.nan)


def _patch_scan(patch: Patch, with_sink: bool, face: IntArray, at_mm: FloatArray, off_mm: FloatArray) -> PatchScan:
    known = np.isfinite(off_mm)
    seen = off_mm[known]
    edge = known & (at_mm[:, 2] <= patch.z_min_mm + max(EDGE_MM, EDGE_SHARE * (patch.z_max_mm - patch.z_min_mm)))
    low, high = np.quantile(seen, [0.05, 0.95]) if seen.size else (np.nan, np.nan)
    at_edge = off_mm[edge]
    return PatchScan(
        patch=patch.id,
        with_sink=with_sink,
        mean_mm=float(seen.mean()) if seen.size else np.nan,
        p5_mm=float(low),
        p95_mm=float(high),
        highest_mm=float(seen.max()) if seen.size else np.nan,
        lowest_edge_mm=float(at_edge.mean()) if at_edge.size else np.nan,
        lowest_edge_p95_mm=float(np.quantile(at_edge, 0.95)) if at_edge.size else np.nan,
        measured=float(known.mean()) if len(known) else 0.0,
        face=face,
        at_mm=at_mm,
        off_mm=off_mm,
    )


def _by_height(patch: PatchScan) -> FloatArray:
    """(n,) mean deviations of a patch's half-millimetre bands, from the lowest; of half-millimetre squares if flat."""
    known = np.isfinite(patch.off_mm)
    if not known.any():
        return np.zeros(0)
    at, off = patch.at_mm[known], patch.off_mm[known]
    height = np.floor((at[:, 2] - at[:, 2].min()) / BAND_MM).astype(np.int64)
    if height.max() == 0:
        plan = np.floor((at[:, :2] - at[:, :2].min(axis=0)) / BAND_MM).astype(np.int64)
        height = plan[:, 0] * (plan[:, 1].max() + 1) + plan[:, 1]
    _, band = np.unique(height, return_inverse=True)
    return np.asarray(np.bincount(band, weights=off) / np.bincount(band))
