"""The orientations that no other one beats in everything (Pareto front), thinned to a few that differ."""

import numpy as np

from core.units import FloatArray, IntArray

STEPS = 100.0
"""Values nearer than this part of an aim's range count as equal, else hair's breadths fill the front."""


def front_of(values: FloatArray, least_step: FloatArray) -> IntArray:
    """Ascending numbers of rows that no other row beats; less is better in every column.

    values: (n, k). least_step: (k,) below which a difference means nothing. Of rows that count as equal one stays,
    the least in sum.
    """
    if not len(values):
        return np.zeros(0, dtype=np.int64)
    low, step = values.min(axis=0), np.maximum(np.ptp(values, axis=0) / STEPS, least_step)
    scaled = (values - low) / step
    boxes = np.round(scaled)
    order = np.argsort(scaled.sum(axis=1), kind="stable")
    kept: list[int] = []
    for row in order:
        if not kept or not (boxes[kept] <= boxes[row]).all(axis=1).any():
            if kept:  # one of a lesser sum may still round to a beaten box
                beaten = (boxes[row] <= boxes[kept]).all(axis=1)
                kept = [k for k, out in zip(kept, beaten, strict=True) if not out]
            kept.append(int(row))
    return np.sort(np.array(kept, dtype=np.int64))


def spread_out(values: FloatArray, most: int) -> IntArray:
    """Numbers of at most so many rows: the best in each column, the most even one, then those furthest from all.

    The most even one, least in the sum of what each column adds between its best and its worst, comes first.
    """
    even = evenness(values)
    if len(values) <= most:
        return np.argsort(even, kind="stable")
    scaled = _scaled(values)
    chosen = list(dict.fromkeys([int(even.argmin()), *(int(i) for i in values.argmin(axis=0))]))[:most]
    away = np.linalg.norm(scaled[:, None] - scaled[chosen][None], axis=2).min(axis=1)
    while len(chosen) < most:
        chosen.append(int(away.argmax()))
        away = np.minimum(away, np.linalg.norm(scaled - scaled[chosen[-1]], axis=1))
    found = np.array(chosen)
    return found[np.argsort(even[found], kind="stable")]


def evenness(values: FloatArray) -> FloatArray:
    """(n,) sum over the columns of (n, k) of where a row lies between the best, 0, and the worst, 1."""
    return np.asarray(_scaled(values).sum(axis=1)) if len(values) else np.zeros(0)


def _scaled(values: FloatArray) -> FloatArray:
    reach = np.ptp(values, axis=0)
    return np.asarray((values - values.min(axis=0)) / np.where(reach > 0, reach, 1.0))
