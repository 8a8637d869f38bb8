"""The downskin zones of a job: a body per patch with the settings it is exposed with, and what these do."""

from dataclasses import dataclass

from core.export.body import Body
from core.heat.melt_zone import ZoneFigures, zone_figures
from core.job import Job
from core.part.part import Part
from core.part.patch import Patch
from core.progress import GoesOn, never_stop
from core.sink.downskin_zone import downskin_zones

THICK_ENOUGH = 0.98
"""Below this share of the space above a patch, the part is too thin there, or another zone is in the way."""


@dataclass(frozen=True, kw_only=True, eq=False)
class ZonesOfJob:
    """bodies and figures belong together, in order; warnings name zones that came out thin or not at all."""

    bodies: tuple[Body, ...] = ()
    figures: tuple[ZoneFigures, ...] = ()
    warnings: tuple[str, ...] = ()


def zones_of_job(job: Job, part: Part, picked: tuple[Patch, ...], goes_on: GoesOn = never_stop) -> ZonesOfJob:
    """A zone above every picked patch, when the job asks for any. picked: one per pick of the job, in order."""
    if not job.zone.layers or not picked:
        return ZonesOfJob()
    height_mm = job.zone.layers * job.laser.layer_mm
    patches = [(patch.id, patch.faces) for patch in picked]
    zones, said = downskin_zones(part, patches, [height_mm] * len(patches), goes_on)
    by_id = {patch.id: (patch, job.for_pick(pick)) for patch, pick in zip(picked, job.picks, strict=True)}
    bodies, figures = [], []
    for number, zone in enumerate(zones, start=1):
        name = f"zone-{number:02d}"
        patch, own = by_id[zone.patch]
        bodies.append(
            Body(name=name, vertices_mm=zone.vertices_mm, triangles=zone.triangles, object_type="model")
        )
        figures.append(
            zone_figures(
                job.zone,
                job.laser,
                job.alloy,
                job.powder.porosity,
                patch=patch.id,
                angle_deg=patch.lowest_angle_deg,
                overhang_step_mm=patch.overhang_step_mm,
                gap_mm=own.gap.gap_mm,
            )
        )
        if zone.share < THICK_ENOUGH:
            said.append(
                f"{name} fills only {zone.share:.0%} of its {height_mm:g} mm above patch {zone.patch}: the part is "
                "thinner there, or an earlier zone goes first."
            )
    return ZonesOfJob(bodies=tuple(bodies), figures=tuple(figures), warnings=tuple(said))
