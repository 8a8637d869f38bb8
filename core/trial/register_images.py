"""Where an image lies on the plate: an affine map or a homography from point pairs, with its errors.

Pixels are (column, row), the middle of the first pixel at (0, 0), rows downwards; the plate is (x, y) in mm.
"""

from dataclasses import dataclass

import numpy as np

from core.refusal import Refusal
from core.units import FloatArray

COLUMNS = ("column_px", "row_px", "x_mm", "y_mm")
LEAST_PAIRS = 4
ENOUGH_TO_CHOOSE = 6
"""Below this a homography, which has eight numbers, leaves too little to judge it by."""
CLEARLY_BETTER = 0.7
MOST_RMS_PX, MOST_RMS_MM = 1.0, 0.1
"""Common practice, no source."""
THINNEST = 0.02
"""Least ratio of the narrow to the wide spread of the points; below it they are as good as on one line."""


@dataclass(frozen=True, kw_only=True, eq=False)
class ImagePlace:
    """to_mm: (3, 3) from pixels to the plate in homogeneous coordinates.

    kind: 'homography', 'affine' or 'similarity'. error_px, error_mm: (n,) of every pair.
    mirrored: as seen from below or through a mirror. turned_deg: of the image's columns from the X axis.
    """

    kind: str
    to_mm: FloatArray
    error_px: FloatArray
    error_mm: FloatArray
    middle_px: FloatArray
    warnings: tuple[str, ...] = ()

    @property
    def rms_px(self) -> float:
        return float(np.sqrt(np.mean(self.error_px**2)))

    @property
    def rms_mm(self) -> float:
        return float(np.sqrt(np.mean(self.error_mm**2)))

    @property
    def to_px(self) -> FloatArray:
        """(3, 3) from the plate to pixels."""
        return np.asarray(np.linalg.inv(self.to_mm))

    @property
    def stretch(self) -> FloatArray:
        """(2, 2) mm per pixel at the middle of the points: along columns and rows."""
        step = 0.5
        ends = self.middle_px + step * np.array([[1, 0], [-1, 0], [0, 1], [0, -1]])
        x, back, y, up = mapped(self.to_mm, ends)
        return np.stack([x - back, y - up], axis=1) / (2 * step)

    @property
    def mirrored(self) -> bool:
        return bool(np.linalg.det(self.stretch) > 0)  # rows run downwards, y upwards

    @property
    def turned_deg(self) -> float:
        x, y = self.stretch[:, 0]
        return float(np.degrees(np.arctan2(y, x)))

    @property
    def mm_per_px(self) -> tuple[float, float]:
        """Along columns and along rows."""
        along = np.linalg.norm(self.stretch, axis=0)
        return float(along[0]), float(along[1])


def mapped(matrix: FloatArray, points: FloatArray) -> FloatArray:
    """Points (n, 2) through a (3, 3) map."""
    all_three = points @ matrix[:, :2].T + matrix[:, 2]
    return np.asarray(all_three[:, :2] / all_three[:, 2:])


def register(pixels: FloatArray, plate_mm: FloatArray, kind: str = "auto", *, marks: bool = False) -> ImagePlace:
    """The place of images from at least four pairs of pixels (n, 2) and plate (n, 2); from two marks of a coupon.

    kind: 'affine', 'homography', or 'auto', which takes the homography where at least six pairs say, left out one at
    a time, that it tells the others' places clearly better. Marks (two or three) give shift, turn and one scale only.
    Raises Refusal for too few points, points on one line, or twice the same point.
    """
    n = len(pixels)
    if n < LEAST_PAIRS and not (marks and n >= 2):
        raise Refusal(f"{n} point pairs can't place the images; give at least {LEAST_PAIRS}, better 9, or two marks.")
    for points, where in ((pixels, "in the image"), (plate_mm, "on the plate")):
        _check_spread(points, where, on_line_allowed=n < LEAST_PAIRS)
    notes = []
    if n < LEAST_PAIRS:
        chosen = "similarity"
        notes.append("Two or three marks fix shift, turn and scale only: a slanted or mirrored view isn't noticed.")
    else:
        chosen = _better(pixels, plate_mm) if kind == "auto" else kind
    to_mm = FITS[chosen](pixels, plate_mm)
    if not np.isfinite(to_mm).all() or np.linalg.matrix_rank(to_mm) < 3:
        raise Refusal("The point pairs give no map; check them for mistakes.")
    if chosen == "homography":
        _check_horizon(to_mm, pixels)
    place = ImagePlace(
        kind=chosen,
        to_mm=to_mm,
        error_px=np.linalg.norm(mapped(np.linalg.inv(to_mm), plate_mm) - pixels, axis=1),
        error_mm=np.linalg.norm(mapped(to_mm, pixels) - plate_mm, axis=1),
        middle_px=pixels.mean(axis=0),
    )
    if place.rms_px > MOST_RMS_PX or place.rms_mm > MOST_RMS_MM:
        worst = int(np.argmax(place.error_mm))
        notes.append(
            f"The point pairs miss by {place.rms_px:.2f} px or {place.rms_mm:.3f} mm (RMS), more than "
            f"{MOST_RMS_PX:g} px or {MOST_RMS_MM:g} mm; pair {worst + 1} misses most ({place.error_mm[worst]:.3f} mm)."
        )
    return ImagePlace(**{**vars(place), "warnings": tuple(notes)})


def _check_spread(points: FloatArray, where: str, *, on_line_allowed: bool) -> None:
    apart = np.linalg.norm(points[:, None] - points[None], axis=2) + np.eye(len(points)) * 1e9
    size = float(np.ptp(points, axis=0).max())
    if apart.min() <= 1e-4 * max(size, 1e-9):
        i, j = sorted(int(k) for k in np.unravel_index(np.argmin(apart), apart.shape))
        raise Refusal(f"Point pairs {i + 1} and {j + 1} are at the same place {where}; each needs a place of its own.")
    spread = np.linalg.svd(points - points.mean(axis=0), compute_uv=False)
    if not on_line_allowed and spread[1] < THINNEST * spread[0]:
        raise Refusal(f"The point pairs lie on one line {where}; choose points spread over the plate.")


def _check_horizon(to_mm: FloatArray, pixels: FloatArray) -> None:
    """The plate is in front of the camera: the divisor must not change its sign among the points."""
    divisor = pixels @ to_mm[2, :2] + to_mm[2, 2]
    if divisor.min() * divisor.max() <= 0:
        raise Refusal("The point pairs turn the plate inside out; two of them are swapped, or a value is wrong.")


def _affine(pixels: FloatArray, plate_mm: FloatArray) -> FloatArray:
    to_unit, from_mm = _unit(pixels), _unit(plate_mm)
    known = np.column_stack([mapped(to_unit, pixels), np.ones(len(pixels))])
    two = np.linalg.lstsq(known, mapped(from_mm, plate_mm), rcond=None)[0].T
    return np.asarray(np.linalg.inv(from_mm) @ np.vstack([two, [0.0, 0.0, 1.0]]) @ to_unit)


def _similarity(pixels: FloatArray, plate_mm: FloatArray) -> FloatArray:
    """Shift, turn and scale by complex numbers; the image seen from above, so rows are turned over."""
    p = pixels[:, 0] - 1j * pixels[:, 1]
    q = plate_mm[:, 0] + 1j * plate_mm[:, 1]
    a = np.vdot(p - p.mean(), q - q.mean()) / np.vdot(p - p.mean(), p - p.mean())
    b = q.mean() - a * p.mean()
    return np.array([[a.real, a.imag, b.real], [a.imag, -a.real, b.imag], [0.0, 0.0, 1.0]])


def _homography(pixels: FloatArray, plate_mm: FloatArray) -> FloatArray:
    """Direct linear transformation on normalised points (Hartley, In defense of the eight-point algorithm, 1997)."""
    to_unit, from_mm = _unit(pixels), _unit(plate_mm)
    u, v = mapped(to_unit, pixels).T
    x, y = mapped(from_mm, plate_mm).T
    one, none = np.ones_like(u), np.zeros((3, len(u)))
    p = np.stack([u, v, one])
    rows = np.concatenate([np.vstack([p, none, -x * p]).T, np.vstack([none, p, -y * p]).T])
    h = np.linalg.svd(rows)[2][-1].reshape(3, 3)
    matrix = np.linalg.inv(from_mm) @ h @ to_unit
    return np.asarray(matrix / np.linalg.norm(matrix))


def _unit(points: FloatArray) -> FloatArray:
    """(3, 3) that brings points to middle 0 and mean distance sqrt 2."""
    middle = points.mean(axis=0)
    scale = np.sqrt(2.0) / np.linalg.norm(points - middle, axis=1).mean()
    return np.array([[scale, 0, -scale * middle[0]], [0, scale, -scale * middle[1]], [0, 0, 1.0]])


FITS = {"affine": _affine, "homography": _homography, "similarity": _similarity}


def _better(pixels: FloatArray, plate_mm: FloatArray) -> str:
    """The map that tells the place of each point from the others; the plainer one unless clearly worse."""
    if len(pixels) < ENOUGH_TO_CHOOSE:
        return "affine"
    error = {}
    for name in ("affine", "homography"):
        missed = []
        for k in range(len(pixels)):
            rest = np.arange(len(pixels)) != k
            guess = mapped(FITS[name](pixels[rest], plate_mm[rest]), pixels[k : k + 1])
            missed.append(float(np.sum((guess - plate_mm[k]) ** 2)))
        error[name] = np.sqrt(np.mean(missed))
    seen = error["affine"] > 1e-6 * float(np.ptp(plate_mm))  # below this only rounding differs
    return "homography" if seen and error["homography"] < CLEARLY_BETTER * error["affine"] else "affine"
