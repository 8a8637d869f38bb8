"""Options of the command line for downskin zones."""

import argparse
from dataclasses import replace

from app.cli_arguments import ZONE_OPTIONS
from core.job import Job

UNITS = {"W": "_w", "MM/S": "_mm_s", "MM": "_mm"}


def with_zone(job: Job, options: argparse.Namespace) -> Job:
    """The job with the zone settings given; one setting without layers keeps the job's layers."""
    given = {
        name + UNITS.get(unit, ""): getattr(options, f"zone_{name}")
        for name, unit, _ in ZONE_OPTIONS
        if getattr(options, f"zone_{name}") is not None
    }
    if options.zone_layers is not None:
        given["layers"] = options.zone_layers
    return replace(job, zone=replace(job.zone, **given)) if given else job
