"""Which zones a job asks for and what their settings do, before any is cut; loads nothing that cuts."""

from core.heat.melt_zone import ZoneFigures, zone_figures
from core.job import Job
from core.part.patch import Patch


def zones_wanted(job: Job, picked: tuple[Patch, ...]) -> list[tuple[Job, Patch]]:
    """The picks above which a zone is to be cut: the job as it holds for each, and its patch."""
    jobs = (job.for_pick(pick) for pick in job.picks)
    return [(own, patch) for own, patch in zip(jobs, picked, strict=True) if own.zone.layers]


def figures_of(own: Job, patch: Patch) -> ZoneFigures:
    """What a zone's settings do above one patch. own: the job as it holds for its pick."""
    return zone_figures(
        own.zone,
        own.laser,
        own.metal,
        own.powder.porosity,
        patch=patch.id,
        angle_deg=patch.lowest_angle_deg,
        overhang_step_mm=patch.overhang_step_mm,
        gap_mm=own.gap.gap_mm,
    )
