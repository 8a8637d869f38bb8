"""Every check of the finished sinks, worst findings first."""

from dataclasses import replace

from core.checks.clearance import check_clearance, check_covered, check_gap_in_layers, check_sinks_apart
from core.checks.finding import LEVELS, Finding
from core.checks.layer_checks import check_built_gap, check_patch_start, check_sink_layers
from core.checks.least_wall import check_least_wall
from core.checks.overlap import check_overlap
from core.checks.parts_apart import check_parts_apart
from core.checks.powder_escape import check_gap_depth, check_part_cavities, check_pockets, check_powder_in_gap
from core.checks.recoater import check_recoater, check_turned
from core.checks.removal import RemovalWay, removal_finding, removal_way
from core.checks.removal_order import check_removal_order
from core.checks.self_support import check_self_support
from core.checks.sink_cost import check_sink_cost, sink_cost
from core.checks.standing import check_envelope, check_slender, check_solid
from core.part.more_parts import single_parts
from core.part.part import Part
from core.part.patch import Patch
from core.part.place_on_plate import Plate
from core.part.triangle_tree import TriangleTree
from core.progress import GoesOn, never_stop, part_of, report
from core.sink.sink import Sink
from core.sink.sinks_of_parts import sinks_of_parts


def all_checks(
    part: Part,
    sinks: tuple[Sink, ...],
    *,
    plate: Plate,
    layer_mm: float,
    patches: tuple[Patch, ...],
    d90_um: float = 45.0,
    max_angle_deg: float = 45.0,
    blade_deg: float = 90.0,
    density_kg_m3: float = 0.0,
    speed_mm_s: float = 0.0,
    hatch_mm: float = 0.0,
    passes: int = 1,
    thorough: bool = False,
    goes_on: GoesOn = never_stop,
) -> tuple[Finding, ...]:
    """Findings on placed part and sinks, each sink judged by its own gap and dimensions; a stop forbids export.

    blade_deg: plan direction of the recoater blade from the X axis. density_kg_m3, speed_mm_s and hatch_mm, when all
    are given, add what each sink costs. thorough: look for powder among finer cells and behind necks, which takes
    some seconds. Raises Stopped when told to stop.
    """
    findings = check_envelope(part, sinks, plate) + check_parts_apart(part, plate)
    if sinks:
        tree = TriangleTree.of(part.corners_mm)
        least_gap_mm = min(sink.gap_mm for sink in sinks)
        least = tuple(p for sink in sinks if sink.gap_mm == least_gap_mm for p in sink.patches)
        findings.append(check_powder_in_gap(least_gap_mm, d90_um, least))
        findings += check_part_cavities(part)
        ways: list[RemovalWay] = []
        for k, sink in enumerate(sinks):
            report(goes_on, 0.7 * k / len(sinks))
            stretch = part_of(goes_on, 0.7 * k / len(sinks), 0.7 * (k + 1) / len(sinks))
            ways.append(removal_way(tree, part, sink, goes_on=stretch))
            findings += [
                check_clearance(sink, sink.gap_mm),
                check_overlap(tree, part, sink),
                check_solid(sink),
                check_self_support(sink),
                removal_finding(sink, ways[k]),
                check_slender(sink),
                check_recoater(sink, blade_deg),
                check_gap_depth(part, sink),
            ]
            if density_kg_m3 > 0 and speed_mm_s > 0 and hatch_mm > 0:
                cost = sink_cost(
                    sink, density_kg_m3=density_kg_m3, speed_mm_s=speed_mm_s, hatch_mm=hatch_mm, layer_mm=layer_mm,
                    passes=passes, part_top_mm=float(part.high_mm[2]),
                )  # fmt: skip
                findings.append(check_sink_cost(sink, cost))
            if sink.watertight:
                share = 0.7 * (k + 1) / len(sinks)
                findings.append(check_least_wall(sink))
                findings.append(check_sink_layers(sink, layer_mm, part_of(goes_on, share, share)))
        turned = check_turned(sinks)
        findings += [turned] if turned is not None else []
        findings += [check_patch_start(part, tree, patch, layer_mm, max_angle_deg) for patch in patches]
        gap_mm = {patch: sink.gap_mm for sink in sinks for patch in sink.patches}
        built = [
            check_built_gap(part, sinks, patch, gap_mm=gap_mm[patch.id], layer_mm=layer_mm, tree=tree)
            for patch in patches
            if patch.id in gap_mm
        ]
        counted = [found for found in built if found is not None]
        findings += counted or [check_gap_in_layers(least_gap_mm, layer_mm, least)]
        findings += [found for patch in patches if (found := check_covered(sinks, patch.id)) is not None]
        findings += check_sinks_apart(sinks, plate.apart_mm)
        order = check_removal_order(sinks, ways, part_of(goes_on, 0.7, 0.8))
        findings += [order] if order is not None else []
        all_come_off = all(way.kind != "none" for way in ways)
        parts = single_parts(part)  # one by one, as the cells of a whole plate would be too coarse
        for k, (one, own) in enumerate(zip(parts, sinks_of_parts(part, sinks, patches), strict=True)):
            if own:
                pockets = check_pockets(
                    one, own, gap_mm=least_gap_mm, d90_um=d90_um, all_come_off=all_come_off, thorough=thorough,
                    goes_on=part_of(goes_on, 0.8 + 0.2 * k / len(parts), 0.8 + 0.2 * (k + 1) / len(parts)),
                )  # fmt: skip
                findings += [replace(f, text=f"{one.name}: {f.text}") for f in pockets] if part.bodies else pockets
    return tuple(sorted(findings, key=lambda finding: LEVELS.index(finding.level)))
