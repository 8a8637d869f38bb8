"""Find the faces that look down too flatly, gather them into patches, and grow a picked face."""

import weakref

import numpy as np

from core.compiled import kernel
from core.part.face_neighbours import FaceNeighbours, face_neighbours
from core.part.part import Part
from core.part.patch import Patch
from core.part.patches import PLATE_MM, measure_patches
from core.refusal import Refusal
from core.units import BoolArray, FloatArray, IntArray

__all__ = [
    "FaceNeighbours",
    "downskin_angles_deg",
    "face_neighbours",
    "find_patches",
    "grow_faces",
    "low_angle_faces",
    "side_of_face",
]

ANGLE_TOLERANCE_DEG = 0.01
"""A face is low-angle when it is flatter than the limit by more than this, so 45° in float32 isn't below 45°."""


@kernel
def _angles_and_areas(points: FloatArray, triangles: IntArray) -> tuple[FloatArray, FloatArray]:
    n = len(triangles)
    angle = np.empty(n)
    area = np.empty(n)
    for f in range(n):
        a, b, c = points[triangles[f, 0]], points[triangles[f, 1]], points[triangles[f, 2]]
        ux, uy, uz = b[0] - a[0], b[1] - a[1], b[2] - a[2]
        vx, vy, vz = c[0] - a[0], c[1] - a[1], c[2] - a[2]
        x, y, z = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
        level = np.sqrt(x * x + y * y)
        angle[f] = 90.0 if level == 0.0 and z == 0.0 else np.degrees(np.arctan2(level, -z))
        area[f] = 0.5 * np.sqrt(x * x + y * y + z * z)
    return angle, area


_known: "weakref.WeakKeyDictionary[Part, tuple[FloatArray, FloatArray]]" = weakref.WeakKeyDictionary()


def _measured(part: Part) -> tuple[FloatArray, FloatArray]:
    found = _known.get(part)
    if found is None:
        found = _angles_and_areas(part.vertices_mm, part.triangles)
        _known[part] = found
    return found


def downskin_angles_deg(part: Part) -> FloatArray:
    """(n_faces,) angle of each face from the build plate: 0 flat ceiling, 90 wall, 180 flat top; 90 without area."""
    return _measured(part)[0]


def _low(part: Part, max_angle_deg: float) -> BoolArray:
    if not 0 < max_angle_deg <= 90:
        raise Refusal(f"A limit of {max_angle_deg:g}° is out of range; set more than 0° and at most 90°.")
    low = downskin_angles_deg(part) < max_angle_deg - ANGLE_TOLERANCE_DEG
    on_plate = np.abs(part.vertices_mm[:, 2]) <= PLATE_MM
    return np.asarray(low & ~on_plate[part.triangles].all(axis=1))


def low_angle_faces(part: Part, max_angle_deg: float) -> IntArray:
    """(n,) int32 ascending numbers of the faces flatter than the limit that don't lie on the plate."""
    return np.flatnonzero(_low(part, max_angle_deg)).astype(np.int32)


def find_patches(part: Part, max_angle_deg: float, layer_mm: float) -> tuple[Patch, ...]:
    """The patches of a placed part, worst first.

    A patch is a set of low-angle faces joined by shared edges. Ids are 1.. in the order of each patch's lowest
    triangle number, so they don't depend on the sorting.
    """
    angle, area = _measured(part)
    low = _low(part, max_angle_deg)
    across = face_neighbours(part).across
    return measure_patches(part.vertices_mm, part.triangles, across, low, angle, area, max_angle_deg, layer_mm)


@kernel
def _grow(across: IntArray, low: BoolArray, normals: FloatArray, seed: int, least_cos: float) -> BoolArray:
    taken = np.zeros(len(across), np.bool_)
    stack = np.empty(len(across), np.int32)
    taken[seed] = True
    stack[0] = seed
    top = 1
    while top > 0:
        top -= 1
        f = stack[top]
        for i in range(3):
            g = across[f, i]
            if g < 0 or taken[g] or not low[g]:
                continue
            cos = normals[f, 0] * normals[g, 0] + normals[f, 1] * normals[g, 1] + normals[f, 2] * normals[g, 2]
            if cos > least_cos:
                taken[g] = True
                stack[top] = g
                top += 1
    return taken


def grow_faces(part: Part, seed_face: int, max_angle_deg: float, grow_angle_deg: float) -> IntArray:
    """What a click on one face takes: (n,) int32 ascending face numbers, all low-angle.

    STEP: the low-angle triangles of the whole B-rep face. Otherwise the click spreads over shared edges to
    low-angle faces while the surface bends by less than grow_angle_deg at the edge. Empty when the seed itself
    isn't low-angle. Raises Refusal for a face number that doesn't exist.
    """
    if not 0 <= seed_face < part.n_faces:
        raise Refusal(f"There is no face {seed_face}; this part has faces 0 to {part.n_faces - 1}.")
    low = _low(part, max_angle_deg)
    if not low[seed_face]:
        return np.zeros(0, dtype=np.int32)
    if part.brep_face is not None and part.brep_face[seed_face] >= 0:
        return np.flatnonzero(low & (part.brep_face == part.brep_face[seed_face])).astype(np.int32)
    least_cos = float(np.cos(np.radians(grow_angle_deg + 1e-6)))
    taken = _grow(face_neighbours(part).across, low, part.normals, seed_face, least_cos)
    return np.flatnonzero(taken).astype(np.int32)


def side_of_face(part: Part, seed_face: int, grow_angle_deg: float) -> IntArray:
    """(n,) int32 ascending faces of the side a face lies on, whichever way they look: `grow_faces` without a limit."""
    if part.brep_face is not None and part.brep_face[seed_face] >= 0:
        return np.flatnonzero(part.brep_face == part.brep_face[seed_face]).astype(np.int32)
    least_cos = float(np.cos(np.radians(grow_angle_deg + 1e-6)))
    everywhere = np.ones(part.n_faces, dtype=bool)
    taken = _grow(face_neighbours(part).across, everywhere, part.normals, seed_face, least_cos)
    return np.flatnonzero(taken).astype(np.int32)
