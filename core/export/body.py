"""One mesh on its way into a file."""

from dataclasses import dataclass

from core.units import FloatArray, IntArray


@dataclass(frozen=True, kw_only=True, eq=False)
class Body:
    """vertices_mm: (n, 3). triangles: (m, 3), outward. object_type: as in the 3MF core specification."""

    name: str
    vertices_mm: FloatArray
    triangles: IntArray
    object_type: str = "solidsupport"
