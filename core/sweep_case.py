"""One case of a sweep: a job with a few settings changed, built, checked, estimated and looked at in 3-D."""

import hashlib
import json
from collections import Counter
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np

from core.checks.sink_cost import sink_cost
from core.compiled import threads as at_hand
from core.compiled import use_threads
from core.export.result import JobResult
from core.export.result_json import ESTIMATE_WORDS, number
from core.gap.gap_choice import GapChoice
from core.heat.heat_choice import HeatChoice
from core.heat.heat_tables import heat_tables
from core.heat.materials import alloy
from core.heat.quick_look import quick_patches
from core.job import Job
from core.job_file import job_hash
from core.part.more_parts import MorePart
from core.part.part import Part
from core.part.place_on_plate import Pose
from core.refusal import Refusal
from core.run_heat import run_heat
from core.run_job import ROOM_K, load_placed_part, run_job
from core.version import VERSION

CaseValues = dict[str, Any]
"""case, key, version, job_sha256, settings, refused (a sentence or None), sinks, mass_g, scan_h, stops, notes, and a
list of patches."""
FORM = 1
QUICK_CELLS = 400_000
"""Fins of 1.5 mm are seen in these; a quick look at a part of some centimetres takes a second."""


@dataclass(frozen=True, kw_only=True)
class Case:
    """number: from 1 on, in the order of the sweep. settings: (name, value) as in SweepChoice."""

    number: int
    job: Job
    settings: tuple[tuple[str, Any], ...]
    heat: bool = False
    cell_mm: float = 0.0

    @property
    def key(self) -> str:
        """The same for the same case in any sweep: names its file."""
        facts = (FORM, VERSION, job_hash(self.job), self.settings, self.heat, self.cell_mm)
        return hashlib.sha256(json.dumps(facts).encode()).hexdigest()[:24]

    @property
    def plain(self) -> CaseValues:
        """What is known of it before it is run."""
        return {
            "case": self.number,
            "key": self.key,
            "version": VERSION,
            "job_sha256": job_hash(self.job),
            "words": ESTIMATE_WORDS,
            "settings": _listed(self.settings),
            "refused": None,
            "patches": [],
        }


def run_case(case: Case, threads: int = 1) -> CaseValues:
    """Build, check and estimate one case; a case that can't be built says why instead. threads: for inner loops."""
    before = at_hand()
    use_threads(threads)
    try:
        return case.plain | _run(case)
    except Refusal as reason:
        return case.plain | {"refused": str(reason)}
    finally:
        use_threads(before)


def job_of(case: Case) -> Job:
    """The job of a case; settings that bound each other are set together. Raises Refusal when they don't go."""
    job, given = case.job, dict(case.settings)
    sink = {"kind": "kind", "thickness_mm": "fin_thickness_mm", "pitch_mm": "fin_pitch_mm"}
    laser = {"power_w": "power_w", "speed_mm_s": "speed_mm_s"}
    if "rotate_deg" in given:
        job = replace(job, pose=Pose(rotate_deg=tuple(given["rotate_deg"]), drop=True), picks=())
    return replace(
        job,
        gap=GapChoice(gap_mm=given["gap_mm"]) if "gap_mm" in given else job.gap,
        sink=replace(job.sink, **{field: given[name] for name, field in sink.items() if name in given}),
        laser=replace(job.laser, **{field: given[name] for name, field in laser.items() if name in given}),
    )


def _run(case: Case) -> CaseValues:
    job = job_of(case)
    part = _placed(job.part_file, job.part_sha256, job.units, job.pose, job.more_parts)
    result = run_job(job, part=part, all_patches=not job.picks)
    levels = Counter(finding.level for finding in result.findings)
    values: CaseValues = {"sinks": len(result.sinks), "stops": levels["stop"], "notes": levels["note"]}
    if not result.sinks:
        return values | {"refused": next((f.text for f in result.findings if f.level == "stop"), "No sink was built.")}
    metal, laser = alloy(job.metal), job.laser
    costs = [
        sink_cost(sink, density_kg_m3=metal.density_kg_m3(ROOM_K), speed_mm_s=laser.speed_mm_s, hatch_mm=laser.hatch_mm,
                  layer_mm=laser.layer_mm, passes=laser.passes)
        for sink in result.sinks
    ]  # fmt: skip
    mass_g, scan_h = sum(cost.mass_g for cost in costs), sum(cost.scan_s for cost in costs) / 3600.0
    return values | {"mass_g": number(mass_g, 6), "scan_h": number(scan_h, 5), "patches": _patches(result, case)}


@lru_cache(maxsize=2)
def _placed(part_file: str, part_sha256: str, units: str | None, pose: Pose, more_parts: tuple[MorePart, ...]) -> Part:
    """A part read once for all cases that take it as it stands."""
    return load_placed_part(
        Job(part_file=part_file, part_sha256=part_sha256, units=units, pose=pose, more_parts=more_parts)
    )


def _patches(result: JobResult, case: Case) -> list[CaseValues]:
    job = result.job
    sinks_mm = np.concatenate([sink.vertices_mm[sink.triangles] for sink in result.sinks])
    by_id = {estimate.patch: estimate for estimate in result.estimates}
    under = tuple(patch for patch in result.picked if patch.id in by_id)
    tables = heat_tables(alloy(job.metal), job.powder)
    looks = quick_patches(result.part, sinks_mm, under, tables, job.laser, HeatChoice(), QUICK_CELLS)
    rows = []
    for patch, look in zip(under, looks, strict=True):
        estimate = by_id[patch.id]
        of_patch = [sink for sink in result.sinks if patch.id in sink.patches]
        rows.append({
            "patch": patch.id,
            "min_clearance_mm": number(min(sink.min_clearance_mm for sink in of_patch), 6),
            "estimate_with_k": number(estimate.rise_with_k.nominal, 5),
            "estimate_with_low_k": number(estimate.rise_with_k.low, 5),
            "estimate_with_high_k": number(estimate.rise_with_k.high, 5),
            "estimate_without_k": number(estimate.rise_without_k.nominal, 5),
            "fuse_limit_mm": number(estimate.fuse_limit_mm.nominal, 4),
            "heat_limit_mm": number(estimate.heat_limit_mm.nominal, 4),
            "quick_with_k": number(look.rise_with_k, 5),
            "quick_without_k": number(look.rise_without_k, 5),
        })  # fmt: skip
    if case.heat:
        followed = run_heat(result, HeatChoice(cell_mm=case.cell_mm))
        for row, heat in zip(rows, followed.patches, strict=True):
            for name, band in (("heat_with", heat.with_c), ("heat_without", heat.without_c)):
                row |= {f"{name}_c": number(band.nominal, 5), f"{name}_low_c": number(band.low, 5),
                        f"{name}_high_c": number(band.high, 5)}  # fmt: skip
    return rows


def _listed(settings: tuple[tuple[str, Any], ...]) -> CaseValues:
    return {name: list(value) if isinstance(value, tuple) else value for name, value in settings}
