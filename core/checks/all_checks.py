"""Every check of the finished sinks, worst findings first."""

from core.checks.clearance import check_clearance, check_covered, check_gap_in_layers, check_sinks_apart
from core.checks.finding import LEVELS, Finding
from core.checks.layer_checks import check_built_gap, check_sink_layers
from core.checks.powder_escape import check_powder_in_gap
from core.checks.removal import check_removal
from core.checks.self_support import check_self_support
from core.checks.standing import check_envelope, check_slender, check_solid
from core.part.part import Part
from core.part.patch import Patch
from core.part.place_on_plate import Plate
from core.part.triangle_tree import TriangleTree
from core.progress import GoesOn, never_stop, part_of, report
from core.sink.sink import Sink
from core.sink.sink_choice import SinkChoice


def all_checks(
    part: Part,
    sinks: tuple[Sink, ...],
    *,
    plate: Plate,
    sink_choice: SinkChoice,
    layer_mm: float,
    patches: tuple[Patch, ...],
    gap_mm: float,
    d90_um: float = 45.0,
    goes_on: GoesOn = never_stop,
) -> tuple[Finding, ...]:
    """Findings on placed part and sinks; a stop forbids export."""
    findings = check_envelope(part, sinks, plate)
    if sinks:
        tree = TriangleTree.of(part.corners_mm)
        findings.append(check_powder_in_gap(gap_mm, d90_um))
        findings.append(check_gap_in_layers(gap_mm, layer_mm))
        for k, sink in enumerate(sinks):
            report(goes_on, 0.7 * k / len(sinks))
            findings += [
                check_clearance(sink, gap_mm),
                check_solid(sink),
                check_self_support(sink),
                check_removal(tree, part, sink),
                check_slender(sink, sink_choice),
            ]
            if sink.watertight:
                share = 0.7 * (k + 1) / len(sinks)
                findings.append(check_sink_layers(sink, layer_mm, part_of(goes_on, share, share)))
        built = (check_built_gap(part, sinks, p, gap_mm=gap_mm, layer_mm=layer_mm, tree=tree) for p in patches)
        findings += [found for found in built if found is not None]
        findings += [found for patch in patches if (found := check_covered(sinks, patch.id)) is not None]
        findings += check_sinks_apart(sinks)
    return tuple(sorted(findings, key=lambda finding: LEVELS.index(finding.level)))
