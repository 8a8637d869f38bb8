"""What stands under low-angle faces, seen along one build direction: columns on a grid of cells, free or in the way."""

import numpy as np

from core.compiled import kernel
from core.units import BoolArray, FloatArray, IntArray

UP, STEEP, LOW = 0, 1, 2
"""What a line straight up crosses: a face that looks up, one that looks down steeply, a low-angle one."""


@kernel
def crossings(
    points: FloatArray, triangles: IntArray, low: BoolArray, resting: BoolArray, step: float, nx: int, ny: int
) -> tuple[IntArray, FloatArray, IntArray]:
    """Where the upright lines through the middles of all cells cross the surface, from below to above.

    points: (n, 3) mm, lowest corner at 0, plan corner at 0, 0. resting: (n_faces,) faces on the plate, left out.
    Returns start (nx * ny + 1,), height (m,) mm and kind (m,). A line through an edge crosses one of its two faces:
    both work out the same place on the edge, and intervals are half open.
    """
    head = np.full(nx * ny, -1, np.int32)
    room = 4 * nx * ny + 1024
    after, height, kind = np.empty(room, np.int32), np.empty(room), np.empty(room, np.int8)
    n = 0
    x_at, z_at = np.empty(2), np.empty(2)
    next_cell = np.empty((len(points), 2), np.int32)
    for v in range(len(points)):
        for i in range(2):
            next_cell[v, i] = int(np.ceil(points[v, i] / step - 0.5))
    for f in range(len(triangles)):
        if resting[f]:
            continue
        a, b, c = triangles[f, 0], triangles[f, 1], triangles[f, 2]
        first = min(next_cell[a, 1], next_cell[b, 1], next_cell[c, 1])
        last = max(next_cell[a, 1], next_cell[b, 1], next_cell[c, 1]) - 1
        if first > last or next_cell[a, 0] == next_cell[b, 0] == next_cell[c, 0]:
            continue
        xa, ya = points[a, 0], points[a, 1]
        turn = (points[b, 0] - xa) * (points[c, 1] - ya) - (points[c, 0] - xa) * (points[b, 1] - ya)
        what = UP if turn > 0 else (LOW if low[f] else STEEP)
        for row in range(first, min(last, ny - 1) + 1):
            y = (row + 0.5) * step
            met = 0
            for i in range(3):
                p, q = triangles[f, i], triangles[f, (i + 1) % 3]
                if p > q:
                    p, q = q, p
                if (points[p, 1] <= y) != (points[q, 1] <= y) and met < 2:
                    along = (y - points[p, 1]) / (points[q, 1] - points[p, 1])
                    x_at[met] = points[p, 0] + along * (points[q, 0] - points[p, 0])
                    z_at[met] = points[p, 2] + along * (points[q, 2] - points[p, 2])
                    met += 1
            if met < 2:
                continue
            i, j = (0, 1) if x_at[0] <= x_at[1] else (1, 0)
            begin = int(np.ceil(x_at[i] / step - 0.5))
            end = min(int(np.ceil(x_at[j] / step - 0.5)), nx)
            for column in range(begin, end):
                if n == room:
                    after = np.concatenate((after, np.empty(room, np.int32)))
                    height = np.concatenate((height, np.empty(room)))
                    kind = np.concatenate((kind, np.empty(room, np.int8)))
                    room *= 2
                share = ((column + 0.5) * step - x_at[i]) / (x_at[j] - x_at[i])
                height[n] = z_at[i] + share * (z_at[j] - z_at[i])
                kind[n] = what
                cell = row * nx + column
                after[n] = head[cell]
                head[cell] = n
                n += 1
    return _in_order(head, after[:n], height[:n], kind[:n])


@kernel
def _in_order(
    head: IntArray, after: IntArray, height: FloatArray, kind: IntArray
) -> tuple[IntArray, FloatArray, IntArray]:
    """Chains of crossings as runs sorted by height."""
    start = np.zeros(len(head) + 1, np.int32)
    sorted_height, sorted_kind = np.empty_like(height), np.empty_like(kind)
    n = 0
    for cell in range(len(head)):
        k = head[cell]
        while k >= 0:
            j = n
            while j > start[cell] and sorted_height[j - 1] > height[k]:
                sorted_height[j] = sorted_height[j - 1]
                sorted_kind[j] = sorted_kind[j - 1]
                j -= 1
            sorted_height[j] = height[k]
            sorted_kind[j] = kind[k]
            n += 1
            k = after[k]
        start[cell + 1] = n
    return start, sorted_height, sorted_kind


@kernel
def _leaves_sideways(
    start: IntArray, height: FloatArray, kind: IntArray, nx: int, ny: int, cell: int, z: float
) -> bool:
    """True when a level line from the middle of a cell meets no metal in one of eight directions."""
    row, column = cell // nx, cell % nx
    for way in range(8):
        dx = (1, 1, 0, -1, -1, -1, 0, 1)[way]
        dy = (0, 1, 1, 1, 0, -1, -1, -1)[way]
        x, y = column + dx, row + dy
        free = True
        while free and 0 <= x < nx and 0 <= y < ny:
            c = y * nx + x
            k = start[c]
            while k < start[c + 1] and height[k] < z:
                k += 1
            if k > start[c]:
                free = kind[k - 1] == UP
            elif k < start[c + 1]:
                free = kind[k] != UP  # inside what rests on the plate
            x += dx
            y += dy
        if free:
            return True
    return False


@kernel
def columns(
    start: IntArray, height: FloatArray, kind: IntArray, nx: int, ny: int, step: float, gap_mm: float
) -> tuple[float, float, float, float, float]:
    """Columns from a gap below every low-angle place down to the plate or the part below.

    Returns their volume mm³, the plan area mm² they stand on, that of it over the part, that of it which leaves
    neither straight down nor level to one of eight sides, and the height mm of the highest column.
    """
    volume, plan, over, stuck, highest = 0.0, 0.0, 0.0, 0.0, 0.0
    for cell in range(nx * ny):
        for k in range(start[cell], start[cell + 1]):
            if kind[k] != LOW:
                continue
            below = height[k - 1] if k > start[cell] and kind[k - 1] == UP else 0.0
            tall = max(height[k] - below - gap_mm, 0.0)
            volume += tall
            plan += 1.0
            highest = max(highest, tall)
            if k > start[cell]:
                over += 1.0
                if not _leaves_sideways(start, height, kind, nx, ny, cell, 0.5 * (height[k] + below)):
                    stuck += 1.0
    area = step * step
    return volume * area, plan * area, over * area, stuck * area, highest
