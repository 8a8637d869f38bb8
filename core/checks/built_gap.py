"""The powder gap as it will be built: part and sink are both cut at mid-layer heights, so whole layers remain.

A layer is solid in a column when the middle of the layer lies in the body; what is cut exactly at a surface belongs
to the body below it. From the sink's top to the part, one column keeps the drawn gap in layers, rounded down or up.
"""

from dataclasses import dataclass

import numpy as np

from core.part.part import Part
from core.part.patch import Patch
from core.part.triangle_tree import TriangleTree
from core.sink.sink import Sink
from core.units import BoolArray, FloatArray, IntArray

CELL_MM = 0.1
MOST_COLUMNS = 40_000
TIE_MM = 1e-4
"""A surface this near to a cut may fall either way; the count takes the way with less powder."""
LIFTS = 8


@dataclass(frozen=True, kw_only=True, eq=False)
class GapColumns:
    """Columns on an even plan grid under one patch, where a sink stands below it.

    plan_mm: (n, 2). sink_top_mm, part_mm: (n,) heights at which the sink ends and the part begins.
    """

    patch: int
    plan_mm: FloatArray
    sink_top_mm: FloatArray
    part_mm: FloatArray


@dataclass(frozen=True, kw_only=True)
class BuiltGap:
    """Whole powder layers under one patch at one layer height, over equal shares of plan area.

    All gaps are vertical. drawn_least_mm, drawn_mean_mm: as drawn. thinner_share: share of area built thinner than the
    gap asked for. layer_lost_share: share that keeps fewer layers than drawn there less one. lift_mm: the smallest
    lift of part and sinks together after which lift_least_layers remain, more than now; 0 where none helps.
    """

    patch: int
    layer_mm: float
    columns: int
    least_layers: int
    mean_layers: float
    most_layers: int
    drawn_least_mm: float
    drawn_mean_mm: float
    thinner_share: float
    layer_lost_share: float
    at_mm: tuple[float, float, float]
    """A place on the part above the fewest layers."""
    lift_mm: float
    lift_least_layers: int

    @property
    def least_mm(self) -> float:
        return self.least_layers * self.layer_mm

    @property
    def mean_mm(self) -> float:
        return self.mean_layers * self.layer_mm

    @property
    def most_mm(self) -> float:
        return self.most_layers * self.layer_mm


def gap_columns(part: Part, sinks: tuple[Sink, ...], patch: Patch, tree: TriangleTree | None = None) -> GapColumns:
    """Columns through every sink of a patch; empty where no sink stands. tree: of the whole part, if at hand."""
    tree = TriangleTree.of(part.corners_mm) if tree is None else tree
    own = [sink for sink in sinks if patch.id in sink.patches]
    ceiling = TriangleTree.of(part.corners_mm[patch.faces])
    plans: list[FloatArray] = [np.zeros((0, 2))]
    tops: list[FloatArray] = [np.zeros(0)]
    bottoms: list[FloatArray] = [np.zeros(0)]
    for sink in own:
        plan = _grid(sink.vertices_mm[:, :2], MOST_COLUMNS // len(own))
        under, _ = ceiling.first_above(_at_height(plan, np.full(len(plan), -1e30)))
        plan, under = plan[np.isfinite(under)], under[np.isfinite(under)]
        top = top_of(sink, plan)
        plan, under, top = plan[np.isfinite(top)], under[np.isfinite(top)], top[np.isfinite(top)]
        first, _ = tree.first_above(_at_height(plan, top))
        plans.append(plan)
        tops.append(top)
        bottoms.append(np.minimum(under, first))
    return GapColumns(
        patch=patch.id,
        plan_mm=np.concatenate(plans),
        sink_top_mm=np.concatenate(tops),
        part_mm=np.concatenate(bottoms),
    )


def top_of(sink: Sink, plan_mm: FloatArray) -> FloatArray:
    """(n,) highest place of a sink at plan places (n, 2); -inf beside it. Looked for in the sink turned over."""
    turned = TriangleTree.of(sink.vertices_mm[sink.triangles] * np.array([1.0, 1.0, -1.0]))
    below, _ = turned.first_above(_at_height(plan_mm, np.full(len(plan_mm), -1e30)))
    return -below


def cuts_below(z_mm: FloatArray, layer_mm: float, z0_mm: float = 0.0) -> IntArray:
    """(n,) number of mid-layer heights at or below z."""
    return np.asarray(np.floor((z_mm - z0_mm) / layer_mm + 0.5).astype(np.int64))


def powder_layers(columns: GapColumns, layer_mm: float, z0_mm: float = 0.0) -> IntArray:
    """(n,) whole layers of powder in each column; 0 or less where sink and part are built together."""
    part = cuts_below(columns.part_mm - TIE_MM, layer_mm, z0_mm)
    return np.asarray(part - cuts_below(columns.sink_top_mm + TIE_MM, layer_mm, z0_mm))


def built_gap(columns: GapColumns, layer_mm: float, gap_mm: float, z0_mm: float = 0.0) -> BuiltGap | None:
    """Count the powder layers of columns at one layer height; None where there are no columns.

    gap_mm: the gap asked for. z0_mm: height of the build plate.
    """
    if not len(columns.part_mm):
        return None
    layers = powder_layers(columns, layer_mm, z0_mm)
    drawn = columns.part_mm - columns.sink_top_mm
    worst = int(np.argmin(layers))
    x, y = columns.plan_mm[worst]
    least = int(layers[worst])
    lift, lifted = _best_lift(columns, layer_mm, z0_mm, least)
    built = layers * layer_mm
    return BuiltGap(
        patch=columns.patch,
        layer_mm=layer_mm,
        columns=len(layers),
        least_layers=least,
        mean_layers=float(layers.mean()),
        most_layers=int(layers.max()),
        drawn_least_mm=float(drawn.min()),
        drawn_mean_mm=float(drawn.mean()),
        thinner_share=_share(built < gap_mm - 2 * TIE_MM),
        layer_lost_share=_share(built < drawn - layer_mm - 2 * TIE_MM),
        at_mm=(float(x), float(y), float(columns.part_mm[worst])),
        lift_mm=lift,
        lift_least_layers=lifted,
    )


def built_gaps(
    columns: GapColumns, layers_mm: tuple[float, ...], gap_mm: float, z0_mm: float = 0.0
) -> tuple[BuiltGap, ...]:
    """The same columns at several layer heights, to choose one."""
    found = (built_gap(columns, layer_mm, gap_mm, z0_mm) for layer_mm in layers_mm)
    return tuple(gap for gap in found if gap is not None)


def _best_lift(columns: GapColumns, layer_mm: float, z0_mm: float, least: int) -> tuple[float, int]:
    """Smallest of eight lifts within one layer that keeps the most powder in the thinnest column."""
    best = 0.0, least
    for k in range(1, LIFTS):
        lift = k * layer_mm / LIFTS
        lifted = int(powder_layers(columns, layer_mm, z0_mm - lift).min())
        if lifted > best[1]:
            best = lift, lifted
    return best


def _share(which: BoolArray) -> float:
    return float(which.mean())


def _grid(points_mm: FloatArray, most: int) -> FloatArray:
    """(n, 2) middles of square cells over the box of points, no more than `most`, at least one."""
    low, high = points_mm.min(axis=0), points_mm.max(axis=0)
    cell = max(CELL_MM, float(np.sqrt(np.prod(high - low) / most)) * 1.01)
    across = np.maximum(np.floor((high - low) / cell).astype(int), 1)
    x, y = ((np.arange(n) + 0.5) / n * (b - a) + a for n, a, b in zip(across, low, high, strict=True))
    return np.stack(np.meshgrid(x, y, indexing="ij"), axis=-1).reshape(-1, 2)


def _at_height(plan_mm: FloatArray, z_mm: FloatArray) -> FloatArray:
    return np.column_stack([plan_mm, z_mm])
