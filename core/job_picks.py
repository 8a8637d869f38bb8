"""The patches under the picks of a job.

Loads nothing that builds, as the window asks at every click.
"""

from pathlib import Path

import numpy as np

from core.job import Job, faces_of
from core.part.part import Part
from core.part.patch import Patch
from core.part.picked_patch import patch_of_faces
from core.refusal import Refusal


def picked_patches(job: Job, part: Part, patches: tuple[Patch, ...]) -> tuple[Patch, ...]:
    """One patch per pick: the found patch with exactly these faces, else a new one with the next free number.

    Raises Refusal when two picks share a face, as their sinks would stand in each other.
    """
    by_faces = {patch.faces.astype(np.int32).tobytes(): patch for patch in patches}
    owner = np.full(part.n_faces, -1, dtype=np.int32)
    next_id = max((patch.id for patch in patches), default=0) + 1
    picked = []
    for index in range(len(job.picks)):
        check_range(job, index, part)
        faces = faces_of(job.picks[index])
        shared = owner[faces]
        if (shared >= 0).any():
            raise Refusal(
                f"Picks {int(shared.max()) + 1} and {index + 1} share faces; take them out of one of the two."
            )
        owner[faces] = index
        patch = by_faces.get(faces.tobytes())
        if patch is None:
            patch = patch_of_faces(part, faces, next_id, job.laser.layer_mm, job.max_angle_deg)
            next_id += 1
        picked.append(patch)
    return tuple(picked)


def check_range(job: Job, pick_index: int, part: Part) -> None:
    """Refusal when a pick names triangles that the part doesn't have."""
    last = job.picks[pick_index].last_face
    if last >= part.n_faces:
        raise Refusal(
            f"Pick {pick_index + 1} names triangle {last}, but '{Path(job.part_file).name}' has only {part.n_faces}; "
            "the file isn't the one the faces were picked on. Pick them again."
        )
