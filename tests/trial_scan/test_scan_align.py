"""Alignment of invented scans: a known motion is found to 0.01 mm and 0.01°, with noise and with dross."""

import time
from dataclasses import replace

import numpy as np
import pytest
import trimesh
from scipy.spatial.transform import Rotation

from core.part.downskin import find_patches
from core.part.part import Part
from core.part.triangle_tree import TriangleTree
from core.refusal import Refusal
from core.trial.scan_align import Motion, align_scan, motion_of_pairs
from core.trial.scan_compare import compare_scan
from tests.trial_scan.invented import SHIFT_MM, TURN, motion_error, pairs_of, scanned


@pytest.mark.parametrize("noise_mm", [0.01, 0.02])
@pytest.mark.parametrize("dross_mm", [0.0, 0.25])
@pytest.mark.parametrize("by_pairs", [True, False])
def test_a_known_motion_of_the_bracket(bracket: Part, noise_mm: float, dross_mm: float, by_pairs: bool) -> None:
    patches = find_patches(bracket, 45.0, 0.04)
    scan = scanned(bracket, noise_mm, dross_mm, patches)
    found = compare_scan(scan, bracket, patches, frozenset(), pairs=pairs_of(bracket) if by_pairs else None)
    angle_deg, shift_mm = motion_error(found.alignment.motion, bracket)
    assert angle_deg < 0.01 and shift_mm < 0.01
    assert not any("another position" in text for text in found.warnings)


@pytest.mark.slow
@pytest.mark.parametrize("dross_mm", [0.0, 0.25])
@pytest.mark.parametrize("by_pairs", [True, False])
def test_a_known_motion_of_194_thousand_triangles(shroud: Part, dross_mm: float, by_pairs: bool) -> None:
    """The shroud looks the same after a seventh of a turn, which no surface can tell; without pairs that is said."""
    patches = find_patches(shroud, 45.0, 0.04)
    scan = scanned(shroud, 0.015, dross_mm, patches)
    left_out = np.zeros(shroud.n_faces, dtype=bool)
    left_out[np.concatenate([p.faces for p in patches])] = True
    tree = TriangleTree.of(shroud.corners_mm)
    start = time.process_time()
    found = align_scan(scan, shroud, tree, left_out, pairs_of(shroud) if by_pairs else None)
    assert time.process_time() - start < 20  # 10 s on each of 2 cores; 1 to 5 s measured
    turned = Rotation.from_matrix(found.motion.turn)
    sevenths = [Rotation.from_rotvec([0, 0, 2 * np.pi * k / 7]) for k in range(1 if by_pairs else 7)]
    middle = (shroud.low_mm + shroud.high_mm) / 2
    axis = np.array([middle[0], middle[1], 0.0])
    errors = []
    for turn in sevenths:
        same = Motion(
            turn=(turn * turned).as_matrix(), shift_mm=turn.apply(found.motion.shift_mm - axis) + axis
        )
        errors.append(motion_error(same, shroud))
    angle_deg, shift_mm = min(errors)
    assert angle_deg < 0.01 and shift_mm < 0.01
    assert any("another position" in text for text in found.warnings) is not by_pairs


def test_downskin_that_swelled_pulls_the_fit_only_if_it_is_used(bracket: Part) -> None:
    """Fifty micrometres on the patches are too little to be trimmed; left out they move nothing. An invented scan."""
    patches = find_patches(bracket, 45.0, 0.04)
    left_out = np.zeros(bracket.n_faces, dtype=bool)
    left_out[np.concatenate([p.faces for p in patches])] = True
    vertices, faces, origin = trimesh.remesh.subdivide_to_size(
        bracket.vertices_mm, bracket.triangles, 2.0, max_iter=12, return_index=True
    )
    low = np.unique(faces[left_out[origin]])
    noise = np.random.default_rng(4).normal(0, 0.02, vertices.shape)
    swollen = vertices + noise
    swollen[low, 2] -= 0.05
    tree = TriangleTree.of(bracket.corners_mm)
    moved = {}
    for name, without in (("left out", left_out), ("used", np.zeros_like(left_out))):
        ends = []
        for points in (vertices + noise, swollen):
            scan = replace(bracket, vertices_mm=TURN.apply(points) + SHIFT_MM, triangles=faces.astype(np.int32))
            ends.append(align_scan(scan, bracket, tree, without).motion(scan.vertices_mm[:1000]))
        moved[name] = float(np.abs(ends[1] - ends[0]).max())
    assert moved["left out"] < 0.0005
    assert moved["used"] > 4 * moved["left out"]


def test_half_a_scan_is_laid_on_the_part(bracket: Part) -> None:
    """A scanner sees one side only; pairs tell roughly where."""
    scan = scanned(bracket, 0.01)
    seen = bracket.corners_mm.mean(axis=1)[:, 0] > (bracket.low_mm[0] + bracket.high_mm[0]) / 2
    half = replace(scan, triangles=scan.triangles[seen])
    tree = TriangleTree.of(bracket.corners_mm)
    found = align_scan(half, bracket, tree, np.zeros(bracket.n_faces, dtype=bool), pairs_of(bracket))
    angle_deg, shift_mm = motion_error(found.motion, bracket)
    assert angle_deg < 0.01 and shift_mm < 0.01


def test_pairs_without_error_give_the_motion_that_scipy_gives() -> None:
    random = np.random.default_rng(3)
    one, two = random.normal(0, 30, (6, 3)), random.normal(0, 30, (6, 3))
    motion, rms = motion_of_pairs(np.hstack([one, two]))
    theirs, distance = Rotation.align_vectors(two - two.mean(axis=0), one - one.mean(axis=0))
    assert np.abs(motion.turn - theirs.as_matrix()).max() < 1e-9
    assert rms == pytest.approx(distance / np.sqrt(6))
    assert np.linalg.det(motion.turn) == pytest.approx(1)  # never a mirror


def test_what_cannot_be_laid_on_the_part(bracket: Part) -> None:
    tree = TriangleTree.of(bracket.corners_mm)
    none = np.zeros(bracket.n_faces, dtype=bool)
    with pytest.raises(Refusal, match="at least 3"):
        motion_of_pairs(np.zeros((2, 6)))
    line = np.outer(np.arange(4.0), np.ones(6))
    with pytest.raises(Refusal, match="one line"):
        motion_of_pairs(line)
    inches = replace(bracket, vertices_mm=bracket.vertices_mm / 25.4)
    with pytest.raises(Refusal, match="unit"):
        align_scan(inches, bracket, tree, none)
