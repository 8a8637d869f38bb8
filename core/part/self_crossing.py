"""Find triangles of one mesh that cut through each other."""

from dataclasses import dataclass

import numpy as np

from core.units import FloatArray, IntArray

MOST_CHECKED = 2_000_000


@dataclass(frozen=True, kw_only=True, eq=False)
class Crossings:
    """count: pairs of triangles that cross. pairs: (n, 2) int32 the first of them."""

    count: int
    pairs: IntArray


def find_crossings(vertices: FloatArray, triangles: IntArray) -> Crossings:
    return Crossings(count=0, pairs=np.zeros((0, 2), np.int32))


def crossings_in_words(found: Crossings, vertices: FloatArray, triangles: IntArray) -> str:
    return ""
