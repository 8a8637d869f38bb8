"""The gap of every low-angle face to the nearest sink, as a map for the part and as numbers for each patch."""

from dataclasses import dataclass

import numpy as np

from core.gap.gap_measure import gap_per_face_mm, sample_faces
from core.part.part import Part
from core.part.patch import Patch
from core.part.triangle_tree import TriangleTree
from core.progress import GoesOn, never_stop
from core.units import FloatArray, IntArray

NEAR_GAPS = 3.0
"""A face farther than so many gaps from every sink counts as one without a sink."""
COVERED_GAPS = 1.5
PLACES = 4_000


@dataclass(frozen=True, kw_only=True, eq=False)
class FaceGaps:
    """distance_mm: (n_faces,) exact least distance of a face to the nearest sink.

    It is NaN for faces that were not asked for, and infinite for those without a sink within within_mm.
    """

    distance_mm: FloatArray
    within_mm: float


def face_gaps(
    part: Part, faces: IntArray, sinks_mm: FloatArray, gap_mm: float, goes_on: GoesOn = never_stop
) -> FaceGaps:
    """Measure faces (n,) against the triangles of all sinks (m, 3, 3), built for gaps up to this. Raises Stopped."""
    within_mm = NEAR_GAPS * gap_mm
    found = gap_per_face_mm(part, faces, sinks_mm, within_mm, goes_on)
    distance = np.full(part.n_faces, np.nan)
    distance[faces] = np.where(found < within_mm, found, np.inf)
    return FaceGaps(distance_mm=distance, within_mm=within_mm)


@dataclass(frozen=True, kw_only=True)
class PatchGap:
    """The gap under one patch. Places count by area and are covered when a sink lies within 1.5 gaps.

    least_mm is exact over all its faces, triangle against triangle; the others are of the covered places and NaN
    without any. widest_mm is mostly that at the rim, where the sink ends.
    """

    patch: int
    least_mm: float
    median_mm: float
    p99_mm: float
    widest_mm: float
    covered_share: float


def patch_gap(part: Part, patch: Patch, sinks: TriangleTree, gap_mm: float) -> PatchGap:
    """Measure the gap between a patch and the triangles of all sinks."""
    distance, _, _ = sinks.nearest(sample_faces(part, patch.faces, PLACES))
    covered = distance[distance <= COVERED_GAPS * gap_mm]
    median, p99, widest = np.percentile(covered, [50, 99, 100]) if covered.size else (np.nan,) * 3
    least, _, _ = sinks.distance_to(part.corners_mm[patch.faces], float(distance.min()) + 1e-9)
    return PatchGap(
        patch=patch.id,
        least_mm=least,
        median_mm=float(median),
        p99_mm=float(p99),
        widest_mm=float(widest),
        covered_share=covered.size / PLACES,
    )
