"""A part in build position with its downskin, as the window keeps it."""

from dataclasses import dataclass

import numpy as np

from core.job import Job
from core.part.downskin import downskin_angles_deg, find_patches
from core.part.part import Part
from core.part.patch import Patch
from core.part.place_on_plate import place_on_plate
from core.units import FloatArray, IntArray


@dataclass(frozen=True, kw_only=True, eq=False)
class PlacedPart:
    """angles_deg: (n_faces,). patch_of_face: (n_faces,) int32 patch id, 0 for none. low_faces: (n,) of all patches."""

    key: tuple[object, ...]
    part: Part
    angles_deg: FloatArray
    patches: tuple[Patch, ...]
    patch_of_face: IntArray
    low_faces: IntArray

    @property
    def pose_key(self) -> tuple[object, ...]:
        """Equal for the same part in the same pose, whatever the limit and the layer."""
        return self.key[:3]


def placed_key(job: Job) -> tuple[object, ...]:
    """The values of a job that a PlacedPart depends on."""
    return job.part_file, job.units, job.pose, job.max_angle_deg, job.laser.layer_mm


def place(raw: Part, job: Job) -> PlacedPart:
    """Turn and set down the part of a file, and find its patches; runs in the worker."""
    part = place_on_plate(raw, job.pose)
    patches = find_patches(part, job.max_angle_deg, job.laser.layer_mm)
    owner = np.zeros(part.n_faces, dtype=np.int32)
    for patch in patches:
        owner[patch.faces] = patch.id
    return PlacedPart(key=placed_key(job), part=part, angles_deg=downskin_angles_deg(part), patches=patches,
                      patch_of_face=owner, low_faces=np.flatnonzero(owner).astype(np.int32))
