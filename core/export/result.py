"""What one run of a job gave: the part, the sinks, their estimates and findings."""

from dataclasses import dataclass
from functools import cached_property

from core.checks.finding import Finding, forbids_export
from core.export.body import Body
from core.heat.estimate import Estimate
from core.heat.melt_zone import ZoneFigures
from core.job import Job
from core.job_file import job_hash
from core.part.part import Part
from core.part.patch import Patch
from core.proposed import Proposed
from core.sink.sink import Sink


@dataclass(frozen=True, kw_only=True, eq=False)
class JobResult:
    """A finished run.

    part: in build position. patches: all low-angle patches, worst first, and after them picks that equal none
    of them. picked: one patch per pick of the job. estimates: one per patch that has a sink. job holds the picks
    that were really built on, so running it again gives the same sinks.
    """

    job: Job
    part: Part
    patches: tuple[Patch, ...]
    picked: tuple[Patch, ...]
    sinks: tuple[Sink, ...]
    estimates: tuple[Estimate, ...]
    findings: tuple[Finding, ...]
    warnings: tuple[str, ...] = ()
    zones: tuple[Body, ...] = ()
    """Downskin zones as closed bodies with float32 values, to be exposed with their own laser settings."""
    zone_figures: tuple[ZoneFigures, ...] = ()
    """Settings of every zone and what they do, in the same order."""
    proposal: tuple[Proposed, ...] = ()
    """All patches that were looked at and why they got a sink or none, where the sinks were proposed."""

    @property
    def stopped(self) -> bool:
        """True when a finding forbids export."""
        return forbids_export(self.findings)

    @cached_property
    def hash(self) -> str:
        """The job's own SHA-256, printed on everything that is written."""
        return job_hash(self.job)
