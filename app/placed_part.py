"""The parts in build position with their downskin, as the window keeps them, and how they come from files."""

from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

import numpy as np

from core.job import Job
from core.job_file import file_sha256, new_job, open_job
from core.job_parts import placed_together, read_more
from core.job_picks import check_range
from core.part.downskin import downskin_angles_deg, find_patches
from core.part.load_part import load_part
from core.part.more_parts import MorePart
from core.part.part import Part
from core.part.patch import Patch
from core.part.place_on_plate import place_on_plate
from core.part.sharp_edges import sharp_edges_mm
from core.progress import GoesOn, report
from core.units import FloatArray, IntArray

JOB_ENDING = ".underfin"
KEPT_PARTS = 16
EDGES_UP_TO_FACES = 300_000
"""The sharp edges of larger parts lie too close together to tell anything."""


@lru_cache(maxsize=KEPT_PARTS)
def _kept(part_file: str, units: str | None, sha256: str) -> Part:
    return read_more(MorePart(part_file=part_file, units=units, part_sha256=sha256))


def raw_more(more: MorePart) -> Part:
    """A part beside the first as its file had it when it was read first; moving and turning don't read it again."""
    return _kept(more.part_file, more.units, more.part_sha256)


@dataclass(frozen=True, kw_only=True, eq=False)
class PlacedPart:
    """angles_deg: (n_faces,). patch_of_face: (n_faces,) int32 patch id, 0 for none. low_faces: (n,) of all patches."""

    key: tuple[object, ...]
    part: Part
    angles_deg: FloatArray
    patches: tuple[Patch, ...]
    patch_of_face: IntArray
    low_faces: IntArray
    sharp_mm: FloatArray | None
    """(k, 2, 3) its sharp edges; None for so many triangles that they are better not drawn."""

    @property
    def pose_key(self) -> tuple[object, ...]:
        """Equal for the same parts in the same poses, whatever the limit and the layer."""
        return self.key[:4]

    def looks_alike(self, other: "PlacedPart | None") -> bool:
        """True when the other differs at most in where the parts beside the first stand; the view needn't move."""
        return other is not None and self.key[:3] == other.key[:3] and len(self.part.bodies) == len(other.part.bodies)


def placed_key(job: Job) -> tuple[object, ...]:
    """The values of a job that a PlacedPart depends on."""
    return job.part_file, job.units, job.pose, job.more_parts, job.max_angle_deg, job.laser.layer_mm


def place(raw: Part, job: Job) -> PlacedPart:
    """Turn and set down the part of a file and those beside it, and find all patches; runs in the worker."""
    part = placed_together(place_on_plate(raw, job.pose), job, raw_more)
    patches = find_patches(part, job.max_angle_deg, job.laser.layer_mm)
    _ = part.corners_mm, part.areas_mm2, part.normals, part.volume_mm3, part.size_mm  # kept, so that no click waits
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
        sharp_mm=sharp_edges_mm(part) if part.n_faces <= EDGES_UP_TO_FACES else None,
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
    more = tuple(replace(one, part_sha256=file_sha256(Path(one.part_file))) for one in job.more_parts)
    job = replace(job, part_sha256=file_sha256(Path(job.part_file)), more_parts=more)
    report(goes_on, 0.1)
    raw = _raw_with_picks(job)
    if job.picks:
        raw = _with_warning(raw, "The part was read again")
    report(goes_on, 0.6)
    return Opened(job=job, file=file, saved=False, raw=raw, placed=place(raw, job))


def _raw_with_picks(job: Job) -> Part:
    """The first part as its file has it. Raises Refusal when a pick names faces the parts don't have."""
    raw = load_part(job.part_file, job.units)
    if job.picks:
        whole = placed_together(raw, job, raw_more)
        for number in range(len(job.picks)):
            check_range(job, number, whole)
    return raw


def _with_warning(raw: Part, text: str) -> Part:
    return replace(raw, warnings=(f"{text}; look at the picked faces before you build.", *raw.warnings))


def opened_again(job: Job) -> Opened:
    """Read the part once more, in another unit; runs in the worker."""
    raw = load_part(job.part_file, job.units)
    return Opened(job=job, file=None, saved=True, raw=raw, placed=place(raw, job))
