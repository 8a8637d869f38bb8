"""What slicing does to the gap and to the sinks, and which patches start on powder."""

from core.checks.built_gap import BuiltGap, built_gap, gap_columns
from core.checks.clearance import TOO_FEW_LAYERS
from core.checks.finding import Change, Finding, block_instead
from core.checks.self_support import LIMIT_DEG
from core.part.layer_table import LayerTable, layer_table, layer_table_of
from core.part.layers import slice_layers
from core.part.part import Part
from core.part.patch import Patch
from core.part.triangle_tree import TriangleTree
from core.progress import GoesOn, never_stop
from core.sink.sink import Sink

LEAST_ISLAND_MM2 = 0.01
"""Smaller starts are lost in one melt track (common practice, no source)."""


def check_built_gap(
    part: Part,
    sinks: tuple[Sink, ...],
    patch: Patch,
    *,
    gap_mm: float,
    layer_mm: float,
    tree: TriangleTree | None = None,
) -> Finding | None:
    """Whole layers of powder that stay under one patch after slicing; None where no sink stands below it."""
    gap = built_gap(gap_columns(part, sinks, patch, tree), layer_mm, gap_mm)
    return None if gap is None else judge_built_gap(gap, gap_mm)


def judge_built_gap(gap: BuiltGap, gap_mm: float) -> Finding:
    """The finding on a built gap: a stop when at some place no layer of powder is left.

    The vertical gap is never below the one asked for, so that a gap of n whole layers keeps n layers everywhere and
    any other loses less than one. A whole layer less, or fewer layers than came apart when published, is a note.
    """
    whole = whole_layer_gap_mm(gap_mm, gap.layer_mm)
    same = gap.most_layers == gap.least_layers
    layers = f"{gap.least_layers}" if same else f"{gap.least_layers} to {gap.most_layers}"
    heights = f"{gap.least_mm:.2f}" if same else f"{gap.least_mm:.2f} to {gap.most_mm:.2f}"
    text = (
        f"Measured straight up, the gap under patch {gap.patch} is {gap.drawn_least_mm:.2f} mm at least as drawn, and "
        f"{heights} mm as built in {gap.layer_mm * 1000:g} µm layers: {layers} layers of powder"
        f"{'' if same else f', {gap.mean_layers:.1f} on average'}."
    )
    if gap.thinner_share > 0:
        share = f"{gap.thinner_share:.0%}" if gap.thinner_share >= 0.005 else "less than 1%"
        text += f" {share} of it is built thinner than the {gap_mm:g} mm asked for."
    if gap.least_layers <= 0:
        return Finding(
            check="built gap",
            level="stop",
            text=f"Built in {gap.layer_mm * 1000:g} µm layers, no layer of powder stays at the thinnest place under "
            f"patch {gap.patch}: sink and part would grow into one.",
            remedy=f"Set the gap to {max(whole, 2 * gap.layer_mm):g} mm or more, or a thinner layer.",
            changes=_widen(max(whole, 2 * gap.layer_mm), gap.patch),
            at_mm=gap.at_mm,
        )
    lost = gap.least_mm <= gap_mm - gap.layer_mm + 1e-3
    few = gap.least_layers < TOO_FEW_LAYERS
    remedy = f"Set the gap to {whole:g} mm, which is whole layers"
    if gap.lift_mm > 0:
        remedy += f", or lift part and sinks by {gap.lift_mm:.3f} mm, which leaves {gap.lift_least_layers} layers"
    if few:
        wide = TOO_FEW_LAYERS * gap.layer_mm
        text += f" Fewer than {TOO_FEW_LAYERS} layers mostly fused in the one published study."
        remedy = f"Set the gap to {max(whole, wide):g} mm or more, or prove this one with a coupon"
    if few or lost:
        widened = _widen(max(whole, TOO_FEW_LAYERS * gap.layer_mm) if few else whole, gap.patch)
        return Finding(
            check="built gap", level="note", text=text, remedy=f"{remedy}.", changes=widened, at_mm=gap.at_mm
        )
    thinner = gap.thinner_share > 0
    return Finding(
        check="built gap", level="ok", text=text, remedy=f"{remedy}." if thinner else "", at_mm=gap.at_mm
    )


def _widen(gap_mm: float, patch: int) -> tuple[Change, ...]:
    return (Change(values=(("gap.gap_mm", round(gap_mm, 6)),), patches=(patch,)),)


def whole_layer_gap_mm(gap_mm: float, layer_mm: float) -> float:
    """The next gap up that is a whole number of layers."""
    return round(-(-(gap_mm - 1e-6) // layer_mm) * layer_mm, 6)


def check_sink_layers(sink: Sink, layer_mm: float, goes_on: GoesOn = never_stop) -> Finding:
    """Does any layer of a sink start on powder? Compared layer by layer, so that keels and tips are seen too."""
    layers = slice_layers(sink.vertices_mm, sink.triangles, layer_mm)
    table = layer_table_of(layers, LIMIT_DEG, goes_on)
    real = table.island_area_mm2 >= LEAST_ISLAND_MM2
    if not real.any():
        text = f"Every one of the {len(table)} layers of {sink.name} rests on the one below."
        return Finding(check="sink layers", level="ok", text=text)
    x, y, z = table.island_at_mm[real][0].tolist()
    return Finding(
        check="sink layers",
        level="stop",
        text=f"{sink.name} starts on loose powder at {_places(int(real.sum()))}, the lowest at {z:.2f} mm.",
        remedy="Choose a block, or another fin pitch.",
        changes=block_instead(sink.kind, sink.patches),
        at_mm=(x, y, z),
    )


def patch_layer_table(
    part: Part, patch: Patch, layer_mm: float, max_angle_deg: float, goes_on: GoesOn = never_stop
) -> LayerTable:
    """The layers in which a patch is built; overhang of other places at the same height counts too."""
    return layer_table(part, layer_mm, max_angle_deg, goes_on, z_range_mm=(patch.z_min_mm, patch.z_max_mm))


def islands_of_patch(tree: TriangleTree, patch: Patch, table: LayerTable) -> tuple[int, ...]:
    """Numbers of the table's islands whose underside belongs to a patch. tree: of the whole part."""
    if not len(table.island_layer):
        return ()
    start = table.island_at_mm.copy()
    start[:, 2] -= table.layer_mm
    _, face = tree.first_above(start)
    own = set(patch.faces.tolist())
    return tuple(k for k, f in enumerate(face.tolist()) if f in own)


def check_patch_start(
    part: Part, tree: TriangleTree, patch: Patch, layer_mm: float, max_angle_deg: float, goes_on: GoesOn = never_stop
) -> Finding:
    """Where a patch starts on powder, joined to nothing built before."""
    table = patch_layer_table(part, patch, layer_mm, max_angle_deg, goes_on)
    mine = islands_of_patch(tree, patch, table)
    if not mine:
        text = f"Every layer of patch {patch.id} joins the part below it."
        return Finding(check="patch start", level="ok", text=text)
    x, y, z = table.island_at_mm[mine[0]].tolist()
    area = float(table.island_area_mm2[list(mine)].sum())
    return Finding(
        check="patch start",
        level="note",
        text=f"Patch {patch.id} starts on powder at {_places(len(mine))}, {area:.2f} mm² in the first layer.",
        remedy="A sink holds nothing; let the part start on the plate there, anchor it, or turn the part.",
        at_mm=(x, y, z),
    )


def _places(count: int) -> str:
    return "1 place" if count == 1 else f"{count} places"
