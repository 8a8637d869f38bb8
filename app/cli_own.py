"""The options that name something of the user's own library: an alloy, a machine setting."""

import argparse

from core.heat.user_library import metal_named, setting_named
from core.job import Job, with_alloy, with_machine


def with_library(job: Job, options: argparse.Namespace) -> Job:
    """--machine-setting, then --alloy, which may name the user's own; what a job uses is kept in the job."""
    if getattr(options, "machine_setting", None) is not None:
        job = with_machine(job, setting_named(options.machine_setting))
    return job if options.alloy is None else with_alloy(job, metal_named(options.alloy))
