"""The pages after the build: verdicts first, then the scan, the layer images, the trials, and zones with settings."""

from core.export.after_build import AfterBuild
from core.export.report_blocks import Block, Bullets, Heading, Table, Verdict, Words, cells
from core.export.report_images import images_blocks, images_verdict
from core.export.report_scan import scan_blocks, scan_verdict
from core.export.report_tables import digits
from core.export.report_trials import trials_blocks, trials_verdict
from core.export.report_views import Build
from core.export.report_zones import zone_blocks
from core.export.result import JobResult

LIMITS = (
    "What was measured on one build says what happened there; it is no proof that the next one does the same.",
    "Patches with a sink and without differ in shape and place too, not only in the sink.",
    "Parts for safety-critical use need their own qualification.",
)


def after_blocks(result: JobResult, build: Build, after: AfterBuild) -> list[Block]:
    """All that is given, and what is missing said; the pages of the job follow on a page of their own."""
    return [
        *([Bullets(sentences=(after.remark,), warning=True)] if after.remark else []),
        *_verdicts(result, after),
        Bullets(sentences=LIMITS),
        *(scan_blocks(after.scan, build) if after.scan is not None else []),
        *(images_blocks(after.images, build) if after.images is not None else []),
        *(trials_blocks(after.trials, result) if after.trials is not None else []),
        *_zones_and_settings(result),
        Heading(text="The job as it was prepared", new_page=True),
    ]


def after_verdicts(result: JobResult, after: AfterBuild) -> list[str]:
    """The sentences at the top of the report; result: of the same job."""
    return [f"{verdict.strong} {verdict.text}".strip() for verdict in _told(result, after)]


def _told(result: JobResult, after: AfterBuild) -> list[Verdict]:
    told: list[Verdict] = []
    if after.scan is not None:
        told.append(scan_verdict(after.scan))
    if after.images is not None:
        told.append(images_verdict(after.images))
    if after.trials is not None:
        told.append(trials_verdict(after.trials, result))
    return told


def _verdicts(result: JobResult, after: AfterBuild) -> list[Block]:
    missing = [
        name
        for name, given in (("scan", after.scan), ("layer images", after.images), ("trials", after.trials))
        if given is None
    ]
    return [*_told(result, after), *([Words(text=f"Not given: {', '.join(missing)}.", small=True)] if missing else [])]


def _zones_and_settings(result: JobResult) -> list[Block]:
    """What the laser was set to, above the patches and elsewhere."""
    zones = zone_blocks(result)
    none = Words(text="No patch has a downskin zone with settings of its own; the machine settings, which follow "
                 "with the job, hold everywhere.")  # fmt: skip
    return [
        Heading(text="Zones and settings"),
        _patch_settings(result),
        *(zones if zones else [none]),
    ]


def _patch_settings(result: JobResult) -> Table:
    """A row per patch: its angle, its sink and gap, and whether the laser was set apart above it."""
    zones = {figures.patch: figures for figures in result.zone_figures}
    sinks = {patch: sink for sink in result.sinks for patch in sink.patches}
    rows = []
    for patch in result.patches:
        sink, zone = sinks.get(patch.id), zones.get(patch.id)
        laser = result.job.laser if zone is None else zone.laser
        rows.append(
            cells(
                str(patch.id),
                f"{digits(patch.lowest_angle_deg, 1)}°",
                "none" if sink is None else f"{sink.name}, {sink.kind}",
                "–" if sink is None else digits(sink.gap_mm),
                "as elsewhere" if zone is None else f"{zone.layers} layers, {zone.height_mm:g} mm",
                f"{laser.power_w:g} W, {laser.speed_mm_s:g} mm/s",
                digits(laser.areal_energy_j_mm2, 2),
            )
        )
    return Table(
        heads=("Patch", "Lowest angle", "Sink", "Gap mm", "Laser zone", "Power, speed", "J/mm²"),
        rows=tuple(rows),
        widths=(0.09, 0.12, 0.17, 0.1, 0.2, 0.22, 0.1),
        numbers=frozenset({6}),
    )
