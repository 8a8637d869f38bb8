"""Invented scans: the part's own surface with noise, dross and a known motion. Nothing here was ever scanned."""

from dataclasses import replace
from pathlib import Path

import numpy as np
from scipy.spatial.transform import Rotation

from core.part.part import Part
from core.part.patch import Patch
from core.trial.scan_align import Motion

ROOT = Path(__file__).parents[2]
BRACKET = ROOT / "sample_parts" / "sensor-bracket.stl"
SHROUD = ROOT / "sample_parts" / "impeller-shroud.stl"
TURN = Rotation.from_rotvec(np.radians(17.0) * np.array([1, 2, 3]) / np.sqrt(14))
SHIFT_MM = np.array([5.0, -3.0, 12.0])
TRUE = Motion(turn=TURN.inv().as_matrix(), shift_mm=-TURN.inv().apply(SHIFT_MM))
"""Brings the invented scans back onto the part."""


def scanned(part: Part, noise_mm: float, dross_mm: float = 0.0, patches: tuple[Patch, ...] = (), seed: int = 1) -> Part:
    """The part as a scanner might see it somewhere else. noise_mm: normal, each way. dross_mm: mean, hanging down."""
    random = np.random.default_rng(seed)
    vertices = part.vertices_mm + random.normal(0, noise_mm, part.vertices_mm.shape)
    if dross_mm:
        low = np.unique(part.triangles[np.concatenate([p.faces for p in patches])])
        vertices[low, 2] -= random.exponential(dross_mm, len(low))
    return replace(part, vertices_mm=TURN.apply(vertices) + SHIFT_MM)


def pairs_of(part: Part, error_mm: float = 0.3, n: int = 4) -> np.ndarray:
    """(n, 6) places picked by hand: far apart, but only roughly at the same place of both."""
    random = np.random.default_rng(2)
    far = [int(np.argmax(part.vertices_mm @ way)) for way in ([1, 0, 0], [-1, 0.3, 0], [0, 1, 1], [0, -1, -1])][:n]
    on_part = part.vertices_mm[far]
    return np.hstack([TURN.apply(on_part) + SHIFT_MM + random.normal(0, error_mm, (n, 3)), on_part])


def motion_error(found: Motion, part: Part) -> tuple[float, float]:
    """Degrees and mm (at the part's middle) by which a motion differs from the true one."""
    turn = Rotation.from_matrix(found.turn @ TRUE.turn.T).magnitude()
    middle = TURN.apply((part.low_mm + part.high_mm)[None] / 2) + SHIFT_MM
    return float(np.degrees(turn)), float(np.linalg.norm(found(middle) - TRUE(middle)))
