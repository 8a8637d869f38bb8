"""`build --propose`: the sinks are chosen, and what would contradict the choice is refused."""

import argparse

from core.export.result import JobResult
from core.job import Job
from core.progress import GoesOn
from core.propose_rules import ProposeLimits
from core.propose_sinks import propose_sinks
from core.refusal import Refusal

CHOSEN = ("gap", "kind", "zone_layers", "zone_power", "zone_speed", "zone_hatch", "zone_spot", "zone_passes")
"""Options that the proposal settles itself."""


def proposed_result(job: Job, options: argparse.Namespace, goes_on: GoesOn) -> JobResult:
    """The sinks proposed for the job, built and checked; a `stop` says that none is.

    Patches are those asked for, else all. Raises Refusal, Stopped.
    """
    if not options.propose:
        raise Refusal("--most-metal limits what is proposed; give --propose too, or leave it out.")
    given = [name for name in CHOSEN if getattr(options, name) is not None]
    if given:
        raise Refusal(
            f"--propose chooses gap, kind and zone itself; leave out --{given[0].replace('_', '-')}, or --propose."
        )
    limits = ProposeLimits() if options.most_metal is None else ProposeLimits(most_mass_share=options.most_metal)
    proposal = propose_sinks(job, goes_on, patch_ids=options.patch or (), limits=limits, thorough=options.thorough)
    return proposal.result
