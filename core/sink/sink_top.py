"""The sink's top: the surface one gap below a patch, column by column, as a fine enough triangle net."""

from dataclasses import dataclass

import numba
import numpy as np
import shapely

from core.compiled import kernel, parallel_kernel
from core.part.tree_search import first_above_one, nearest_one
from core.part.triangle_tree import TriangleTree
from core.progress import GoesOn, report
from core.units import BoolArray, FloatArray, IntArray

LONGEST_EDGE_MM = 4.0
LONGEST_SHARE = 1 / 40
"""Longer edges are halved unasked: than this, and than this share of the outline."""
SHORTEST_EDGE_MM = 0.02
MANY_POINTS = 120_000
"""From here on a net follows the patch less closely, rather than not at all."""
COARSEST_MM = 0.1
BESIDE_MM = 0.05
LOWEST_MM = -1.0
"""Height given to a column that finds no place below the patch: below the plate, so it is cut away."""


@dataclass(frozen=True, kw_only=True, eq=False)
class TopNet:
    """points_mm: (n, 3) on the sink's top; triangles: (m, 3), counter-clockwise from above."""

    points_mm: FloatArray
    triangles: IntArray


@dataclass(frozen=True, kw_only=True, eq=False)
class ColumnTops:
    """Finds how high a column may reach at a place: the first height below the patch at distance gap.

    part: as it is. patch: sheared so that leaning columns stand upright. lean: (2,) sideways move of a column per
    mm of height, zero for upright ones. Places and points are given in the sheared frame, distances are true.
    """

    part: TriangleTree
    patch: TriangleTree
    lean: FloatArray

    def heights_mm(self, plan_mm: FloatArray, gap_mm: float) -> FloatArray:
        """(n,) heights for places (n, 2); every returned height keeps the gap to the whole part."""
        heights: FloatArray = _column_tops(
            self.part.corners_mm, self.part.boxes, self.patch.corners_mm, self.patch.boxes,
            np.ascontiguousarray(plan_mm, dtype=np.float64), self.lean, gap_mm,
        )  # fmt: skip
        return heights


    def off(self, points_mm: FloatArray, gap_mm: float, tolerance_mm: float) -> BoolArray:
        """(n,) True for points (n, 3) nearer than the gap by 0.45 tolerances, or farther by 0.5.

        Points past the patch's outline may lie lower than their column allows by BESIDE_MM.
        """
        if not len(points_mm):
            return np.zeros(0, dtype=bool)
        true = points_mm.copy()
        true[:, :2] += points_mm[:, 2:] * self.lean
        within = self.part.within(true, gap_mm - 0.45 * tolerance_mm, gap_mm + 0.5 * tolerance_mm)
        wrong = ~within & (points_mm[:, 2] >= 0)
        beside = np.flatnonzero(wrong)
        _, above = self.patch.first_above(np.column_stack([points_mm[beside, :2], np.full(len(beside), -1e30)]))
        beside = beside[above < 0]
        if len(beside):  # past the patch's outline the top only has to keep away, so its own height is what counts
            lift = points_mm[beside, 2] - self.heights_mm(points_mm[beside, :2], gap_mm)
            wrong[beside] = (lift > 0.45 * tolerance_mm) | (lift < -BESIDE_MM)
        return wrong


@parallel_kernel
def _column_tops(part, part_boxes, patch, patch_boxes, plan, lean, gap):  # type: ignore[no-untyped-def]
    heights = np.empty(len(plan))
    lx, ly = lean[0], lean[1]
    for i in numba.prange(len(plan)):
        x, y = plan[i, 0], plan[i, 1]
        ceiling, _ = first_above_one(patch, patch_boxes, x, y, -1e30)
        if ceiling == np.inf:
            # past the patch's outline: go on from the patch's nearest place in plan, level or falling
            ceiling = _height_beside(patch, patch_boxes, x, y, gap)
            d2, _, _, _, _ = nearest_one(part, part_boxes, x + lx * ceiling, y + ly * ceiling, ceiling, np.inf)
            if d2 >= gap * gap:
                heights[i] = ceiling
                continue
        bad, good, z = ceiling, -np.inf, ceiling - gap
        for _ in range(60):
            px, py = x + lx * z, y + ly * z
            d2, _, qx, qy, qz = nearest_one(part, part_boxes, px, py, z, np.inf)
            d = np.sqrt(d2)
            # change of the distance per mm of height
            rate = max(abs((qx - px) * lx + (qy - py) * ly + qz - z) / d, 0.05) if d > 0 else 0.05
            if d < gap:
                bad = z
                step = (gap - d) / rate + 1e-5
                z = z - step if good == -np.inf else 0.5 * (good + bad)
            else:
                good = z
                if d - gap < 2e-4:
                    break
                up = z + (d - gap) / rate
                z = up if up < bad else 0.5 * (good + bad)
                if bad - good < 1e-5:
                    break
        heights[i] = good if good > -1e30 else LOWEST_MM
    return heights


@kernel
def _height_beside(patch, boxes, x, y, gap):  # type: ignore[no-untyped-def]
    """Height one gap below the patch's nearest place in plan; where the patch falls outwards, below its plane."""
    z, slot, qz = boxes[0, 0, 2], 0, boxes[0, 0, 2]
    for _ in range(60):  # on a slope each step halves what is left
        _, slot, _, _, qz = nearest_one(patch, boxes, x, y, z, np.inf)
        if abs(qz - z) < 1e-6:
            break
        z = qz
    t = patch[slot]
    ux, uy, uz = t[1, 0] - t[0, 0], t[1, 1] - t[0, 1], t[1, 2] - t[0, 2]
    vx, vy, vz = t[2, 0] - t[0, 0], t[2, 1] - t[0, 1], t[2, 2] - t[0, 2]
    nx, ny, nz = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
    if nz == 0:
        return qz - gap
    plane = t[0, 2] - (nx * (x - t[0, 0]) + ny * (y - t[0, 1])) / nz
    return min(plane, qz) - gap * np.sqrt(nx * nx + ny * ny + nz * nz) / abs(nz)


def net_over(
    polygon: shapely.Polygon, tops: ColumnTops, gap_mm: float, tolerance_mm: float, goes_on: GoesOn
) -> TopNet:
    """Triangle net over a plan polygon, one gap below the patch at its points and near enough between them.

    Starts from the constrained Delaunay triangles of the polygon and bisects longest edges (Rivara 1984)
    until edges are short and, at every edge middle and triangle centre tried, the distance to the part is the
    gap within the tolerance. A very large or rough patch gets a coarser net: the tolerance doubles each time the
    points become too many, up to COARSEST_MM.
    """
    plan, triangles = _start_net(polygon)
    height = tops.heights_mm(plan, gap_mm)
    fresh = np.ones(len(triangles), dtype=bool)
    longest_mm = max(LONGEST_EDGE_MM, LONGEST_SHARE * float(np.ptp(plan, axis=0).max()))
    known = 0  # edges between points known before this round were asked and found right
    for round_ in range(60):
        report(goes_on, min(0.9, round_ / 20))
        points = np.column_stack([plan, height])
        edges, of_triangle = _edges(triangles)
        length = np.linalg.norm(plan[edges[:, 0]] - plan[edges[:, 1]], axis=1)
        split = length > longest_mm
        ask = (edges >= known).any(axis=1) & ~split & (length > SHORTEST_EDGE_MM)
        split[ask] = tops.off(points[edges[ask]].mean(axis=1), gap_mm, tolerance_mm)
        quiet = fresh & ~split[of_triangle].any(axis=1)
        longest = of_triangle[np.arange(len(triangles)), np.argmax(length[of_triangle], axis=1)]
        quiet &= length[longest] > SHORTEST_EDGE_MM
        wrong = tops.off(points[triangles[quiet]].mean(axis=1), gap_mm, tolerance_mm)
        split[longest[quiet][wrong]] = True
        if not split.any():
            break
        split = _close(split, of_triangle, longest)
        if len(plan) + int(split.sum()) > MANY_POINTS:
            tolerance_mm *= 2
            if tolerance_mm > COARSEST_MM:
                break
            continue
        new, triangles, fresh = _bisect(plan, edges, triangles, of_triangle, split, longest)
        known = len(plan)
        plan = np.concatenate([plan, new])
        height = np.concatenate([height, tops.heights_mm(new, gap_mm)])
    return TopNet(points_mm=np.column_stack([plan, height]), triangles=triangles)


def lowered(net: TopNet, tops: ColumnTops, gap_mm: float) -> TopNet:
    """The same net for another gap."""
    plan = net.points_mm[:, :2]
    return TopNet(points_mm=np.column_stack([plan, tops.heights_mm(plan, gap_mm)]), triangles=net.triangles)


def _start_net(polygon: shapely.Polygon) -> tuple[FloatArray, IntArray]:
    pieces = shapely.get_parts(shapely.constrained_delaunay_triangles(polygon))
    corners = shapely.get_coordinates(pieces).reshape(-1, 4, 2)[:, :3]
    plan, number = np.unique(corners.reshape(-1, 2), axis=0, return_inverse=True)
    triangles = number.reshape(-1, 3)
    a, b, c = (plan[triangles[:, i]] for i in range(3))
    turned = (b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0] < 0
    triangles[turned] = triangles[turned][:, ::-1]
    return plan, triangles.astype(np.int64)


def _edges(triangles: IntArray) -> tuple[IntArray, IntArray]:
    """Unique edges (k, 2) and, per triangle, the number of the edge that leaves each corner (m, 3)."""
    pairs = np.stack([triangles, np.roll(triangles, -1, axis=1)], axis=2).reshape(-1, 2)
    pairs.sort(axis=1)
    code = pairs[:, 0] * (int(triangles.max()) + 1) + pairs[:, 1]
    _, first, number = np.unique(code, return_index=True, return_inverse=True)
    return pairs[first], number.reshape(-1, 3)


def _close(split: BoolArray, of_triangle: IntArray, longest: IntArray) -> BoolArray:
    """Also split the longest edge of every triangle that has a split edge, until nothing changes."""
    while True:
        more = longest[split[of_triangle].any(axis=1)]
        if split[more].all():
            return split
        split[more] = True


def _bisect(
    plan: FloatArray, edges: IntArray, triangles: IntArray, of_triangle: IntArray, split: BoolArray, longest: IntArray
) -> tuple[FloatArray, IntArray, BoolArray]:
    """Split marked edges in the middle; each triangle first along its longest edge, then its halves."""
    new = plan[edges[split]].mean(axis=1)
    middle = np.full(len(edges), -1)
    middle[split] = len(plan) + np.arange(len(new))
    touched = split[of_triangle].any(axis=1)
    kept = triangles[~touched]
    at = np.argmax(of_triangle[touched] == longest[touched][:, None], axis=1)
    turn = (at[:, None] + np.arange(3)) % 3
    corner = np.take_along_axis(triangles[touched], turn, axis=1)
    mid = middle[np.take_along_axis(of_triangle[touched], turn, axis=1)]
    a, b, c = corner.T
    m, mb, mc = mid.T  # middles of a-b (longest, always split), b-c and c-a
    parts = []
    for has, first, second, third, centre in ((mb >= 0, m, b, c, mb), (mc >= 0, c, a, m, mc)):
        # halves (m, b, c) split at b-c and (c, a, m) split at c-a; each listed so that the split edge is second-third
        if centre is mb:
            parts.append(np.stack([first, second, third], axis=1)[~has])
            parts.append(np.stack([first, second, centre], axis=1)[has])
            parts.append(np.stack([first, centre, third], axis=1)[has])
        else:
            parts.append(np.stack([first, second, third], axis=1)[~has])
            parts.append(np.stack([first, centre, third], axis=1)[has])
            parts.append(np.stack([centre, second, third], axis=1)[has])
    made = np.concatenate(parts)
    fresh = np.zeros(len(kept) + len(made), dtype=bool)
    fresh[len(kept) :] = True
    return new, np.concatenate([kept, made]), fresh
