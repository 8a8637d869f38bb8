"""Lay a scanned surface on the part: coarsely by point pairs or principal axes, then by point to plane."""

from dataclasses import dataclass

import numpy as np

from core.part.part import Part
from core.part.triangle_tree import TriangleTree
from core.progress import GoesOn, never_stop, report
from core.refusal import Refusal
from core.units import BoolArray, FloatArray, IntArray

COLUMNS = ("scan_x_mm", "scan_y_mm", "scan_z_mm", "part_x_mm", "part_y_mm", "part_z_mm")
LEAST_PAIRS = 3
MOST_POINTS, COARSE_POINTS, GUESS_POINTS = 20_000, 2_000, 400
MOST_ROUNDS, COARSE_ROUNDS, GUESS_ROUNDS = 60, 25, 8
STILL_MM = 1e-6
"""A round that moves no point further than this is the last."""
TRIM = 3.0
"""Robust standard deviations beyond which a point is left out."""
LOOSE, LESS_LOOSE = 0.1, 0.003
"""Share of the part's size that is allowed in the first round of a rough place and of a better one; then halved."""
MAD_TO_SIGMA = 1.4826
LEAST_COSINE = 0.5
"""Scan and part must face the same way within 60 degrees."""
MOST_RIVALS = 5
ALIKE = 1.25
"""A second way to lie on the part that fits within this ratio is said."""
LEAST_SIZE, MOST_SIZE = 0.1, 4.0
"""Of a scan against the part, by the diagonals of their boxes; it may hold one side only, or the plate too."""
NEARLY_EQUAL = 0.03
"""Principal moments nearer than this leave the turn about the third axis open."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Motion:
    """A rigid motion, x -> turn @ x + shift_mm."""

    turn: FloatArray
    shift_mm: FloatArray

    def __call__(self, points_mm: FloatArray) -> FloatArray:
        return np.asarray(points_mm @ self.turn.T + self.shift_mm)

    def then(self, after: "Motion") -> "Motion":
        return Motion(turn=after.turn @ self.turn, shift_mm=after.turn @ self.shift_mm + after.shift_mm)

    @property
    def angle_deg(self) -> float:
        """How far it turns."""
        skew = self.turn - self.turn.T
        sine = 0.5 * np.sqrt((skew**2).sum() / 2)
        return float(np.degrees(np.arctan2(sine, (np.trace(self.turn) - 1) / 2)))


STAY = Motion(turn=np.eye(3), shift_mm=np.zeros(3))


@dataclass(frozen=True, kw_only=True, eq=False)
class Alignment:
    """How the scan was laid on the part. rms_mm: of the points used, a share of those looked at.

    pairs_rms_mm: how far the point pairs miss by themselves, or None without any.
    """

    motion: Motion
    rms_mm: float
    used_share: float
    rounds: int
    pairs_rms_mm: float | None
    warnings: tuple[str, ...] = ()


def align_scan(scan: Part, part: Part, tree: TriangleTree, left_out: BoolArray, pairs: FloatArray | None = None,
               goes_on: GoesOn = never_stop) -> Alignment:  # fmt: skip
    """The motion of a scan onto the part. tree: of the part's triangles.

    left_out: (n_faces,) faces of the part the fit must not follow, such as downskin with dross.
    pairs: (n, 6) places on the scan and on the part, at least three; None finds the place by the principal axes.
    Raises Refusal when the scan can't be laid on the part.
    """
    sizes = [float(np.linalg.norm(mesh.size_mm)) for mesh in (scan, part)]
    if not LEAST_SIZE * sizes[1] <= sizes[0] <= MOST_SIZE * sizes[1]:
        raise Refusal(f"The scan is {sizes[0]:.3g} mm large, the part {sizes[1]:.3g} mm; check the scan's unit.")
    points, normals = _points_of(scan)
    notes: list[str] = []
    pairs_rms = None
    if pairs is not None:
        start, pairs_rms = motion_of_pairs(pairs)
        starts = [start]
    else:
        starts = [STAY, *_axes_starts(scan, part)]
    ranked = []
    few = _Fit(points, normals, part, tree, left_out, GUESS_POINTS)
    for k, start in enumerate(starts):
        report(goes_on, 0.4 * k / len(starts))
        tried = few.improve(start, GUESS_ROUNDS, LOOSE) if len(starts) > 1 else start
        ranked.append((few.miss_mm(tried), tried))
    ranked.sort(key=lambda pair: pair[0])
    coarse = _Fit(points, normals, part, tree, left_out, COARSE_POINTS)
    if len(ranked) == 1:
        best = coarse.improve(ranked[0][1], COARSE_ROUNDS, LOOSE)
    else:
        different = _different([motion for _, motion in ranked], part)
        rivals = [coarse.improve(motion, COARSE_ROUNDS, LESS_LOOSE) for motion in different]
        misses = [coarse.miss_mm(motion) for motion in rivals]
        alike = [m for m, miss in zip(rivals, misses, strict=True) if miss < ALIKE * min(misses) + 1e-4]
        best = min(alike, key=lambda motion: motion.angle_deg)
        if len(_different(alike, part)) > 1:
            notes.append("The part looks nearly the same in another position; give --pairs to be sure which it is.")
    report(goes_on, 0.6)
    fine = _Fit(points, normals, part, tree, left_out, MOST_POINTS)
    motion = fine.improve(best, MOST_ROUNDS)
    report(goes_on, 1.0)
    if fine.rms_mm > 0.02 * float(part.size_mm.max()):
        raise Refusal(f"The scan doesn't fit the part (RMS {fine.rms_mm:.2f} mm); check its unit, or give --pairs.")
    if not fine.still:
        notes.append("The alignment was still moving at its last round; give --pairs and compare.")
    return Alignment(motion=motion, rms_mm=fine.rms_mm, used_share=fine.used_share, rounds=fine.rounds,
                     pairs_rms_mm=pairs_rms, warnings=tuple(notes))  # fmt: skip


def motion_of_pairs(pairs: FloatArray) -> tuple[Motion, float]:
    """The rigid motion that best brings places (n, 0:3) onto places (n, 3:6), and its RMS error.

    By singular value decomposition (Kabsch, 1976; Umeyama, 1991). Raises Refusal for too few pairs or pairs on a line.
    """
    if len(pairs) < LEAST_PAIRS:
        raise Refusal(f"{len(pairs)} point pairs can't lay the scan on the part; give at least {LEAST_PAIRS}.")
    one, two = pairs[:, :3], pairs[:, 3:]
    for points, where in ((one, "scan"), (two, "part")):
        spread = np.linalg.svd(points - points.mean(axis=0), compute_uv=False)
        if spread[1] < 0.02 * max(spread[0], 1e-9):
            raise Refusal(f"The point pairs lie on one line of the {where}; choose points far apart in two directions.")
    u, _, vt = np.linalg.svd((one - one.mean(axis=0)).T @ (two - two.mean(axis=0)))
    flip = np.diag([1.0, 1.0, np.sign(np.linalg.det(vt.T @ u.T))])
    turn = vt.T @ flip @ u.T
    motion = Motion(turn=turn, shift_mm=two.mean(axis=0) - turn @ one.mean(axis=0))
    return motion, float(np.sqrt(np.mean(np.sum((motion(one) - two) ** 2, axis=1))))


def _points_of(scan: Part) -> tuple[FloatArray, FloatArray]:
    """Middles of the scan's triangles (n, 3), which are less noisy than corners, and their normals (n, 3)."""
    solid = scan.areas_mm2 > 0
    return scan.corners_mm[solid].mean(axis=1), scan.normals[solid]


def _different(motions: list[Motion], part: Part) -> list[Motion]:
    """The first few motions that take the part to different positions."""
    middle, size = (part.low_mm + part.high_mm) / 2, float(part.size_mm.max())
    found: list[Motion] = []
    for motion in motions:
        if len(found) < MOST_RIVALS and all(_apart(motion, m, middle, size) > 0.02 * size for m in found):
            found.append(motion)
    return found


def _apart(one: Motion, two: Motion, middle: FloatArray, size: float) -> float:
    """How far two motions take places of the part apart, mm."""
    places = middle + size / 2 * np.vstack([np.eye(3), -np.eye(3)])
    back = (places - one.shift_mm) @ one.turn  # where one brings from
    return float(np.linalg.norm(two(back) - places, axis=1).max())


def _moments(mesh: Part) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Middle (3,), principal moments (3,) and axes (3, 3 columns) of the surface, by area."""
    middles, weight = mesh.corners_mm.mean(axis=1), mesh.areas_mm2
    middle = np.average(middles, axis=0, weights=weight)
    # exact for triangles: a twelfth of the corners' own and nine twelfths of the middle's second moment
    corners = mesh.corners_mm - middle
    own = np.einsum("n,nki,nkj->ij", weight / 12, corners, corners)
    whole = own + np.einsum("n,ni,nj->ij", weight * 9 / 12, middles - middle, middles - middle)
    moments, axes = np.linalg.eigh(whole / weight.sum())
    return middle, moments, axes


def _axes_starts(scan: Part, part: Part) -> list[Motion]:
    """Motions that lay principal axes on principal axes, all ways round; turns in steps where two are alike."""
    from_middle, _, from_axes = _moments(scan)
    to_middle, moments, to_axes = _moments(part)
    ways: list[FloatArray] = []
    for signs in ((1, 1, 1), (1, -1, -1), (-1, 1, -1), (-1, -1, 1)):
        turn: FloatArray = to_axes @ np.diag(signs) @ from_axes.T
        ways.append(turn if np.linalg.det(turn) > 0 else to_axes @ np.diag(signs) @ -np.eye(3) @ from_axes.T)
    alike = [k for k in range(2) if moments[k + 1] - moments[k] < NEARLY_EQUAL * moments[2]]
    if len(alike) == 1:
        axis = to_axes[:, 2 if alike[0] == 0 else 0]
        ways = [_about(axis, angle) @ way for way in ways for angle in np.radians(np.arange(0, 360, 15))]
    elif len(alike) == 2:  # as for a cube: all its turns, and halfway between
        axes = [np.eye(3)[k] for k in range(3)]
        steps = [_about(a, t) for a in axes for t in np.radians(np.arange(0, 360, 45))]
        ways = [one @ two @ ways[0] for one in steps for two in steps[:8]]
    return [Motion(turn=way, shift_mm=to_middle - way @ from_middle) for way in ways]


def _about(axis: FloatArray, angle: float) -> FloatArray:
    """(3, 3) turn about a unit axis (Rodrigues)."""
    x, y, z = axis
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0.0]])
    return np.asarray(np.eye(3) + np.sin(angle) * cross + (1 - np.cos(angle)) * cross @ cross)


class _Fit:
    """Point to plane with robust trimming (Chen and Medioni, 1992), on evenly chosen points of the scan."""

    def __init__(self, points: FloatArray, normals: FloatArray, part: Part, tree: TriangleTree, left_out: BoolArray,
                 most: int) -> None:  # fmt: skip
        chosen = _spread_out(points, most)
        self._points, self._normals = points[chosen], normals[chosen]
        self._part, self._tree, self._left_out = part, tree, left_out
        self.rms_mm, self.used_share, self.rounds, self.still = np.inf, 0.0, 0, False

    def _pairs(self, motion: Motion) -> tuple[FloatArray, FloatArray, FloatArray, IntArray]:
        moved = motion(self._points)
        _, face, nearest = self._tree.nearest(moved)
        plane = self._part.normals[face]
        facing = np.einsum("ij,ij->i", self._normals @ motion.turn.T, plane) > LEAST_COSINE
        usable = np.flatnonzero(facing & ~self._left_out[face])
        return moved, nearest, plane, usable

    def miss_mm(self, motion: Motion) -> float:
        """Mean distance of the nearest four fifths of the points, those that face away counted as far."""
        moved, nearest, _, usable = self._pairs(motion)
        size = float(self._part.size_mm.max())
        miss = np.full(len(moved), 0.1 * size)
        miss[usable] = np.minimum(np.linalg.norm(moved[usable] - nearest[usable], axis=1), 0.1 * size)
        face_down = self._left_out[self._tree.nearest(moved)[1]]
        counted = np.sort(miss[~face_down]) if (~face_down).any() else miss
        return float(counted[: max(1, len(counted) * 4 // 5)].mean())

    def improve(self, motion: Motion, rounds: int, loose: float = 0.0) -> Motion:
        """Go on until nothing moves. loose: share of the part's size allowed in the first round.

        Raises Refusal when too little of the scan faces the part.
        """
        size = float(self._part.size_mm.max())
        self.still = False
        for self.rounds in range(1, rounds + 1):
            moved, nearest, plane, usable = self._pairs(motion)
            if usable.size < 12:
                if rounds == GUESS_ROUNDS:
                    return motion
                raise Refusal("Too little of the scan lies near surfaces of the part; check the unit, or give --pairs.")
            off = np.einsum("ij,ij->i", moved[usable] - nearest[usable], plane[usable])
            spread = MAD_TO_SIGMA * float(np.median(np.abs(off - np.median(off))))
            # at first nearly all count: on a part of revolution only few points tell how it is turned
            allowed = max(TRIM * spread, loose * size * 0.5**self.rounds, 1e-9)
            keep = usable[np.abs(off - np.median(off)) <= allowed]
            middle = moved[keep].mean(axis=0)
            arm = (moved[keep] - middle) / size
            off = np.einsum("ij,ij->i", moved[keep] - nearest[keep], plane[keep])
            rows = np.hstack([np.cross(arm, plane[keep]), plane[keep]])
            step = np.linalg.lstsq(rows, -off, rcond=1e-9)[0]
            angle = float(np.linalg.norm(step[:3])) / size
            turn = _about(step[:3] / (angle * size), angle) if angle > 0 else np.eye(3)
            motion = motion.then(Motion(turn=turn, shift_mm=middle + step[3:] - turn @ middle))
            self.rms_mm = float(np.sqrt(np.mean(off**2)))
            self.used_share = len(keep) / len(moved)
            if np.linalg.norm(step[3:]) + angle * size < STILL_MM and allowed <= TRIM * spread + 1e-9:
                self.still = True
                break
        return motion


def _spread_out(points: FloatArray, most: int) -> IntArray:
    """Numbers of at most so many points, spread over the surface: one of every cell of a grid, then every n-th."""
    if len(points) <= most:
        return np.arange(len(points))
    low, size = points.min(axis=0), float(np.ptp(points, axis=0).max())
    cells = max(2, int(np.sqrt(most / 2)))
    key = np.minimum((points - low) / max(size, 1e-9) * cells, cells - 1).astype(np.int64)
    _, first = np.unique((key[:, 0] * cells + key[:, 1]) * cells + key[:, 2], return_index=True)
    rest = np.linspace(0, len(points) - 1, max(most - min(len(first), most), 0)).astype(np.int64)
    first = first[np.linspace(0, len(first) - 1, min(len(first), most)).astype(np.int64)]
    return np.unique(np.concatenate([first, rest]))
