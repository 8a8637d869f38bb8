"""Downskin zones on the command line: options that set them, and what the zones of a job will do."""

import argparse
from dataclasses import replace
from typing import Any

from app.cli_arguments import ZONE_OPTIONS
from core.export.result_json import figure_values
from core.export.zone_plan import figures_of, zones_wanted
from core.job import Job
from core.job_picks import picked_patches
from core.part.part import Part
from core.part.patch import Patch
from core.refusal import Refusal

UNITS = {"W": "_w", "MM/S": "_mm_s", "MM": "_mm"}


def with_zone(job: Job, options: argparse.Namespace) -> Job:
    """The job with the zone settings given, for patches without a zone of their own; layers not given stay."""
    given = {
        name + UNITS.get(unit, ""): getattr(options, f"zone_{name}")
        for name, unit, _ in ZONE_OPTIONS
        if getattr(options, f"zone_{name}") is not None
    }
    if options.zone_layers is not None:
        given["layers"] = options.zone_layers
    return replace(job, zone=replace(job.zone, **given)) if given else job


def zones_of_picks(job: Job, part: Part, patches: tuple[Patch, ...]) -> dict[str, Any]:
    """The zones that the job's picks ask for, before any is cut, and the part's warnings.

    Picks that don't fit the part any more are a warning here, as the part's patches are looked for anew.
    """
    warnings = list(part.warnings)
    wanted: list[tuple[Job, Patch]] = []
    if job.has_zones:
        try:
            wanted = zones_wanted(job, picked_patches(job, part, patches))
        except Refusal as reason:
            warnings.append(f"The zones are left out: {reason}")
    return {"zones": [figure_values(figures_of(own, patch)) for own, patch in wanted], "warnings": warnings}
