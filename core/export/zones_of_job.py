"""The downskin zones of a job: a body per patch with the settings that it alone is exposed with; what these do."""

from dataclasses import dataclass

from core.export.body import Body
from core.export.zone_plan import figures_of, zones_wanted
from core.heat.melt_zone import ZoneFigures
from core.job import Job
from core.part.part import Part
from core.part.patch import Patch
from core.progress import GoesOn, never_stop
from core.sink.downskin_zone import downskin_zones
from core.sink.zones_apart import zones_apart

THICK_ENOUGH = 0.98
"""Below this share of the space above a patch, the part is too thin there, or another zone is in the way."""
APART_FROM_FACES = 60_000
"""A larger part is cut in a process of its own, which takes half a second more and holds nothing up."""


@dataclass(frozen=True, kw_only=True, eq=False)
class ZonesOfJob:
    """bodies and figures belong together, in order; warnings name zones that came out thin or not at all."""

    bodies: tuple[Body, ...] = ()
    figures: tuple[ZoneFigures, ...] = ()
    warnings: tuple[str, ...] = ()


def zones_of_job(job: Job, part: Part, picked: tuple[Patch, ...], goes_on: GoesOn = never_stop) -> ZonesOfJob:
    """A zone above every picked patch that asks for one, itself or by the job. picked: one per pick, in order.

    Where two meet, the one of the earlier pick goes first. Raises Refusal for a part that is no solid, Stopped when
    told to stop.
    """
    wanted = zones_wanted(job, picked)
    if not wanted:
        return ZonesOfJob()
    heights_mm = [own.zone.layers * own.laser.layer_mm for own, _ in wanted]
    cut = zones_apart if part.n_faces > APART_FROM_FACES else downskin_zones
    zones, said = cut(part, [(patch.id, patch.faces) for _, patch in wanted], heights_mm, goes_on)
    by_id = {patch.id: (own, patch) for own, patch in wanted}
    bodies, figures = [], []
    for number, zone in enumerate(zones, start=1):
        name = f"zone-{number:02d}"
        own, patch = by_id[zone.patch]
        bodies.append(Body(name=name, vertices_mm=zone.vertices_mm, triangles=zone.triangles, object_type="model"))
        figures.append(figures_of(own, patch))
        if zone.share < THICK_ENOUGH:
            said.append(
                f"{name} fills only {zone.share:.0%} of its {zone.height_mm:g} mm above patch {zone.patch}: the part "
                "is thinner there, or an earlier zone goes first."
            )
    return ZonesOfJob(bodies=tuple(bodies), figures=tuple(figures), warnings=tuple(said))
