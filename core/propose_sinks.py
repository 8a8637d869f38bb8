"""Propose sinks for a part: rank its patches by trouble, choose kind, gap and zone for each, build, and weed out."""

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from core.checks.all_checks import all_checks
from core.checks.finding import Finding
from core.export.result import JobResult
from core.job import Job, pick_of
from core.part.downskin import find_patches
from core.part.part import Part
from core.part.patch import Patch
from core.part.triangle_tree import TriangleTree
from core.progress import GoesOn, never_stop, part_of, report
from core.propose_case import Case
from core.propose_ledge import FinGain, ledge_of
from core.propose_rules import ProposeLimits, options_for, trouble_of
from core.propose_weed import quick, weed_blocked, weed_heavy, weed_stopped, weed_useless
from core.proposed import Proposed
from core.refusal import Refusal
from core.run_job import LEAST_AREA_MM2, load_placed_part, run_job

USUAL = ProposeLimits()
MOST_PATCHES = 40
"""Patches looked at, the largest risks first; each takes a quick look of its own."""
MOST_ROUNDS = 6
NO_SINKS = np.zeros((0, 3, 3))


@dataclass(frozen=True, kw_only=True, eq=False)
class Proposal:
    """job: with the proposed picks in place of its own. patches: all that were looked at, the most trouble first.

    result: the job run, as the checks saw it; with a `stop` when nothing is proposed.
    """

    job: Job
    patches: tuple[Proposed, ...]
    result: JobResult

    @property
    def taken(self) -> tuple[Proposed, ...]:
        return tuple(patch for patch in self.patches if patch.taken)


def propose_sinks(
    job: Job,
    goes_on: GoesOn = never_stop,
    part: Part | None = None,
    *,
    patch_ids: tuple[int, ...] = (),
    limits: ProposeLimits = USUAL,
    library: Path | None = None,
    thorough: bool = False,
) -> Proposal:
    """Sinks that are worth their metal, with their reasons; the job's own picks are left out of account.

    patch_ids: only these; else all patches of at least 1 mm². library: folder of kept trials in place of the user's.
    Every sink is built and checked by `run_job`, so clearance holds; what can't be built, taken off, paid for or
    doesn't help is built another way or dropped. Raises Refusal as run_job does, Stopped when goes_on says so.
    """
    job = replace(job, picks=())
    part = load_placed_part(job) if part is None else part
    if not part.health.buildable:
        raise Refusal(f"No sink can be built on this part: {part.health.problems[0]}")
    report(goes_on, 0.05)
    patches = find_patches(part, job.max_angle_deg, job.laser.layer_mm)
    cases = _cases(job, part, _wanted(job, patches, patch_ids), limits, library)
    report(goes_on, 0.2)
    result = _built(job, part, cases, limits, part_of(goes_on, 0.2, 0.95), thorough=thorough)
    if result is None:
        result = _nothing(job, part, patches)
    found = tuple(case.proposed(job) for case in cases)
    report(goes_on, 1.0)
    return Proposal(job=result.job, patches=found, result=replace(result, proposal=found))


def _wanted(job: Job, patches: tuple[Patch, ...], patch_ids: tuple[int, ...]) -> tuple[Patch, ...]:
    """The patches to look at. Raises Refusal when there are none."""
    if not patches:
        raise Refusal(f"No face of this part lies flatter than {job.max_angle_deg:g}°, so no sink is needed.")
    by_id = {patch.id: patch for patch in patches}
    unknown = [number for number in patch_ids if number not in by_id]
    if unknown:
        known = ", ".join(map(str, sorted(by_id)[:20])) + (f" … {max(by_id)}" if len(by_id) > 20 else "")
        raise Refusal(f"There is no patch {unknown[0]} on this part; it has {known}.")
    if patch_ids:
        return tuple(by_id[number] for number in dict.fromkeys(patch_ids))
    wanted = tuple(patch for patch in patches if patch.area_mm2 >= LEAST_AREA_MM2)
    if not wanted:
        raise Refusal(f"All {len(patches)} patches are smaller than {LEAST_AREA_MM2:g} mm²; ask for one by its number.")
    return wanted[:MOST_PATCHES]


def _cases(job: Job, part: Part, patches: tuple[Patch, ...], limits: ProposeLimits, library: Path | None) -> list[Case]:
    """All patches, the most trouble first; short ledges are dropped before anything is built."""
    tree = TriangleTree.of(part.corners_mm)
    cases = []
    for patch, looked in zip(patches, quick(job, part, NO_SINKS, patches), strict=True):
        rise_k = looked.rise_without_k
        case = Case(
            patch=patch,
            rise_without_k=rise_k,
            trouble=trouble_of(patch, job, rise_k),
            ledge=ledge_of(part, tree, patch),
            gain=FinGain(share=0.0, length_scale_mm=0.0),
            limits_mm=(0.0, 0.0),
            options=list(options_for(patch, job, rise_k, limits)),
            pick=pick_of(patch.faces),
            words=(),
            library=library,
        )
        try:
            case.take(job)
        except Refusal as reason:
            case.drop(str(reason))
        if case.stands and not patch.is_island and case.gain.share < limits.least_gain_share:
            case.drop(
                f"ledge {case.ledge.length_mm:.1f} mm in {job.alloy}: a sink gains "
                f"{100 * case.gain.share:.0f} %, as the part itself carries the heat away."
            )
        cases.append(case)
    return sorted(cases, key=lambda case: (-case.trouble, case.patch.id))


def _built(
    job: Job, part: Part, cases: list[Case], limits: ProposeLimits, goes_on: GoesOn, *, thorough: bool
) -> JobResult | None:
    """Build what stands, round after round, until nothing is to be changed; None when nothing stands.

    After the last round what is still at fault keeps its finding, so that it is seen.
    """
    own = {finding.check for finding in _without_sinks(job, part) if finding.level == "stop"}
    result: JobResult | None = None
    for number in range(MOST_ROUNDS):
        standing = [case for case in cases if case.stands]
        if not standing:
            return None
        start, end = 1 - 0.5**number, 1 - 0.5 ** (number + 1)
        result = _run(job, part, standing, part_of(goes_on, start, start + 0.8 * (end - start)), thorough)
        for case in standing:
            case.volume_mm3 = sum(sink.volume_mm3 for sink in result.sinks if case.patch.id in sink.patches)

        def stops(run: JobResult) -> list[Finding]:
            return [f for f in run.findings if f.level == "stop" and f.check not in own]

        def alone(case: Case) -> JobResult:
            return _run(job, part, [case], never_stop, thorough)

        if not (
            weed_blocked(job, standing, result)
            or weed_stopped(job, standing, stops(result), lambda case: stops(alone(case)))
            or weed_heavy(job, part, standing, limits)
            or weed_useless(job, part, standing, result, limits)
        ):
            break
        report(goes_on, end)
    return result


def _run(job: Job, part: Part, cases: list[Case], goes_on: GoesOn, thorough: bool) -> JobResult:
    return run_job(replace(job, picks=tuple(case.pick for case in cases)), goes_on, part, thorough=thorough)


def _without_sinks(job: Job, part: Part) -> tuple[Finding, ...]:
    """What the checks say of the part alone; no sink is at fault for that."""
    return all_checks(part, (), plate=job.plate, layer_mm=job.laser.layer_mm, patches=())


def _nothing(job: Job, part: Part, patches: tuple[Patch, ...]) -> JobResult:
    """No patch gets a sink: there is nothing to export, and that is said."""
    text = "No patch gains enough from a sink, or none can be built there; the proposal says why for each."
    finding = Finding(check="proposal", level="stop", text=text, remedy="Pick faces by hand where you know better.")
    findings = (finding, *_without_sinks(job, part))
    return JobResult(
        job=job, part=part, patches=patches, picked=(), sinks=(), estimates=(), findings=findings,
        warnings=part.warnings,
    )  # fmt: skip
