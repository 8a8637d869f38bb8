"""A part in build position with its downskin, as the window keeps it, and how it comes from a file."""

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from core.job import Job
from core.job_file import file_sha256, new_job, open_job
from core.part.downskin import downskin_angles_deg, find_patches
from core.part.load_part import load_part
from core.part.part import Part
from core.part.patch import Patch
from core.part.place_on_plate import place_on_plate
from core.progress import GoesOn, report
from core.units import FloatArray, IntArray

JOB_ENDING = ".underfin"


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
    return PlacedPart(
        key=placed_key(job),
        part=part,
        angles_deg=downskin_angles_deg(part),
        patches=patches,
        patch_of_face=owner,
        low_faces=np.flatnonzero(owner).astype(np.int32),
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class Opened:
    """What the worker brings back from opening a file; raw is the part as the file has it.

    copy: of unsaved changes, when that was opened.
    """

    job: Job
    file: Path | None
    saved: bool
    raw: Part
    placed: PlacedPart
    copy: Path | None = None


def opened_from(path: Path, goes_on: GoesOn, *, bring_back: bool) -> Opened:
    """Open a part or a job; runs in the worker. Raises Refusal, Stopped.

    bring_back: the file is the copy of unsaved changes, so the job has no file of its own yet.
    """
    is_job = path.suffix.lower() == JOB_ENDING
    job = open_job(path) if is_job else new_job(path)
    report(goes_on, 0.1)
    raw = _raw_with_picks(job)
    if is_job and job.part_sha256 and file_sha256(Path(job.part_file)) != job.part_sha256:
        raw = _with_warning(raw, "The part file changed since the job was saved")
    report(goes_on, 0.6)
    file, copy = (None, path) if bring_back else (path if is_job else None, None)
    return Opened(job=job, file=file, saved=not bring_back, raw=raw, placed=place(raw, job), copy=copy)


def read_anew(job: Job, file: Path | None, goes_on: GoesOn) -> Opened:
    """The same job on the part's file as it is now; runs in the worker. Raises Refusal, Stopped."""
    job = replace(job, part_sha256=file_sha256(Path(job.part_file)))
    report(goes_on, 0.1)
    raw = _raw_with_picks(job)
    if job.picks:
        raw = _with_warning(raw, "The part was read again")
    report(goes_on, 0.6)
    return Opened(job=job, file=file, saved=False, raw=raw, placed=place(raw, job))


def _raw_with_picks(job: Job) -> Part:
    """The part as its file has it. Raises Refusal when a pick names faces it doesn't have."""
    raw = load_part(job.part_file, job.units)
    if job.picks:
        from core.run_job import picked_faces  # loads all that builds; a part without picks doesn't wait for it

        for number in range(len(job.picks)):
            picked_faces(job, number, raw)
    return raw


def _with_warning(raw: Part, text: str) -> Part:
    return replace(raw, warnings=(f"{text}; look at the picked faces before you build.", *raw.warnings))


def opened_again(job: Job) -> Opened:
    """Read the part once more, in another unit; runs in the worker."""
    raw = load_part(job.part_file, job.units)
    return Opened(job=job, file=None, saved=True, raw=raw, placed=place(raw, job))
