"""The inner loops of the triangle tree: halving, nearest point, vertical rays, distance between triangle sets."""

import numba
import numpy as np

from core.compiled import kernel, parallel_kernel
from core.part.triangle_distance import closest_on_triangle, triangle_distance_squared

LEAF = 4
"""Triangles in a leaf."""
_STACK = 128


@kernel
def halved(centres, order):  # type: ignore[no-untyped-def]
    """Sort triangle numbers in place so that each run, halved again and again, is split across its longest side."""
    starts, ends = np.empty(_STACK, dtype=np.int64), np.empty(_STACK, dtype=np.int64)
    starts[0], ends[0], top = 0, len(order), 1
    while top:
        top -= 1
        start, end = starts[top], ends[top]
        if end - start <= 1:
            continue
        axis, widest = 0, -1.0
        for k in range(3):
            low, high = np.inf, -np.inf
            for i in range(start, end):
                low, high = min(low, centres[order[i], k]), max(high, centres[order[i], k])
            if high - low > widest:
                axis, widest = k, high - low
        middle = (start + end) // 2
        left, right = start, end - 1
        while left < right:  # Hoare's selection: everything before the middle is no larger than what follows
            pivot = centres[order[(left + right) // 2], axis]
            i, j = left, right
            while i <= j:
                while centres[order[i], axis] < pivot:
                    i += 1
                while centres[order[j], axis] > pivot:
                    j -= 1
                if i <= j:
                    order[i], order[j] = order[j], order[i]
                    i += 1
                    j -= 1
            if middle <= j:
                right = j
            elif middle >= i:
                left = i
            else:
                break
        starts[top], ends[top] = start, middle
        starts[top + 1], ends[top + 1] = middle, end
        top += 2


@kernel
def _box_distance_squared(boxes, node, x, y, z):  # type: ignore[no-untyped-def]
    dx = max(boxes[node, 0, 0] - x, 0.0, x - boxes[node, 1, 0])
    dy = max(boxes[node, 0, 1] - y, 0.0, y - boxes[node, 1, 1])
    dz = max(boxes[node, 0, 2] - z, 0.0, z - boxes[node, 1, 2])
    return dx * dx + dy * dy + dz * dz


@kernel
def nearest_one(corners, boxes, x, y, z, bound_squared):  # type: ignore[no-untyped-def]
    """Squared distance, slot and nearest point; slot -1 when nothing is nearer than the bound."""
    first_leaf = len(boxes) // 2
    best, slot = bound_squared, -1
    px, py, pz = x, y, z
    stack = np.empty(_STACK, dtype=np.int64)
    key = np.empty(_STACK)
    stack[0], key[0], top = 0, _box_distance_squared(boxes, 0, x, y, z), 1
    while top:
        top -= 1
        if key[top] >= best:
            continue
        node = stack[top]
        if node >= first_leaf:
            for i in range((node - first_leaf) * LEAF, (node - first_leaf) * LEAF + LEAF):
                d, qx, qy, qz = closest_on_triangle(corners, i, x, y, z)
                if d < best:
                    best, slot, px, py, pz = d, i, qx, qy, qz
            continue
        left, right = 2 * node + 1, 2 * node + 2
        dl = _box_distance_squared(boxes, left, x, y, z)
        dr = _box_distance_squared(boxes, right, x, y, z)
        if dl > dr:
            left, right, dl, dr = right, left, dr, dl
        if dr < best:
            stack[top], key[top] = right, dr
            top += 1
        if dl < best:
            stack[top], key[top] = left, dl
            top += 1
    return best, slot, px, py, pz


@parallel_kernel
def nearest_many(corners, boxes, points):  # type: ignore[no-untyped-def]
    n = len(points)
    distance = np.empty(n)
    slot = np.empty(n, dtype=np.int64)
    nearest = np.empty((n, 3))
    for i in numba.prange(n):
        d, s, x, y, z = nearest_one(corners, boxes, points[i, 0], points[i, 1], points[i, 2], np.inf)
        distance[i], slot[i] = np.sqrt(d), s
        nearest[i, 0], nearest[i, 1], nearest[i, 2] = x, y, z
    return distance, slot, nearest


@parallel_kernel
def within_many(corners, boxes, points, low, high):  # type: ignore[no-untyped-def]
    found = np.empty(len(points), dtype=np.bool_)
    for i in numba.prange(len(points)):
        d, slot, _, _, _ = nearest_one(corners, boxes, points[i, 0], points[i, 1], points[i, 2], high * high)
        found[i] = slot >= 0 and d >= low * low
    return found


@kernel
def first_above_one(corners, boxes, x, y, z):  # type: ignore[no-untyped-def]
    """Height and slot of the lowest triangle crossing the vertical line through (x, y) at or above z."""
    first_leaf = len(boxes) // 2
    best, slot = np.inf, -1
    stack = np.empty(_STACK, dtype=np.int64)
    stack[0], top = 0, 1
    while top:
        top -= 1
        node = stack[top]
        if x < boxes[node, 0, 0] or x > boxes[node, 1, 0] or y < boxes[node, 0, 1] or y > boxes[node, 1, 1]:
            continue
        if boxes[node, 1, 2] < z or boxes[node, 0, 2] >= best:
            continue
        if node < first_leaf:
            stack[top], stack[top + 1] = 2 * node + 1, 2 * node + 2
            top += 2
            continue
        for i in range((node - first_leaf) * LEAF, (node - first_leaf) * LEAF + LEAF):
            ax, ay = corners[i, 0, 0] - x, corners[i, 0, 1] - y
            bx, by = corners[i, 1, 0] - x, corners[i, 1, 1] - y
            cx, cy = corners[i, 2, 0] - x, corners[i, 2, 1] - y
            wa, wb, wc = bx * cy - by * cx, cx * ay - cy * ax, ax * by - ay * bx
            if (wa >= 0 and wb >= 0 and wc >= 0) or (wa <= 0 and wb <= 0 and wc <= 0):
                total = wa + wb + wc
                if total != 0:
                    h = (wa * corners[i, 0, 2] + wb * corners[i, 1, 2] + wc * corners[i, 2, 2]) / total
                    if z <= h < best:
                        best, slot = h, i
    return best, slot


@parallel_kernel
def first_above_many(corners, boxes, number, points):  # type: ignore[no-untyped-def]
    height = np.empty(len(points))
    which = np.empty(len(points), dtype=np.int64)
    for i in numba.prange(len(points)):
        h, slot = first_above_one(corners, boxes, points[i, 0], points[i, 1], points[i, 2])
        height[i] = h
        which[i] = number[slot] if slot >= 0 else -1
    return height, which


@kernel
def _node_bound_squared(boxes, node, low, high, nx, ny, nz, offset):  # type: ignore[no-untyped-def]
    """Lower bound of the squared distance from a node to a triangle with that box and plane."""
    dx = max(boxes[node, 0, 0] - high[0], 0.0, low[0] - boxes[node, 1, 0])
    dy = max(boxes[node, 0, 1] - high[1], 0.0, low[1] - boxes[node, 1, 1])
    dz = max(boxes[node, 0, 2] - high[2], 0.0, low[2] - boxes[node, 1, 2])
    by_box = dx * dx + dy * dy + dz * dz
    cx, cy, cz = (
        0.5 * (boxes[node, 0, 0] + boxes[node, 1, 0]),
        0.5 * (boxes[node, 0, 1] + boxes[node, 1, 1]),
        0.5 * (boxes[node, 0, 2] + boxes[node, 1, 2]),
    )
    reach = (
        (boxes[node, 1, 0] - cx) * abs(nx) + (boxes[node, 1, 1] - cy) * abs(ny) + (boxes[node, 1, 2] - cz) * abs(nz)
    )
    away = max(0.0, abs(cx * nx + cy * ny + cz * nz - offset) - reach)
    return max(by_box, away * away)


@kernel
def _apart_squared(corners, i, low, high):  # type: ignore[no-untyped-def]
    """Squared distance between the box of a triangle and another box."""
    total = 0.0
    for k in range(3):
        a, b, c = corners[i, 0, k], corners[i, 1, k], corners[i, 2, k]
        beside = max(min(a, b, c) - high[k], 0.0, low[k] - max(a, b, c))
        total += beside * beside
    return total


@kernel
def _distance_one(corners, number, boxes, other, j, bound_squared):  # type: ignore[no-untyped-def]
    """Least squared distance from triangle other[j] to the tree, when below the bound."""
    first_leaf = len(boxes) // 2
    low, high = np.empty(3), np.empty(3)
    for k in range(3):
        low[k] = min(other[j, 0, k], other[j, 1, k], other[j, 2, k])
        high[k] = max(other[j, 0, k], other[j, 1, k], other[j, 2, k])
    ux, uy, uz = other[j, 1, 0] - other[j, 0, 0], other[j, 1, 1] - other[j, 0, 1], other[j, 1, 2] - other[j, 0, 2]
    vx, vy, vz = other[j, 2, 0] - other[j, 0, 0], other[j, 2, 1] - other[j, 0, 1], other[j, 2, 2] - other[j, 0, 2]
    nx, ny, nz = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
    length = np.sqrt(nx * nx + ny * ny + nz * nz)
    if length > 0:
        nx, ny, nz = nx / length, ny / length, nz / length
    offset = other[j, 0, 0] * nx + other[j, 0, 1] * ny + other[j, 0, 2] * nz
    best, slot = bound_squared, -1
    stack = np.empty(_STACK, dtype=np.int64)
    key = np.empty(_STACK)
    stack[0], key[0], top = 0, 0.0, 1
    while top:
        top -= 1
        if key[top] >= best:
            continue
        node = stack[top]
        if node >= first_leaf:
            first = (node - first_leaf) * LEAF
            for i in range(first, first + LEAF):
                if i > first and number[i] == number[i - 1]:  # the rest of the leaf repeats its last triangle
                    break
                if _apart_squared(corners, i, low, high) >= best:
                    continue
                d = triangle_distance_squared(corners, i, other, j, best)
                if d < best:
                    best, slot = d, i
            continue
        left, right = 2 * node + 1, 2 * node + 2
        dl = _node_bound_squared(boxes, left, low, high, nx, ny, nz, offset)
        dr = _node_bound_squared(boxes, right, low, high, nx, ny, nz, offset)
        if dl > dr:
            left, right, dl, dr = right, left, dr, dl
        if dr < best:
            stack[top], key[top] = right, dr
            top += 1
        if dl < best:
            stack[top], key[top] = left, dl
            top += 1
    return best, slot


@parallel_kernel
def distance_between(corners, number, boxes, other, bound_squared):  # type: ignore[no-untyped-def]
    chunks = 64
    n = len(other)
    best = np.full(chunks, bound_squared)
    slot = np.full(chunks, -1)
    which = np.full(chunks, -1)
    for chunk in numba.prange(chunks):
        b, s, w = bound_squared, -1, -1
        for j in range(chunk, n, chunks):
            d, i = _distance_one(corners, number, boxes, other, j, b)
            if i >= 0:
                b, s, w = d, i, j
        best[chunk], slot[chunk], which[chunk] = b, s, w
    k = np.argmin(best)
    return best[k], slot[k], which[k]


@parallel_kernel
def distances_between(corners, number, boxes, other, bound_squared):  # type: ignore[no-untyped-def]
    """Least squared distance to the tree of each triangle, or the bound; neighbours in the list should lie near."""
    n = len(other)
    found = np.empty(n)
    run = 64
    for chunk in numba.prange((n + run - 1) // run):
        last = -1
        for j in range(chunk * run, min((chunk + 1) * run, n)):
            best = bound_squared
            if last >= 0:  # what was nearest to the triangle before is mostly near to this one
                best = triangle_distance_squared(corners, last, other, j, best)
            d, slot = _distance_one(corners, number, boxes, other, j, best)
            if slot >= 0:
                last = slot
            found[j] = d
    return found
