"""Slivers that openings would leave beside the outline or each other, in plan; they are opened too."""

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from core.units import FloatArray

SPECK_MM2 = 0.02
"""Slivers below this are nothing but rounding."""
OVERLAP_MM = 0.02
"""Slivers are taken this much larger, so that nothing of them stays."""


def slivers(region: BaseGeometry, cut: BaseGeometry, least_mm: float, neck_cut_mm: float = 0.0) -> BaseGeometry:
    """What of a plan region beside a cut is thinner than a width, and as such not to be left; may be empty.

    neck_cut_mm: how much narrower than they are higher up the walls stand on their necks, each side. Walls are then
    measured there. Found by shrinking and growing again, square at the corners.
    """
    rest = shapely.difference(region, cut)
    low = shapely.difference(region, cut.buffer(neck_cut_mm, join_style="mitre")) if neck_cut_mm else rest
    inner = low.buffer(-least_mm / 2, join_style="mitre")
    walls = inner.buffer(least_mm / 2 + neck_cut_mm + 1e-3, join_style="mitre")
    parts = shapely.get_parts(shapely.difference(rest, walls))
    thin = shapely.union_all(parts[(shapely.area(parts) > SPECK_MM2) & (shapely.distance(parts, cut) < OVERLAP_MM)])
    return thin.buffer(OVERLAP_MM, join_style="mitre", mitre_limit=2)


def rings_of(region: BaseGeometry) -> list[FloatArray]:
    """Outer rings and holes of a region, each (n, 2)."""
    polygons = [part for part in shapely.get_parts(region) if part.geom_type == "Polygon"]
    return [np.asarray(ring.coords)[:-1] for one in polygons for ring in (one.exterior, *one.interiors)]
