"""The sink's top, column by column: how high it may reach one gap below a patch."""

from dataclasses import dataclass

import numba
import numpy as np

from core.compiled import kernel, parallel_kernel
from core.part.tree_search import first_above_one, nearest_one
from core.part.triangle_tree import TriangleTree
from core.progress import GoesOn, in_bites, part_of
from core.units import BoolArray, FloatArray, IntArray

LOWER_SHARE, UPPER_SHARE = 0.45, 0.5
"""How much of the tolerance a place between the net's points may be nearer, and farther, than what is aimed at."""
BESIDE_MM = 0.005
STRIDE_SHARE = 0.1
"""Columns are looked at from the top down in strides of this share of the gap at least."""
MISSED_MM = 1e-3
"""Sides of columns may be nearer by this much; what is left is seen in the exact check."""
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
    mm of height, zero for upright ones. folded: the patch lies over itself in plan, so that its lower storeys may stand
    beside higher columns. Places and points are given in the sheared frame, distances are true.
    """

    part: TriangleTree
    patch: TriangleTree
    lean: FloatArray
    folded: bool

    def heights_mm(self, plan_mm: FloatArray, gap_mm: FloatArray | float, goes_on: GoesOn) -> FloatArray:
        """(n,) heights for places (n, 2); every returned height keeps the gap (one, or (n,)) to the whole part."""
        plan = np.ascontiguousarray(plan_mm, dtype=np.float64)
        gaps = np.broadcast_to(np.asarray(gap_mm, dtype=np.float64), len(plan)).copy()
        heights = np.empty(len(plan))
        for some in in_bites(len(plan), goes_on):
            heights[some] = _column_tops(
                self.part.corners_mm, self.part.boxes, self.patch.corners_mm, self.patch.boxes,
                plan[some], self.lean, gaps[some], self.folded,
            )  # fmt: skip
        return heights

    def off(self, points_mm: FloatArray, gap_mm: float, tolerance_mm: float, goes_on: GoesOn) -> BoolArray:
        """(n,) True for points (n, 3) nearer than the gap by a lower share of the tolerance, or farther by an upper.

        Points past the patch's outline may lie lower than their column allows by BESIDE_MM.
        """
        if not len(points_mm):
            return np.zeros(0, dtype=bool)
        true = points_mm.copy()
        true[:, :2] += points_mm[:, 2:] * self.lean
        wrong = np.ones(len(true), dtype=bool)
        low, high = gap_mm - LOWER_SHARE * tolerance_mm, gap_mm + UPPER_SHARE * tolerance_mm
        for some in in_bites(len(true), part_of(goes_on, 0.0, 0.6)):
            wrong[some] = ~self.part.within(true[some], low, high)
        beside = np.flatnonzero(wrong)
        _, above = self.patch.first_above(np.column_stack([points_mm[beside, :2], np.full(len(beside), -1e30)]))
        beside = beside[above < 0]
        if len(beside):  # past the patch's outline the top only has to keep away, so its own height is what counts
            lift = points_mm[beside, 2] - self.heights_mm(
                points_mm[beside, :2], gap_mm, part_of(goes_on, 0.6, 1.0)
            )
            wrong[beside] = (lift > LOWER_SHARE * tolerance_mm) | (lift < -BESIDE_MM)
        return wrong

    def nearer(self, corners_mm: FloatArray, keep_mm: float) -> BoolArray:
        """(m,) True for triangles (m, 3, 3) that come nearer to the part than keep_mm, by exact distance."""
        true = corners_mm.copy()
        true[:, :, :2] += corners_mm[:, :, 2:] * self.lean
        return self.part.distances_to(true, keep_mm) < keep_mm


@parallel_kernel
def _column_tops(part, part_boxes, patch, patch_boxes, plan, lean, gaps, folded):  # type: ignore[no-untyped-def]
    heights = np.empty(len(plan))
    lx, ly = lean[0], lean[1]
    for i in numba.prange(len(plan)):
        x, y, gap = plan[i, 0], plan[i, 1], gaps[i]
        ceiling, _ = first_above_one(patch, patch_boxes, x, y, -1e30)
        if ceiling == np.inf:
            # past the patch's outline: as high as at the patch's nearest place in plan, where the gap allows
            qx, qy, qz = _nearest_in_plan(patch, patch_boxes, x, y)
            ceiling = _highest(part, part_boxes, qx, qy, qz, lx, ly, gap)
            d2, _, _, _, _ = nearest_one(part, part_boxes, x + lx * ceiling, y + ly * ceiling, ceiling, np.inf)
            top = ceiling if d2 >= gap * gap else _highest(part, part_boxes, x, y, ceiling, lx, ly, gap)
        else:
            top = _highest(part, part_boxes, x, y, ceiling, lx, ly, gap)
        heights[i] = _clear_below(part, part_boxes, x, y, top, lx, ly, gap) if folded else top
    return heights


@kernel
def _clear_below(part, boxes, x, y, top, lx, ly, gap):  # type: ignore[no-untyped-def]
    """Highest place, at most the given top, below which the whole column keeps the gap."""
    z, least = top, STRIDE_SHARE * gap
    lowest = max(0.0, boxes[0, 0, 2] - gap)
    for _ in range(400):
        z -= least
        if z <= lowest:
            break
        d2, _, _, _, _ = nearest_one(part, boxes, x + lx * z, y + ly * z, z, np.inf)
        d = np.sqrt(d2)
        if d < gap - MISSED_MM:
            top = z = _highest(part, boxes, x, y, z, lx, ly, gap)
            least = STRIDE_SHARE * gap
        else:
            least = max(STRIDE_SHARE * gap, (d - gap) / np.sqrt(1.0 + lx * lx + ly * ly))
    return top


@kernel
def _highest(part, boxes, x, y, ceiling, lx, ly, gap):  # type: ignore[no-untyped-def]
    """First height below the ceiling at which a column's end keeps the gap (sphere tracing, then bisection)."""
    bad, good, z = ceiling, -np.inf, ceiling - gap
    for _ in range(60):
        px, py = x + lx * z, y + ly * z
        d2, _, qx, qy, qz = nearest_one(part, boxes, px, py, z, np.inf)
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
    return good if good > -1e30 else LOWEST_MM


@kernel
def _nearest_in_plan(patch, boxes, x, y):  # type: ignore[no-untyped-def]
    """The place of the patch that is nearest in plan, found by looking at its own height again and again."""
    z = boxes[0, 0, 2]
    qx, qy, qz = x, y, z
    for _ in range(60):  # on a slope each step halves what is left
        _, _, qx, qy, qz = nearest_one(patch, boxes, x, y, z, np.inf)
        if abs(qz - z) < 1e-6:
            break
        z = qz
    return qx, qy, qz
