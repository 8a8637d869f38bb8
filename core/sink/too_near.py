"""Lower a sink's top where it came out nearer to the part than the gap, and only there."""

import numpy as np
import shapely

from core.part.triangle_tree import TriangleTree
from core.progress import GoesOn, in_bites, part_of
from core.sink.sink_top import ColumnTops, TopNet
from core.sink.top_net import lowered
from core.units import FloatArray

BESIDE_MM = 0.01
"""Points of net triangles this near in plan to a sink triangle that is too near are lowered with it."""
MORE_MM = 1e-4
"""Lowered by this much more than what was missing."""
ROUNDS, EVEN_ROUNDS = 12, 3


def clear_of_part(
    net: TopNet, tops: ColumnTops, aim_mm: float, keep_mm: float, goes_on: GoesOn
) -> tuple[TopNet, FloatArray]:
    """The net lowered where its triangles come nearer to the part than keep_mm, and (n,) the gap its points aim at.

    Between its points a net may still be too near. After the first rounds twice as much is added each time,
    so that steep places give way; what is left after the last round shows in the exact check of the finished sink.
    """
    aims = np.full(len(net.points_mm), aim_mm)
    look = np.arange(len(net.triangles))
    for round_ in range(ROUNDS):
        look = look[(net.points_mm[net.triangles[look], 2] > 0).any(axis=1)]
        true = net.points_mm.copy()
        true[:, :2] += true[:, 2:] * tops.lean
        stretch = part_of(goes_on, round_ / ROUNDS, (round_ + 1) / ROUNDS)
        short = np.empty(len(look))
        for some in in_bites(len(look), part_of(stretch, 0.0, 0.5)):
            short[some] = keep_mm - tops.part.distances_to(true[net.triangles[look[some]]], keep_mm)
        near = np.flatnonzero(short > 0)
        if not len(near):
            break
        more = np.zeros(len(aims))
        np.maximum.at(more, net.triangles[look[near]].ravel(), np.repeat(short[near] + MORE_MM, 3))
        aims += 2 ** max(0, round_ - EVEN_ROUNDS) * more
        net = lowered(net, tops, aims, more > 0, part_of(stretch, 0.5, 1.0))
        look = np.flatnonzero((more > 0)[net.triangles].any(axis=1))
    return net, aims


def missing_mm(
    net: TopNet, part: TriangleTree, sink_mm: FloatArray, upright_mm: FloatArray, gap_mm: float
) -> FloatArray:
    """(n,) what each point of the net has to keep more than so far; 0 where the sink above it keeps the gap.

    sink_mm: (m, 3, 3) the sink's triangles; upright_mm: the same where their columns stand upright, as the net's do.
    """
    short = gap_mm - part.distances_to(sink_mm, gap_mm)
    near = np.flatnonzero(short > 0)
    corners = upright_mm[near][:, :, :2].reshape(-1, 2)
    of = np.repeat(np.arange(len(near)), 3)
    spots = shapely.convex_hull(shapely.multipoints(shapely.points(corners), indices=of))
    cells = shapely.STRtree(shapely.polygons(net.points_mm[net.triangles][:, :, :2]))
    spot, cell = cells.query(spots, predicate="dwithin", distance=BESIDE_MM)
    missing = np.zeros(len(net.points_mm))
    np.maximum.at(missing, net.triangles[cell].ravel(), np.repeat(short[near[spot]] + MORE_MM, 3))
    return missing
