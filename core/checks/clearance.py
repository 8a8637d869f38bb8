"""Is every sink at least the powder gap away from the part, and clear of the other sinks?"""

from core.checks.finding import Change, Finding
from core.part.triangle_tree import TriangleTree
from core.sink.sink import Sink
from core.units import FloatArray

TOO_FEW_LAYERS = 4
"""Gaps of fewer layers than this mostly fused in the one published study (Celik et al. 2022, Materials 15:3765)."""


def check_clearance(sink: Sink, gap_mm: float) -> Finding:
    """Exact least distance, triangle against triangle, as measured on the solid that is written."""
    name, least = sink.name, sink.min_clearance_mm
    if least >= gap_mm:
        text = f"{name} keeps {least:.4f} mm from the part everywhere; {gap_mm:g} mm were asked for."
        return Finding(check="clearance", level="ok", text=text, at_mm=sink.nearest_mm)
    return Finding(
        check="clearance",
        level="stop",
        text=f"{name} comes within {least:.4f} mm of the part; {gap_mm:g} mm were asked for.",
        remedy="Build the sink again; if this stays, leave out the faces beside the place shown.",
        at_mm=sink.nearest_mm,
    )


def check_gap_in_layers(gap_mm: float, layer_mm: float, patches: tuple[int, ...] = ()) -> Finding:
    """Whole layers of powder left after slicing, where the laser looks straight down.

    patches: those with this gap, for the change that is offered.
    """
    layers = gap_mm / layer_mm
    if layers < TOO_FEW_LAYERS:
        return Finding(
            check="gap in layers",
            level="note",
            text=f"The gap is {layers:.1f} layers; slicing may take one away, and 2 to 3 layers mostly fused on.",
            remedy=f"Widen the gap to {TOO_FEW_LAYERS * layer_mm:g} mm or more, or prove it with a coupon.",
            changes=(Change(values=(("gap.gap_mm", round(TOO_FEW_LAYERS * layer_mm, 6)),), patches=patches),),
        )
    text = f"The gap is {layers:.1f} layers thick; slicing may change it by one."
    return Finding(check="gap in layers", level="ok", text=text)


def check_covered(sinks: tuple[Sink, ...], patch: int) -> Finding | None:
    """Share of a patch that has a sink below it."""
    own = [sink for sink in sinks if patch in sink.patches]
    if not own:
        return None
    share = sum(sink.covered_area_mm2 for sink in own) / own[0].patch_area_mm2
    text = f"Sinks cover {min(share, 1.0):.0%} of patch {patch}."
    if share >= 0.8:
        return Finding(check="cover", level="ok", text=text)
    return Finding(
        check="cover", level="note", text=text,
        remedy="Turn the part, or raise the margin, if the bare rest matters.", at_mm=own[0].nearest_mm,
    )  # fmt: skip


def check_sinks_apart(sinks: tuple[Sink, ...], least_mm: float) -> list[Finding]:
    """Pairs of sinks nearer than least_mm; harmless to the part, but they may grow together."""
    findings = []
    trees = [TriangleTree.of(sink.vertices_mm[sink.triangles]) for sink in sinks]
    for i, first in enumerate(sinks):
        for j in range(i + 1, len(sinks)):
            second = sinks[j]
            low = first.vertices_mm.min(axis=0) - least_mm, second.vertices_mm.min(axis=0)
            high = first.vertices_mm.max(axis=0) + least_mm, second.vertices_mm.max(axis=0)
            if (low[0] > high[1]).any() or (low[1] > high[0]).any():
                continue
            distance, _, where = trees[i].distance_to(second.vertices_mm[second.triangles], start_mm=least_mm)
            if where >= 0:
                place = second.vertices_mm[second.triangles[where]].mean(axis=0)
                findings.append(_too_near(first, second, distance, least_mm, place))
    return findings


def _too_near(first: Sink, second: Sink, distance_mm: float, least_mm: float, place: FloatArray) -> Finding:
    x, y, z = place
    apart = f"are only {distance_mm:.2f} mm apart" if distance_mm > 0 else "touch or cut each other"
    smaller = round((least_mm - distance_mm) / 2 + 0.05, 1)
    margin_mm = first.choice.margin_mm
    exact = distance_mm > 0 and second.choice.margin_mm == margin_mm
    change = Change(values=(("sink.margin_mm", round(margin_mm - smaller, 2)),), patches=first.patches + second.patches)
    return Finding(
        check="sinks apart",
        level="note",
        text=f"{first.name} and {second.name} {apart}; "
        f"below {least_mm:g} mm they may grow together and come off as one piece.",
        remedy=f"If they must come off singly, set the margin {smaller:.1f} mm smaller; else pick their faces as one.",
        changes=(change,) if exact else (),
        at_mm=(float(x), float(y), float(z)),
    )
