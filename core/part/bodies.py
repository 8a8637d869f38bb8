"""Orient the triangles of every body outward, and tell bodies from the cavities inside them."""

from dataclasses import dataclass

import numpy as np

from core.compiled import kernel
from core.refusal import Refusal
from core.units import BoolArray, FloatArray, IntArray

_MOST_RAY_STEPS = 600_000_000
"""Work for telling bodies from cavities, some seconds; only thousands of shells in or above each other need more."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Bodies:
    """flip: (n_faces,) True where a triangle must be turned round. shell: (n_faces,) int32 shell number.

    n_turned_alone: triangles that disagreed with their shell. n_turned_shells: whole shells that faced the wrong
    way. one_sided: shells that can't be oriented at all. n_bodies: shells that are no cavity.
    """

    flip: BoolArray
    shell: IntArray
    n_turned_alone: int
    n_turned_outward: int
    n_turned_inward: int
    n_one_sided: int
    n_bodies: int


@kernel
def _flood(triangles: IntArray, mate: IntArray) -> tuple[IntArray, BoolArray, int, BoolArray, BoolArray]:
    """Shell of each face, flip of each face to agree with its shell's first, shell count, one-sided, closed."""
    n = len(triangles)
    shell = np.full(n, -1, np.int32)
    flip = np.zeros(n, np.bool_)
    stack = np.empty(n, np.int32)
    one_sided = np.zeros(n, np.bool_)
    closed = np.ones(n, np.bool_)
    count = 0
    for seed in range(n):
        if shell[seed] >= 0:
            continue
        shell[seed] = count
        stack[0] = seed
        top = 1
        while top > 0:
            top -= 1
            f = stack[top]
            for i in range(3):
                m = mate[3 * f + i]
                if m < 0:
                    closed[count] = False
                    continue
                g = m // 3
                same_way = triangles[f, i] == triangles[g, m % 3]
                wanted = flip[f] != same_way
                if shell[g] < 0:
                    shell[g] = count
                    flip[g] = wanted
                    stack[top] = g
                    top += 1
                elif flip[g] != wanted:
                    one_sided[count] = True
        count += 1
    return shell, flip, count, one_sided[:count].copy(), closed[:count].copy()


@kernel
def _volumes(points: FloatArray, triangles: IntArray, shell: IntArray, flip: BoolArray, count: int) -> FloatArray:
    volume = np.zeros(count)
    first = np.full(count, -1, np.int32)
    for f in range(len(triangles)):
        s = shell[f]
        if first[s] < 0:
            first[s] = triangles[f, 0]
        o = points[first[s]]
        a = points[triangles[f, 0]] - o
        b = points[triangles[f, 1]] - o
        c = points[triangles[f, 2]] - o
        v = a[0] * (b[1] * c[2] - b[2] * c[1]) + a[1] * (b[2] * c[0] - b[0] * c[2]) + a[2] * (b[0] * c[1] - b[1] * c[0])
        volume[s] += -v / 6.0 if flip[f] else v / 6.0
    return volume


@kernel
def _shells_above(
    points: FloatArray,
    triangles: IntArray,
    shell: IntArray,
    use: BoolArray,
    box: FloatArray,
    at: FloatArray,
    of: IntArray,
) -> tuple[IntArray, bool]:
    """How often a ray upward from each point, at (n, 3), cuts other usable shells; and if _MOST_RAY_STEPS sufficed.

    of: (n,) the shell a point is on; only shells whose box, (n_shells, 6), holds that one's box are cut. The points
    are kept in square cells of the plan, so that a small triangle meets few of them.
    """
    n = len(at)
    side = max(min(int(np.sqrt(n)), 512), 1)
    low_x, low_y = at[:, 0].min(), at[:, 1].min()
    step_x = max((at[:, 0].max() - low_x) / side, 1e-300)
    step_y = max((at[:, 1].max() - low_y) / side, 1e-300)
    cell = np.empty(n, np.int64)
    start = np.zeros(side * side + 1, np.int64)
    for q in range(n):
        i, j = int((at[q, 0] - low_x) / step_x), int((at[q, 1] - low_y) / step_y)
        cell[q] = min(i, side - 1) * side + min(j, side - 1)
        start[cell[q] + 1] += 1
    for c in range(side * side):
        start[c + 1] += start[c]
    kept = np.argsort(cell)
    hits = np.zeros(n, np.int32)
    steps = 0
    for f in range(len(triangles)):
        s = shell[f]
        if not use[s]:
            continue
        if steps > _MOST_RAY_STEPS:
            return hits, False
        a, b, c = points[triangles[f, 0]], points[triangles[f, 1]], points[triangles[f, 2]]
        high_z = max(a[2], b[2], c[2])
        first_i = max((min(a[0], b[0], c[0]) - low_x) / step_x, 0.0)
        first_j = max((min(a[1], b[1], c[1]) - low_y) / step_y, 0.0)
        last_i, last_j = (max(a[0], b[0], c[0]) - low_x) / step_x, (max(a[1], b[1], c[1]) - low_y) / step_y
        if first_i > side or first_j > side or last_i < 0 or last_j < 0:
            continue
        for i in range(min(int(first_i), side - 1), min(int(last_i), side - 1) + 1):
            j, k = min(int(first_j), side - 1), min(int(last_j), side - 1)
            steps += 1
            for slot in range(start[i * side + j], start[i * side + k + 1]):
                q = kept[slot]
                steps += 1
                t = of[q]
                if t == s or at[q, 2] > high_z or box[s, 0] > box[t, 0] or box[s, 3] < box[t, 3]:
                    continue
                if box[s, 1] > box[t, 1] or box[s, 4] < box[t, 4] or box[s, 2] > box[t, 2] or box[s, 5] < box[t, 5]:
                    continue
                px, py = at[q, 0], at[q, 1]
                u = (b[0] - a[0]) * (py - a[1]) - (b[1] - a[1]) * (px - a[0])
                v = (c[0] - b[0]) * (py - b[1]) - (c[1] - b[1]) * (px - b[0])
                w = (a[0] - c[0]) * (py - c[1]) - (a[1] - c[1]) * (px - c[0])
                if not ((u > 0 and v > 0 and w > 0) or (u < 0 and v < 0 and w < 0)):
                    continue
                if (u * c[2] + v * a[2] + w * b[2]) / (u + v + w) > at[q, 2]:
                    hits[q] += 1
    return hits, True


@kernel
def _shell_boxes(points: FloatArray, triangles: IntArray, shell: IntArray, count: int) -> FloatArray:
    """(n_shells, 6) low and high corners of every shell's box."""
    box = np.empty((count, 6))
    box[:, :3] = np.inf
    box[:, 3:] = -np.inf
    for f in range(len(triangles)):
        row = box[shell[f]]
        for i in range(3):
            for axis in range(3):
                value = points[triangles[f, i], axis]
                row[axis] = min(row[axis], value)
                row[3 + axis] = max(row[3 + axis], value)
    return box


def _depth_is_odd(points: FloatArray, triangles: IntArray, shell: IntArray, closed: BoolArray) -> BoolArray:
    """(n_shells,) True for a closed shell inside an odd number of other closed shells.

    Asked for three points on the shell, slightly aside of its corners so that no ray runs along a mesh edge; the
    majority counts.
    """
    count = len(closed)
    if int(closed.sum()) < 2:
        return np.zeros(count, dtype=bool)
    _, first = np.unique(shell, return_index=True)
    last = len(shell) - 1 - np.unique(shell[::-1], return_index=True)[1]
    faces = np.concatenate([first, (first + last) // 2, last])
    faces = np.where(shell[faces] == np.tile(np.arange(count), 3), faces, np.tile(first, 3))
    weight = np.array([0.5123, 0.2879, 0.1998])
    at = np.einsum("fij,i->fj", points[triangles[faces]], weight)
    boxes = _shell_boxes(points, triangles, shell, count)
    hits, all_asked = _shells_above(points, triangles, shell, closed, boxes, at, shell[faces].astype(np.int32))
    if not all_asked:
        raise Refusal(
            f"The file holds {int(closed.sum()):,} closed shells, too many above each other to tell bodies from "
            "cavities. Unite them in the CAD program or export fewer."
        )
    return np.asarray((hits.reshape(3, count) % 2).sum(axis=0) >= 2) & closed


def find_bodies(points: FloatArray, triangles: IntArray, mate: IntArray) -> Bodies:
    """Which triangles to turn round so that every body faces outward and every cavity inward.

    A closed shell inside an odd number of others is a cavity. An open or one-sided shell keeps the way most of
    its triangles face. mate: from edge_mates.
    """
    shell, flip, count, one_sided, closed = _flood(triangles, mate)
    closed = closed & ~one_sided
    size = np.bincount(shell, minlength=count)
    disagreeing = np.bincount(shell, weights=flip, minlength=count)
    turn_all = disagreeing * 2 > size
    flip = flip ^ turn_all[shell]
    n_alone = int(flip.sum())
    volume = _volumes(points, triangles, shell, flip, count)
    cavity = _depth_is_odd(points, triangles, shell, closed)
    wrong = closed & np.where(cavity, volume > 0, volume < 0)
    return Bodies(
        flip=flip ^ wrong[shell],
        shell=shell,
        n_turned_alone=n_alone,
        n_turned_outward=int((wrong & ~cavity).sum()),
        n_turned_inward=int((wrong & cavity).sum()),
        n_one_sided=int(one_sided.sum()),
        n_bodies=count - int(cavity.sum()),
    )


def number_shells(triangles: IntArray, mate: IntArray) -> IntArray:
    """(n_faces,) int32 number of the shell, joined by edges, that each triangle belongs to."""
    shell, _, _, _, _ = _flood(triangles, mate)
    return np.asarray(shell)
