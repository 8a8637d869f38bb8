"""More parts on the plate from the command line: read, turned, and put where it says or on a free place."""

from dataclasses import replace

from core.job import Job
from core.job_parts import new_more, read_more, with_more
from core.part.place_on_plate import Pose
from core.run_job import load_placed_part

Also = tuple[str, tuple[float, float] | None, tuple[float, float, float] | None]
"""File, move in x and y, turns; None for a free place and for no turn."""


def with_parts(job: Job, also: list[Also]) -> Job:
    """The job with the parts that were asked for; a turned one is set down on the plate, as the first is."""
    for file, move_mm, rotate_deg in also:
        pose = Pose() if rotate_deg is None else Pose(rotate_deg=rotate_deg, drop=True)
        more = new_more(file, pose=pose)
        if move_mm is not None:
            job = replace(job, more_parts=(*job.more_parts, replace(more, shift_mm=move_mm)))
        else:
            part = load_placed_part(replace(job, picks=()))
            job = with_more(job, part, more, read_more(more), place=True)
    return job
