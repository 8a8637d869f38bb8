"""Weed out proposed sinks that can't stand, are forbidden by a check, cost too much metal or don't help."""

from collections.abc import Callable

import numpy as np

from core.checks.finding import Finding
from core.export.result import JobResult
from core.heat.heat_choice import HeatChoice
from core.heat.heat_tables import heat_tables
from core.heat.materials import alloy
from core.heat.quick_look import QuickPatch, quick_patches
from core.job import Job
from core.part.part import Part
from core.part.patch import Patch
from core.propose_case import Case
from core.propose_rules import Option, ProposeLimits
from core.units import FloatArray


def quick(job: Job, part: Part, sinks_mm: FloatArray, patches: tuple[Patch, ...]) -> tuple[QuickPatch, ...]:
    """Steady rises with these sinks (n, 3, 3) and without any."""
    tables = heat_tables(alloy(job.metal), job.powder)
    return quick_patches(part, sinks_mm, patches, tables, job.laser, HeatChoice())


def weed_blocked(job: Job, standing: list[Case], result: JobResult) -> bool:
    """Patches under which the engine finds no room for a sink."""
    changed = False
    for case in standing:
        if not case.volume_mm3:
            why = "no sink could be built."
            for finding in result.findings:
                if finding.check == "room for a sink" and finding.at_mm == case.patch.centre_mm:
                    why = finding.text
            case.go_on(job, why.removeprefix(f"Patch {case.patch.id}: "))
            changed = True
    return changed


def weed_stopped(job: Job, standing: list[Case], stops: list[Finding], alone: Callable[[Case], list[Finding]]) -> bool:
    """Sinks that a check forbids, above all those that don't come off; who is at fault, each shows by itself."""
    if not stops:
        return False
    faults = [stops] if len(standing) == 1 else [alone(case) for case in standing]
    for case, found in zip(standing, faults, strict=True):
        if found:
            case.go_on(job, found[0].text)
    if not any(faults):  # they only stand in each other's way
        standing[-1].drop(f"beside the others, {stops[0].text[:1].lower()}{stops[0].text[1:]}")
    return True


def weed_heavy(job: Job, part: Part, standing: list[Case], limits: ProposeLimits) -> bool:
    """Walk down the ranks; what would make the sinks heavier than allowed is built lighter or dropped."""
    most_mm3, sum_mm3, changed = limits.most_mass_share * part.volume_mm3, 0.0, False
    for case in standing:
        if sum_mm3 + case.volume_mm3 <= most_mm3:
            sum_mm3 += case.volume_mm3
            continue
        changed = True
        why = (
            f"with its {case.volume_mm3 / 1000:.2g} cm³ the sinks would weigh more than {limits.most_mass_share:g} "
            "times what the part does, which is the limit set."
        )
        lighter = [option for option in case.options[1:] if _lighter(option, case.options[0])]
        case.options = [case.options[0], *lighter]
        case.go_on(job, why)
    return changed


def _lighter(option: Option, than: Option) -> bool:
    order = ("edge", "plate", "fins", "block")
    return order.index(option.choice.kind) < order.index(than.choice.kind)


def weed_useless(job: Job, part: Part, standing: list[Case], result: JobResult, limits: ProposeLimits) -> bool:
    """Sinks that lower the rise too little; an edge sink gives way to one under the whole patch."""
    sinks_mm = np.concatenate([sink.vertices_mm[sink.triangles] for sink in result.sinks])
    changed = False
    for case, looked in zip(standing, quick(job, part, sinks_mm, tuple(c.patch for c in standing)), strict=True):
        case.rise_without_k, case.rise_with_k = looked.rise_without_k, looked.rise_with_k
        gain_k = looked.rise_without_k - looked.rise_with_k
        if gain_k >= max(limits.least_gain_k, limits.least_gain_share * looked.rise_without_k):
            continue
        changed = True
        share = 100 * gain_k / max(looked.rise_without_k, 1e-9)
        why = f"a sink gains {max(gain_k, 0.0):.0f} K, {max(share, 0.0):.0f} % (quick 3-D)."
        if case.pick.sink is not None and case.pick.sink.kind == "edge":
            case.go_on(job, why)
        else:
            case.drop(why)
    return changed
