"""The whole chain from a job to sinks, estimates and findings; window and command line both run this."""

from dataclasses import dataclass, replace
from pathlib import Path

from core.checks.all_checks import all_checks
from core.checks.finding import Finding, Level
from core.export.result import JobResult
from core.export.zones_of_job import zones_of_job
from core.heat.column_1d import estimate_patch
from core.heat.estimate import Estimate
from core.heat.materials import alloy
from core.job import Job, pick_of
from core.job_file import file_sha256
from core.job_parts import placed_together
from core.job_picks import check_range, picked_patches
from core.part.downskin import find_patches
from core.part.load_part import load_part
from core.part.part import Part
from core.part.patch import Patch
from core.part.place_on_plate import place_on_plate
from core.progress import GoesOn, never_stop, part_of, report
from core.refusal import Refusal
from core.sink.build_sink import build_sink
from core.sink.sink import Sink

ROOM_K = 293.15
LEAST_AREA_MM2 = 1.0
"""Patches below this are left out when all are asked for; common practice, no source."""


def run_job(
    job: Job,
    goes_on: GoesOn = never_stop,
    part: Part | None = None,
    *,
    patch_ids: tuple[int, ...] = (),
    all_patches: bool = False,
    thorough: bool = False,
) -> JobResult:
    """Build every sink of a job, check them and estimate the heat.

    part: the placed part when it is loaded already. The job's picks are built on; patch_ids takes those patches
    instead, all_patches every patch of at least 1 mm². Where no sink can stand, a pick or a patch asked for by
    number gives a `stop`, one of all patches a `note`, and then the others can still be exported. thorough: look
    for powder among finer cells and behind necks, which takes some seconds.
    Raises Refusal for a job that can't run at all, Stopped when goes_on says so.
    """
    report(goes_on, 0.0)
    part = load_placed_part(job) if part is None else part
    if not part.health.buildable:
        raise Refusal(f"No sink can be built on this part: {part.health.problems[0]}")
    report(goes_on, 0.1)
    patches = find_patches(part, job.max_angle_deg, job.laser.layer_mm)
    job, warnings = with_picks(job, patches, patch_ids, all_patches)
    picked = picked_patches(job, part, patches)
    built = _build_all(job, part, picked, part_of(goes_on, 0.15, 0.75), blocked_level="note" if all_patches else "stop")
    if all_patches and built.sinks:
        job = replace(job, picks=tuple(p for p, patch in zip(job.picks, picked, strict=True) if patch.id in built.ids))
        picked = tuple(patch for patch in picked if patch.id in built.ids)
    checked = all_checks(
        part,
        built.sinks,
        plate=job.plate,
        layer_mm=job.laser.layer_mm,
        patches=picked,
        d90_um=job.powder.d90_um,
        max_angle_deg=job.max_angle_deg,
        blade_deg=job.plate.blade_deg,
        density_kg_m3=alloy(job.metal).density_kg_m3(ROOM_K),
        speed_mm_s=job.laser.speed_mm_s,
        hatch_mm=job.laser.hatch_mm,
        passes=job.laser.passes,
        thorough=thorough,
        goes_on=part_of(goes_on, 0.75, 0.95),
    )
    zones = zones_of_job(job, part, picked, part_of(goes_on, 0.95, 1.0))
    report(goes_on, 1.0)
    known = {patch.id for patch in patches}
    return JobResult(
        job=job,
        part=part,
        patches=patches + tuple(patch for patch in picked if patch.id not in known),
        picked=picked,
        sinks=built.sinks,
        estimates=tuple(
            estimate_of(job.for_pick(pick), patch)
            for pick, patch in zip(job.picks, picked, strict=True)
            if patch.id in built.ids
        ),
        findings=built.findings + checked,
        warnings=part.warnings + warnings + built.warnings + zones.warnings,
        zones=zones.bodies,
        zone_figures=zones.figures,
    )


def load_placed_part(job: Job) -> Part:
    """The job's part in build position; with further parts on the plate, all of them as one.

    A part file that changed since the job was saved is used with a warning, unless a pick names triangles it
    doesn't have; that raises Refusal, as does a file that can't be read.
    """
    if not job.part_file:
        raise Refusal("The job has no part; open one first.")
    part = place_on_plate(load_part(job.part_file, job.units), job.pose)
    if job.part_sha256 and file_sha256(Path(job.part_file)) != job.part_sha256:
        text = "The part file changed since the job was saved; look at the picked faces before you build."
        part = replace(part, warnings=(*part.warnings, text))
    part = placed_together(part, job)
    for index in range(len(job.picks)):
        check_range(job, index, part)
    return part


def patches_of_job(job: Job, part: Part) -> tuple[Patch, ...]:
    """The picked patches, or all patches when nothing is picked. Raises Refusal when there are none."""
    patches = find_patches(part, job.max_angle_deg, job.laser.layer_mm)
    chosen = picked_patches(job, part, patches) if job.picks else patches
    if not chosen:
        raise Refusal(f"No face of this part lies flatter than {job.max_angle_deg:g}°, so there is no gap to choose.")
    return chosen


def estimate_of(job: Job, patch: Patch) -> Estimate:
    """The live 1-D estimate for one patch with the job's settings, its fuse limit by those of the zone."""
    return estimate_patch(
        patch,
        gap_mm=job.gap.gap_mm,
        sink=job.sink,
        alloy=job.metal,
        laser=job.laser,
        powder=job.powder,
        rise_allowed_k=job.rise_allowed_k,
        downskin=job.downskin_laser,
    )


def with_picks(
    job: Job, patches: tuple[Patch, ...], patch_ids: tuple[int, ...], all_patches: bool
) -> tuple[Job, tuple[str, ...]]:
    """The job with the picks that were asked for, by number ascending, and a warning on those left out.

    A pick of exactly these faces keeps what it has of its own.
    """
    if not all_patches and not patch_ids:
        if not job.picks:
            raise Refusal("No faces are picked; pick low-angle faces or ask for all patches.")
        return job, ()
    by_id = {patch.id: patch for patch in sorted(patches, key=lambda p: p.id)}
    if not by_id:
        raise Refusal(f"No face of this part lies flatter than {job.max_angle_deg:g}°, so no sink is needed.")
    for number in patch_ids:
        if number not in by_id:
            known = ", ".join(map(str, list(by_id)[:20])) + (f" … {max(by_id)}" if len(by_id) > 20 else "")
            raise Refusal(f"There is no patch {number} on this part; it has {known}.")
    if not all_patches:
        wanted = [by_id[number] for number in sorted(set(patch_ids))]
        return _with_patches(job, wanted), ()
    wanted = [patch for patch in by_id.values() if patch.area_mm2 >= LEAST_AREA_MM2]
    left_out = [patch.id for patch in by_id.values() if patch.area_mm2 < LEAST_AREA_MM2]
    if not wanted:
        raise Refusal(f"All {len(by_id)} patches are smaller than {LEAST_AREA_MM2:g} mm²; ask for one by its number.")
    return _with_patches(job, wanted), _left_out(left_out)


def _with_patches(job: Job, patches: list[Patch]) -> Job:
    known = {pick.runs: pick for pick in job.picks}
    picks = (pick_of(patch.faces) for patch in patches)
    return replace(job, picks=tuple(known.get(pick.runs, pick) for pick in picks))


def _left_out(ids: list[int]) -> tuple[str, ...]:
    """The warning that names patches too small to be worth a sink."""
    if not ids:
        return ()
    if len(ids) == 1:
        return (f"Patch {ids[0]} is below {LEAST_AREA_MM2:g} mm² and got no sink.",)
    numbers = ", ".join(map(str, ids[:12])) + (f" and {len(ids) - 12} more" if len(ids) > 12 else "")
    return (f"Patches {numbers} are below {LEAST_AREA_MM2:g} mm² and got no sink.",)


@dataclass(frozen=True, kw_only=True, eq=False)
class _Built:
    """What building gave: sinks, the patches under which one stands, findings where none can, warnings."""

    sinks: tuple[Sink, ...]
    ids: frozenset[int]
    findings: tuple[Finding, ...]
    warnings: tuple[str, ...]


def _build_all(job: Job, part: Part, picked: tuple[Patch, ...], goes_on: GoesOn, *, blocked_level: Level) -> _Built:
    """One or more sinks per patch, named sink-01, sink-02, … in order."""
    sinks: list[Sink] = []
    ids: set[int] = set()
    findings: list[Finding] = []
    for index, (pick, patch) in enumerate(zip(job.picks, picked, strict=True)):
        own = job.for_pick(pick)
        try:
            bodies = build_sink(
                part,
                patch.faces,
                own.sink,
                own.gap.gap_mm,
                name=f"sink under patch {patch.id}",
                patch_ids=(patch.id,),
                layer_mm=job.laser.layer_mm,
                blade_deg=job.plate.blade_deg,
                goes_on=part_of(goes_on, index / len(picked), (index + 1) / len(picked)),
            )
        except Refusal as reason:
            why = str(reason)
            text = f"Patch {patch.id}: {why[:1].lower()}{why[1:]}"
            findings.append(_no_sink(text, blocked_level, patch.centre_mm))
            continue
        sinks += bodies
        ids.add(patch.id)
    if not sinks and blocked_level != "stop":
        findings.append(_no_sink("No sink could be built under any patch.", "stop", None))
    named = tuple(replace(sink, name=f"sink-{number:02d}") for number, sink in enumerate(sinks, start=1))
    warnings = tuple(f"{sink.name}: {text}" for sink in named for text in sink.warnings)
    return _Built(sinks=named, ids=frozenset(ids), findings=tuple(findings), warnings=warnings)


def _no_sink(text: str, level: Level, at_mm: tuple[float, float, float] | None) -> Finding:
    """A reason that ends in '; what to do.' is split into text and remedy."""
    text, _, remedy = text.rstrip(".").partition("; ")
    remedy = remedy or "turn the part, or change the gap, margin or sink kind"
    return Finding(
        check="room for a sink", level=level, text=f"{text}.", remedy=f"{remedy[0].upper()}{remedy[1:]}.", at_mm=at_mm
    )
