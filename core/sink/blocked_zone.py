"""Where the part itself stands in the way between a patch and the build plate, seen in plan."""

from itertools import pairwise

import contourpy
import numpy as np
import shapely
from scipy.ndimage import distance_transform_edt
from shapely.geometry.base import BaseGeometry

from core.compiled import kernel
from core.units import BoolArray, FloatArray, IntArray

MOST_CELLS = 1_500_000
COARSE_CELLS = 10_000


def blocked_zone(
    corners_mm: FloatArray, chosen: BoolArray, outline: BaseGeometry, keep_mm: float, drop_mm: float
) -> BaseGeometry:
    """Plan region where a column up to the patch would come nearer than keep_mm to the part.

    corners_mm: (n, 3, 3) triangles of the part; chosen: (n,) True for the patch. A cell of a fine raster is
    blocked when some other face passes through it more than drop_mm below the patch; blocked cells are then
    widened by keep_mm. Returns an empty geometry when nothing is in the way. Conservative by up to two cells.
    """
    x0, y0, x1, y1 = outline.bounds
    cell = max(0.05, np.sqrt((x1 - x0 + 2) * (y1 - y0 + 2) / MOST_CELLS))
    pad = keep_mm + 3 * cell
    low = np.array([x0 - pad, y0 - pad])
    shape = (int(np.ceil((y1 - y0 + 2 * pad) / cell)) + 1, int(np.ceil((x1 - x0 + 2 * pad) / cell)) + 1)
    blocked, _ = _blocked_cells(corners_mm, chosen, low, cell, shape, drop_mm)
    if not blocked.any():
        return shapely.Polygon()
    away_mm = distance_transform_edt(~blocked) * cell
    xs, ys = low[0] + (np.arange(shape[1]) + 0.5) * cell, low[1] + (np.arange(shape[0]) + 0.5) * cell
    level = keep_mm + 0.75 * cell
    lines = contourpy.contour_generator(xs, ys, away_mm, fill_type="OuterOffset").filled(-1.0, level)
    zones = []
    for points, offsets in zip(*lines, strict=True):
        rings = [points[s:e] for s, e in pairwise(offsets)]
        zones.append(shapely.Polygon(rings[0], rings[1:]))
    zone = shapely.union_all(shapely.make_valid(zones))
    return zone.simplify(0.3 * cell).buffer(0.3 * cell, join_style="mitre", mitre_limit=2)


def free_share(corners_mm: FloatArray, chosen: BoolArray, drop_mm: float) -> float:
    """About which share of the patch, seen from below, has a free way down: a coarse count, to compare ways."""
    patch = corners_mm[chosen]
    low, high = patch.reshape(-1, 3).min(axis=0)[:2], patch.reshape(-1, 3).max(axis=0)[:2]
    cell = max(0.05, float(np.sqrt(np.prod(high - low + 1e-3) / COARSE_CELLS)))
    shape = (int((high[1] - low[1]) / cell) + 1, int((high[0] - low[0]) / cell) + 1)
    blocked, under = _blocked_cells(corners_mm, chosen, low, cell, shape, drop_mm + cell)
    return float((under & ~blocked).sum() / max(1, under.sum()))


def _blocked_cells(
    corners_mm: FloatArray, chosen: BoolArray, low: FloatArray, cell: float, shape: tuple[int, int], drop_mm: float
) -> tuple[BoolArray, BoolArray]:
    """Cells in which another face passes more than drop_mm below the patch, and those under the patch itself."""
    reference = np.full(shape, np.inf)
    _lowest_per_cell(corners_mm[chosen], low, cell, reference)
    under = np.isfinite(reference)
    nearest: IntArray = distance_transform_edt(~under, return_distances=False, return_indices=True)
    reference = reference[nearest[0], nearest[1]]
    others = corners_mm[~chosen]
    flat_low = np.minimum(np.minimum(others[:, 0], others[:, 1]), others[:, 2])
    flat_high = np.maximum(np.maximum(others[:, 0], others[:, 1]), others[:, 2])
    high = low + np.array(shape[::-1]) * cell
    near = (
        (flat_high[:, 0] >= low[0]) & (flat_high[:, 1] >= low[1])
        & (flat_low[:, 0] <= high[0]) & (flat_low[:, 1] <= high[1])
        & (flat_low[:, 2] < reference.max() - drop_mm)
    )  # fmt: skip
    blocked = np.zeros(shape, dtype=bool)
    _mark_below(np.ascontiguousarray(others[near]), low, cell, reference - drop_mm, blocked)
    return blocked, under


@kernel
def _lowest_per_cell(corners, low, cell, lowest):  # type: ignore[no-untyped-def]
    """Lower the raster to the lowest height of the triangles in the cells they touch."""
    nothing = np.zeros((1, 1), dtype=np.bool_)
    for i in range(len(corners)):
        _paint(corners, i, low, cell, lowest, nothing, 0)


@kernel
def _mark_below(corners, low, cell, limit, blocked):  # type: ignore[no-untyped-def]
    """Mark every cell in which some triangle passes below the limit height of that cell."""
    for i in range(len(corners)):
        _paint(corners, i, low, cell, limit, blocked, 1)


@kernel
def _paint(corners, i, low, cell, height, marked, mode):  # type: ignore[no-untyped-def]
    """Visit the cells a triangle touches; the triangle's height there is clamped to its own range.

    mode 0 lowers `height` to the triangle's height at the cell; mode 1 marks cells where its lowest height
    within the cell is below `height`.
    """
    ax, ay = corners[i, 0, 0] - low[0], corners[i, 0, 1] - low[1]
    bx, by = corners[i, 1, 0] - low[0], corners[i, 1, 1] - low[1]
    cx, cy = corners[i, 2, 0] - low[0], corners[i, 2, 1] - low[1]
    az, bz, cz = corners[i, 0, 2], corners[i, 1, 2], corners[i, 2, 2]
    z_low, z_high = min(az, bz, cz), max(az, bz, cz)
    area = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
    slope_x = slope_y = 0.0
    if abs(area) > 1e-14:
        slope_x = ((bz - az) * (cy - ay) - (cz - az) * (by - ay)) / area
        slope_y = ((cz - az) * (bx - ax) - (bz - az) * (cx - ax)) / area
    rows, columns = height.shape
    r0, r1 = int(max(0.0, min(ay, by, cy) / cell)), int(min(rows - 1.0, max(ay, by, cy) / cell))
    k0, k1 = int(max(0.0, min(ax, bx, cx) / cell)), int(min(columns - 1.0, max(ax, bx, cx) / cell))
    half = 0.5 * cell
    for r in range(r0, r1 + 1):
        y = (r + 0.5) * cell
        for k in range(k0, k1 + 1):
            x = (k + 0.5) * cell
            # the cell is outside when it lies wholly beyond one edge (separating axis; boxes already overlap)
            outside = False
            for e in range(3):
                if e == 0:
                    px, py, qx, qy, ox, oy = ax, ay, bx, by, cx, cy
                elif e == 1:
                    px, py, qx, qy, ox, oy = bx, by, cx, cy, ax, ay
                else:
                    px, py, qx, qy, ox, oy = cx, cy, ax, ay, bx, by
                nx, ny = qy - py, px - qx
                side = nx * (ox - px) + ny * (oy - py)
                if side > 0:
                    nx, ny = -nx, -ny
                if nx * (x - px) + ny * (y - py) > half * (abs(nx) + abs(ny)) + 1e-12:
                    outside = True
                    break
            if outside:
                continue
            z = az + slope_x * (x - ax) + slope_y * (y - ay)
            if mode == 0:
                height[r, k] = min(height[r, k], min(max(z, z_low), z_high))
            else:
                spread = half * (abs(slope_x) + abs(slope_y))
                if min(max(z - spread, z_low), z_high) < height[r, k]:
                    marked[r, k] = True
