"""What a reader hands over: the triangles of a file as they stand in it, nothing repaired."""

from dataclasses import dataclass

from core.refusal import Refusal
from core.units import FloatArray, IntArray

MOST_TRIANGLES = 20_000_000
"""Larger files are refused: above this the later steps need more memory than a common workstation has."""


@dataclass(frozen=True, kw_only=True, eq=False)
class RawMesh:
    """Triangles in the file's own unit and order.

    points: (n_points, 3) float64. triangles: (n, 3) int32, every index checked. unit: the unit the file states
    (points are in it), or None when the format has none. brep_face: (n,) int32 for STEP, else None.
    indexed: True when the file says itself which triangles share a corner.
    """

    points: FloatArray
    triangles: IntArray
    file_format: str
    unit: str | None = None
    indexed: bool = True
    brep_face: IntArray | None = None
    warnings: tuple[str, ...] = ()


def check_triangle_count(count: int) -> None:
    """Raise Refusal when a file holds no triangle or more than can be worked on."""
    if count <= 0:
        raise Refusal("The file holds no triangles. Export the part again as a solid body.")
    if count > MOST_TRIANGLES:
        raise Refusal(
            f"The file holds {count:,} triangles; at most {MOST_TRIANGLES:,} can be worked on. "
            "Export the part with a coarser tolerance."
        )
