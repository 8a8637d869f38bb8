"""How far a patch reaches from where the part carries it, how thick it is there, and what a sink gains its tip."""

from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from core.gap.gap_measure import sample_faces
from core.heat.column_1d import column_facts
from core.heat.estimate import Estimate
from core.heat.estimate_notes import LEDGE_M, ledge_length_mm
from core.heat.ledge_fin import ledge_length_scale_m, ledge_tip_rise_k
from core.job import Job
from core.part.face_neighbours import face_neighbours
from core.part.part import Part, face_mask
from core.part.patch import Patch
from core.part.triangle_tree import TriangleTree
from core.units import FloatArray, m_from_mm

SAMPLES = 2000
ROOT_STEP_MM = 0.5
LEVEL = 1e-3
"""Least fall in mm per mm across an edge that counts as going down."""


@dataclass(frozen=True, kw_only=True)
class Ledge:
    """length_mm: greatest way in plan to the part that carries it. thickness_mm: of the metal above, at most 1 mm."""

    length_mm: float
    thickness_mm: float


@dataclass(frozen=True, kw_only=True)
class FinGain:
    """share: by which the tip's rise falls with the sink, 0 to 1. length_scale_mm: l = sqrt(k t / h) with it."""

    share: float
    length_scale_mm: float


def ledge_of(part: Part, tree: TriangleTree, patch: Patch) -> Ledge:
    """Measured on the part; tree: of the part's triangles.

    While it is built a ledge is never thicker than what stands above it; 1 mm is taken for thicker ones, as in the
    notes of the estimate. Where nothing below carries the patch, its run or the side of its square stands in.
    """
    points = sample_faces(part, patch.faces, SAMPLES)
    top_mm = tree.first_above(points + np.array([0.0, 0.0, 1e-3]))[0] - points[:, 2]
    thickness_mm = min(float(np.median(top_mm)), LEDGE_M * 1e3)
    roots = _roots_mm(part, patch)
    if not len(roots):
        return Ledge(length_mm=ledge_length_mm(patch), thickness_mm=thickness_mm)
    corners = part.corners_mm[patch.faces].reshape(-1, 3)
    away = cKDTree(_along(roots)[:, :2]).query(np.concatenate([points, corners])[:, :2])[0]
    return Ledge(length_mm=float(away.max()), thickness_mm=thickness_mm)


def fin_gain(ledge: Ledge, estimate: Estimate, job: Job) -> FinGain:
    """The ledge as a fin whose root keeps its temperature: over the gap with a sink, over powder to the plate without.

    theta = (q/h)(1 - 1/cosh(L/l)); Incropera 3.6. The estimate holds both conductances.
    """
    facts = column_facts(job.metal, job.laser, job.powder, job.rise_allowed_k)
    h_with = estimate.conductance_w_m2k.nominal
    h_without = min(1.0 / estimate.resistance_without_m2k_w.nominal, h_with)
    with_m, without_m = (
        ledge_length_scale_m(facts.metal_w_mk, m_from_mm(ledge.thickness_mm), h) for h in (h_with, h_without)
    )
    length_m = m_from_mm(max(ledge.length_mm, 1e-3))
    flux = facts.flux_w_m2.nominal
    rises = [ledge_tip_rise_k(flux, h, min(length_m, 50 * scale), scale)
             for h, scale in ((h_with, with_m), (h_without, without_m))]  # fmt: skip
    return FinGain(share=max(1.0 - rises[0] / rises[1], 0.0), length_scale_mm=with_m * 1e3)


def _roots_mm(part: Part, patch: Patch) -> FloatArray:
    """(n, 2, 3) edges of the patch's outline beyond which the part goes down."""
    across = face_neighbours(part).across[patch.faces]
    inside = face_mask(part.n_faces, patch.faces)
    row, corner = np.nonzero((across >= 0) & ~inside[np.maximum(across, 0)])
    face, beside = patch.faces[row], across[row, corner]
    a, b = part.triangles[face, corner], part.triangles[face, (corner + 1) % 3]
    third = part.triangles[beside].sum(axis=1) - a - b
    points = part.vertices_mm
    edge, away = points[b] - points[a], points[third] - points[a]
    length2 = np.maximum(np.einsum("ij,ij->i", edge, edge), 1e-30)
    away = away - edge * (np.einsum("ij,ij->i", away, edge) / length2)[:, None]
    far = np.linalg.norm(away, axis=1)
    down = away[:, 2] < -LEVEL * np.maximum(far, 1e-12)
    return np.stack([points[a[down]], points[b[down]]], axis=1)


def _along(edges_mm: FloatArray) -> FloatArray:
    """(m, 3) places along edges (n, 2, 3), half a millimetre apart or nearer."""
    n = np.ceil(np.linalg.norm(edges_mm[:, 1] - edges_mm[:, 0], axis=1) / ROOT_STEP_MM).astype(np.int64) + 1
    which = np.repeat(np.arange(len(edges_mm)), n)
    step = np.arange(len(which)) - np.repeat(np.cumsum(n) - n, n)
    share = (step / np.maximum(n[which] - 1, 1))[:, None]
    return np.asarray(edges_mm[which, 0] * (1 - share) + edges_mm[which, 1] * share)
