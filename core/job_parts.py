"""The parts of a job: read and put together on the plate, added, moved, doubled and removed."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np

from core.job import Job, Pick, faces_of, pick_of
from core.job_file import file_sha256
from core.part.load_part import load_part
from core.part.more_parts import (
    MorePart,
    at_free_place,
    faces_of_parts,
    free_move_mm,
    placed_more,
    single_parts,
    together,
)
from core.part.part import Part
from core.part.place_on_plate import Plate, Pose, place_on_plate, plate_low_corner_mm
from core.refusal import Refusal
from core.units import IntArray

Reader = Callable[[MorePart], Part]


def read_more(more: MorePart) -> Part:
    """A part beside the first as its file has it. Raises Refusal for a file that can't be read.

    A file that changed since the job was saved is used with a warning.
    """
    raw = load_part(more.part_file, more.units)
    if more.part_sha256 and file_sha256(Path(more.part_file)) != more.part_sha256:
        text = "the file changed since the job was saved; look at the picked faces before you build."
        raw = replace(raw, warnings=(*raw.warnings, text))
    return raw


def placed_together(first: Part, job: Job, read: Reader = read_more) -> Part:
    """All parts of a job as one, in build position. first: the job's first part, placed. A file is read once."""
    raws: dict[tuple[str, str | None], Part] = {}
    parts = [first]
    for more in job.more_parts:
        key = (more.part_file, more.units)
        if key not in raws:
            raws[key] = read(more)
        parts.append(placed_more(raws[key], more))
    return together(parts, [more.shift_mm for more in job.more_parts])


def with_more(job: Job, part: Part, more: MorePart, raw: Part, *, place: bool) -> Job:
    """The job with a part added after all others. part: the job's parts as placed; raw: the new one as in its file.

    place: find a free place for it; else it is taken where it says. Raises Refusal when there is no room.
    """
    if place:
        more = at_free_place(part, raw, more, job.plate)
    return replace(job, more_parts=(*job.more_parts, more))


def new_more(path: Path | str, units: str | None = None, pose: Pose | None = None) -> MorePart:
    """A part file to be put beside the first. Raises Refusal when the file can't be read."""
    file = Path(path)
    return MorePart(
        part_file=str(file.absolute()),
        part_sha256=file_sha256(file),
        units=units,
        pose=Pose() if pose is None else pose,
    )


def part_centre_mm(part: Part, number: int, plate: Plate) -> tuple[float, float]:
    """Middle of one part's bounding box in plate coordinates. number: from 0, the first part's."""
    one = single_parts(part)[number]
    zero = np.array(plate_low_corner_mm(part, plate))
    if plate.origin == "centre":
        zero = zero + np.array(plate.size_mm) / 2
    x, y = (one.low_mm + one.high_mm)[:2] / 2 - zero
    return float(x), float(y)


def with_part_moved(job: Job, number: int, x_mm: float, y_mm: float) -> Job:
    """The job with one part moved on the plate. The first keeps its coordinates, so plate and others move instead."""
    if number > 0:
        more = job.more_parts[number - 1]
        return _with(job, number, replace(more, shift_mm=_sum(more.shift_mm, (x_mm, y_mm))))
    plate = job.plate
    at = plate.part_at_mm
    if at is None:
        at = (0.0, 0.0) if plate.origin == "centre" else (plate.size_mm[0] / 2, plate.size_mm[1] / 2)
    others = tuple(replace(more, shift_mm=_sum(more.shift_mm, (-x_mm, -y_mm))) for more in job.more_parts)
    return replace(job, plate=replace(plate, part_at_mm=_sum(at, (x_mm, y_mm))), more_parts=others)


def with_part_freed(job: Job, part: Part, number: int) -> Job:
    """The job with one part moved to the nearest free place. Raises Refusal when there is none."""
    x, y = free_move_mm(part, number, job.plate)
    return with_part_moved(job, number, x, y)


def with_part_turned(job: Job, part: Part, number: int, raw: Part, pose: Pose) -> Job:
    """The job with one part turned and set down otherwise. raw: that part as in its file.

    On the plate it turns about the middle of its box, and nothing else moves. Its picks are let go, as other faces
    look down then, except for a turn about Z alone.
    """
    was_pose = job.more_parts[number - 1].pose if number else job.pose
    was, now = place_on_plate(raw, was_pose), place_on_plate(raw, pose)
    x, y = ((now.low_mm + now.high_mm) - (was.low_mm + was.high_mm))[:2] / 2
    if pose.rotate_deg[:2] != was_pose.rotate_deg[:2]:
        job = without_picks_of(job, part, number)
    if number:
        more = job.more_parts[number - 1]
        return _with(job, number, replace(more, pose=pose, shift_mm=_sum(more.shift_mm, (-x, -y))))
    others = tuple(replace(more, shift_mm=_sum(more.shift_mm, (x, y))) for more in job.more_parts)
    return replace(job, pose=pose, more_parts=others)


def without_picks_of(job: Job, part: Part, number: int) -> Job:
    """The job without the picked faces of one part."""
    first, last = faces_of_parts(part)[number]
    return replace(job, picks=_picks(job, lambda faces: faces[(faces < first) | (faces >= last)]))


def with_part_doubled(job: Job, part: Part, number: int, raw: Part) -> Job:
    """The job with one part once more at a free place, with the same picks and what these have of their own."""
    source = job.more_parts[number - 1] if number else MorePart(
        part_file=job.part_file, part_sha256=job.part_sha256, units=job.units, pose=job.pose
    )  # fmt: skip
    job = with_more(job, part, source, raw, place=True)
    first, last = faces_of_parts(part)[number]
    own = [pick for pick in job.picks if pick.runs[0][0] >= first and pick.last_face < last]
    start = part.n_faces - first
    copies = (replace(pick, runs=tuple((a + start, b + start) for a, b in pick.runs)) for pick in own)
    return replace(job, picks=(*job.picks, *copies))


def without_part(job: Job, part: Part, number: int) -> Job:
    """The job without one of its parts; its picks go, those of later parts keep their faces under new numbers.

    Without the first, the second takes its place and gets x and y of its file; on the plate nothing moves.
    """
    if not job.more_parts:
        raise Refusal("This is the only part of the job; open another one instead.")
    first, last = faces_of_parts(part)[number]

    def kept(faces: IntArray) -> IntArray:
        faces = faces[(faces < first) | (faces >= last)]
        return np.where(faces >= last, faces - (last - first), faces)

    runs = tuple(run for pick in _picks_of_runs(job.never_downskin) for run in _kept_runs(pick, kept))
    job = replace(job, picks=_picks(job, kept), never_downskin=runs)
    if number > 0:
        return replace(job, more_parts=job.more_parts[: number - 1] + job.more_parts[number:])
    second, *others = job.more_parts
    x, y = second.shift_mm
    return replace(
        job,
        part_file=second.part_file,
        part_sha256=second.part_sha256,
        units=second.units,
        pose=second.pose,
        plate=replace(job.plate, part_at_mm=part_centre_mm(part, 1, job.plate)),
        more_parts=tuple(replace(more, shift_mm=_sum(more.shift_mm, (-x, -y))) for more in others),
    )


def _picks(job: Job, kept: Callable[[IntArray], IntArray]) -> tuple[Pick, ...]:
    """The picks with the faces that are kept, each with what it has of its own; empty ones are left out."""
    found = []
    for pick in job.picks:
        faces = kept(faces_of(pick))
        if faces.size:
            found.append(replace(pick, runs=pick_of(faces).runs))
    return tuple(found)


def _picks_of_runs(runs: tuple[tuple[int, int], ...]) -> tuple[Pick, ...]:
    return (Pick(runs=runs),) if runs else ()


def _kept_runs(pick: Pick, kept: Callable[[IntArray], IntArray]) -> tuple[tuple[int, int], ...]:
    faces = kept(faces_of(pick))
    return pick_of(faces).runs if faces.size else ()


def _with(job: Job, number: int, more: MorePart) -> Job:
    others = list(job.more_parts)
    others[number - 1] = more
    return replace(job, more_parts=tuple(others))


def _sum(first: tuple[float, float], second: tuple[float, float]) -> tuple[float, float]:
    return round(float(first[0] + second[0]), 6), round(float(first[1] + second[1]), 6)
