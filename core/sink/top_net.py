"""The triangle net of a sink's top: coarse over the plan outline at first, finer where it doesn't follow the patch."""

from dataclasses import dataclass, replace

import numpy as np
import shapely

from core.part.triangle_tree import TriangleTree
from core.progress import GoesOn, in_bites, part_of, report
from core.sink.creases import crossings
from core.sink.net_flips import NEW, sides, well_shaped
from core.sink.sink_top import ColumnTops, TopNet
from core.units import BoolArray, FloatArray, IntArray

LONGEST_EDGE_MM = 4.0
LONGEST_SHARE = 1 / 40
"""Longer edges are halved unasked: than this, and than this share of the outline."""
SHORTEST_EDGE_MM = 0.02
SHORTEST_SHARE = 1 / 5000
"""Edges shorter than this, and than this share of the outline, stay whole."""
CLIFF, CLIFF_SHARE = 1.5, 0.15
"""Edges with more rise than this per mm cross from one level to another; they stay whole below this share of the gap,
which leaves 1.2 % of the gap at the foot of the cliff."""
MANY_POINTS = 100_000
"""A net of more points leaves its short edges whole, so that the long ones are still followed everywhere."""
COARSER = 1.4
"""The length below which edges stay whole grows by this factor each time the points become too many."""
MOST_ROUNDS = 200
MOST_PROBED = 8
UNJUDGED, UNPROVED = 1, 2
"""State of a triangle: its middle wasn't judged yet; its distance as a whole wasn't measured yet. NEW is both."""
NEARER_SHARE = 0.7
"""A triangle whose least distance falls short of the gap by more than this share of the tolerance is split."""
PASSES = 3
FEW_SHARE, STRAGGLERS = 1e-3, 25
"""After so many rounds in which only this share of the edges was split, those edges are let be; the next time the net
is taken as it is."""
NONE = np.zeros(0, dtype=np.int64)
NEAR_END = 0.15
"""Edges are split where they cross a crease, unless that is within this share of an end."""


@dataclass(frozen=True, kw_only=True, eq=False)
class _Net:
    """plan: (n, 2) and height: (n,) of the points; triangles: (m, 3); state: (m,) int8, see below.

    right, wrong: codes of the edges judged, ascending.
    """

    plan: FloatArray
    height: FloatArray
    triangles: IntArray
    state: IntArray
    right: IntArray
    wrong: IntArray


def net_over(
    polygon: shapely.Polygon,
    tops: ColumnTops,
    gap_mm: float,
    tolerance_mm: float,
    goes_on: GoesOn,
    creases_mm: FloatArray,
    probes_mm: FloatArray,
) -> TopNet:
    """Triangle net over a plan polygon, one gap below the patch at its points and near enough between them.

    Starts from the constrained Delaunay triangles of the polygon. Edges are split until they are short and, at every
    edge middle and triangle centre, the distance to the part is the gap within the tolerance; after each round of
    splitting the triangles are made well-shaped. creases_mm: (k, 2, 2) lines in plan where the top may have a kink;
    edges across them are split on them. probes_mm: (p, 2) places all over the patch that are looked at once the rest is
    right, so that nothing small is missed between the edges. A very large or rough patch gets a
    coarser net: each time the points become too many, longer edges stay whole.
    """
    plan, triangles = _start_net(polygon)
    extent_mm = float(np.ptp(plan, axis=0).max())
    longest_mm = max(LONGEST_EDGE_MM, LONGEST_SHARE * extent_mm)
    shortest_mm = max(SHORTEST_EDGE_MM, SHORTEST_SHARE * extent_mm)
    net = _Net(
        plan=plan, height=tops.heights_mm(plan, gap_mm, part_of(goes_on, 0.0, 0.0)), triangles=triangles,
        state=np.full(len(triangles), NEW, dtype=np.int8), right=NONE, wrong=NONE,
    )  # fmt: skip
    stragglers = probed = 0
    let_be = False
    for round_ in range(MOST_ROUNDS):
        stretch = part_of(goes_on, 1 - 0.95**round_, 1 - 0.95 ** (round_ + 1))
        report(stretch, 0.0)
        edges, of_triangle = sides(net.triangles, len(net.plan))
        length = np.hypot(*(net.plan[edges[:, 0]] - net.plan[edges[:, 1]]).T)
        split = length > longest_mm
        cliff = np.abs(net.height[edges[:, 0]] - net.height[edges[:, 1]]) > CLIFF * length
        share = length / np.where(cliff, max(shortest_mm, CLIFF_SHARE * gap_mm), shortest_mm)
        if not split.any():
            net, split = _judged(net, edges, of_triangle, share, tops, gap_mm, tolerance_mm, stretch)
        if not split.any() and probed < MOST_PROBED:
            probed += 1
            said = part_of(stretch, 0.8, 0.8)
            split = _probed(net, of_triangle, share, probes_mm, tops, gap_mm, tolerance_mm, said)
            net = replace(net, state=net.state & ~UNPROVED)
        if not split.any():
            break
        split = _apart(split, length, of_triangle)
        stragglers += int(split.sum()) < FEW_SHARE * len(split)
        if stragglers > STRAGGLERS:
            if let_be:
                break
            let_be, stragglers = True, 0
            net = replace(net, right=np.union1d(net.right, net.wrong), wrong=NONE)
            continue
        if len(net.plan) + int(split.sum()) > MANY_POINTS:
            shortest_mm *= COARSER
            if shortest_mm > longest_mm:
                break
            net = replace(net, wrong=NONE)
            continue
        net = _finer(net, edges, of_triangle, split, tops, gap_mm, creases_mm, stretch)
    return TopNet(points_mm=np.column_stack([net.plan, net.height]), triangles=net.triangles)


def lowered(net: TopNet, tops: ColumnTops, gaps_mm: FloatArray, which: BoolArray, goes_on: GoesOn) -> TopNet:
    """The same net with some of its points (n,) set anew, each for a gap of its own (n,)."""
    points = net.points_mm.copy()
    points[which, 2] = tops.heights_mm(points[which, :2], gaps_mm[which], goes_on)
    return replace(net, points_mm=points)


def _start_net(polygon: shapely.Polygon) -> tuple[FloatArray, IntArray]:
    pieces = shapely.get_parts(shapely.constrained_delaunay_triangles(polygon))
    corners = shapely.get_coordinates(pieces).reshape(-1, 4, 2)[:, :3]
    plan, number = np.unique(corners.reshape(-1, 2), axis=0, return_inverse=True)
    triangles = number.reshape(-1, 3)
    a, b, c = (plan[triangles[:, i]] for i in range(3))
    turned = (b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0] < 0
    triangles[turned] = triangles[turned][:, ::-1]
    return plan, triangles.astype(np.int64)


def _codes(edges: IntArray) -> IntArray:
    """(k,) one number for each edge (k, 2)."""
    return np.asarray((edges[:, 0] << 32) | edges[:, 1])


def _among(edges: IntArray, codes: IntArray) -> BoolArray:
    """(k,) True for edges among the codes (ascending)."""
    if not len(codes):
        return np.zeros(len(edges), dtype=bool)
    own = _codes(edges)
    return np.asarray(codes[np.minimum(np.searchsorted(codes, own), len(codes) - 1)] == own)


def _judged(
    net: _Net, edges: IntArray, of_triangle: IntArray, length: FloatArray,
    tops: ColumnTops, gap_mm: float, tolerance_mm: float, goes_on: GoesOn,
) -> tuple[_Net, BoolArray]:  # fmt: skip
    """The net with its new edges judged, and (k,) edges to split as they, or a triangle they are longest in, are off.

    length: (k,) in terms of the shortest worth splitting.
    """
    split = _among(edges, net.wrong)
    fine = (length <= 1) | (net.height[edges] < 0).all(axis=1)
    ask = np.flatnonzero(~split & ~_among(edges, net.right) & ~fine)
    points = np.column_stack([net.plan, net.height])
    middles = 0.5 * (points[edges[ask, 0]] + points[edges[ask, 1]])
    split[ask] = tops.off(middles, gap_mm, tolerance_mm, part_of(goes_on, 0.0, 0.5))
    quiet = np.flatnonzero((net.state & UNJUDGED > 0) & ~split[of_triangle].any(axis=1))
    own = of_triangle[quiet]
    longest = own[np.arange(len(quiet)), np.argmax(length[own], axis=1)]
    large = ~fine[longest]
    asked, longest = quiet[large], longest[large]
    a, b, c = points[net.triangles[asked]].transpose(1, 0, 2)
    off = tops.off((a + b + c) / 3, gap_mm, tolerance_mm, part_of(goes_on, 0.5, 0.8))
    split[longest[off]] = True
    state = net.state.copy()
    state[quiet] &= ~UNJUDGED
    return replace(net, right=np.sort(_codes(edges[~split])), wrong=np.sort(_codes(edges[split])), state=state), split


def _probed(
    net: _Net, of_triangle: IntArray, length: FloatArray, probes_mm: FloatArray,
    tops: ColumnTops, gap_mm: float, tolerance_mm: float, goes_on: GoesOn,
) -> BoolArray:  # fmt: skip
    """(k,) longest edges of triangles that are off at a probe or too near; length: (k,) in terms of the shortest."""
    corners = np.column_stack([net.plan, net.height])[net.triangles]
    tree = TriangleTree.of(corners)
    height, where = tree.first_above(np.column_stack([probes_mm, np.full(len(probes_mm), -1e30)]))
    met = (where >= 0) & (height > 0)
    places = np.column_stack([probes_mm, height])[met]
    off = where[met][tops.off(places, gap_mm, tolerance_mm, goes_on)]
    look = np.flatnonzero((net.state & UNPROVED > 0) & (net.height[net.triangles] > 0).all(axis=1))
    keep_mm = gap_mm - NEARER_SHARE * tolerance_mm
    for some in in_bites(len(look), goes_on):
        off = np.append(off, look[some][tops.nearer(corners[look[some]], keep_mm)])
    own = of_triangle[off]
    longest = own[np.arange(len(off)), np.argmax(length[own], axis=1)]
    split = np.zeros(len(length), dtype=bool)
    split[longest[length[longest] > 1]] = True
    return split


def _finer(
    net: _Net, edges: IntArray, of_triangle: IntArray, split: BoolArray,
    tops: ColumnTops, gap_mm: float, creases_mm: FloatArray, goes_on: GoesOn,
) -> _Net:  # fmt: skip
    new = _split_places(net.plan[edges[split]], creases_mm)
    plan = np.concatenate([net.plan, new])
    middle = np.full(len(edges), -1)
    middle[split] = len(net.plan) + np.arange(len(new))
    triangles, state = _cut(net.triangles, middle[of_triangle], net.state)
    well_shaped(plan, triangles, state)
    height = np.concatenate([net.height, tops.heights_mm(new, gap_mm, part_of(goes_on, 0.8, 1.0))])
    return _Net(plan=plan, height=height, triangles=triangles, state=state, right=net.right, wrong=net.wrong)


def _split_places(ends: FloatArray, creases_mm: FloatArray) -> FloatArray:
    """(k, 2) the middle of each edge (k, 2, 2), or where it crosses a crease."""
    share = crossings(ends, creases_mm)
    share[(share < NEAR_END) | (share > 1 - NEAR_END)] = 0.5
    return np.asarray(ends[:, 0] + share[:, None] * (ends[:, 1] - ends[:, 0]))


def _apart(wanted: BoolArray, length: FloatArray, of_triangle: IntArray) -> BoolArray:
    """(k,) edges out of those wanted, the longer first, of which no two belong to one triangle."""
    rank = np.zeros(len(length), dtype=np.int64)
    order = np.flatnonzero(wanted)
    rank[order[np.argsort(length[order], kind="stable")]] = np.arange(1, len(order) + 1)
    chosen = np.zeros(len(length), dtype=bool)
    for _ in range(PASSES):
        own = rank[of_triangle]
        best = rank > 0
        best[of_triangle[own < own.max(axis=1, keepdims=True)]] = False
        if not best.any():
            break
        chosen |= best
        rank[of_triangle[best[of_triangle].any(axis=1)]] = 0
    return chosen


def _cut(triangles: IntArray, middle: IntArray, state: IntArray) -> tuple[IntArray, IntArray]:
    """Triangles (m, 3) cut in two at the point on one of their sides (m, 3; -1 for none); and their state."""
    cut = (middle >= 0).any(axis=1)
    side = np.argmax(middle[cut], axis=1)
    a, b, c = np.take_along_axis(triangles[cut], (side[:, None] + np.arange(3)) % 3, axis=1).T
    m = middle[cut].max(axis=1)
    kept = triangles[~cut]
    new = np.full(2 * len(m), NEW, dtype=state.dtype)
    return (
        np.concatenate([kept, np.stack([a, m, c], axis=1), np.stack([m, b, c], axis=1)]),
        np.concatenate([state[~cut], new]),
    )
