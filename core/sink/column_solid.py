"""The full block under a top net: straight sides down to the build plate, nothing thinner than a least height."""

import manifold3d as m3d
import numpy as np
import shapely

from core.sink.footprint import LEAST_WIDTH_MM, boundary_loops, region_of_rings, rim_edges, tidy
from core.sink.sink_top import TopNet
from core.sink.solid import to_manifold


def column_solid(
    net: TopNet, polygon: shapely.Polygon, least_height_mm: float
) -> tuple[m3d.Manifold, shapely.Polygon, m3d.Manifold]:
    """Solid from the net down to z = 0, its plan outline, and what stands apart from it and isn't part of it.

    Where it would be lower than the least height it is left out, and the outline with it; all are empty when the
    top is too low everywhere. Of several regions that stay, the largest in plan is the solid. polygon: the plan
    outline of the net.
    """
    lowest = float(net.points_mm[:, 2].min())
    floor = 0.0 if lowest >= least_height_mm else min(lowest, 0.0) - 1.0
    solid = _walled(net, floor)
    if floor == 0.0:
        return solid, polygon, m3d.Manifold()
    region = region_of_rings(solid.slice(least_height_mm).simplify(1e-3).to_polygons())
    outlines = [] if region is None else tidy(region, LEAST_WIDTH_MM)
    if not outlines:
        return m3d.Manifold(), shapely.Polygon(), m3d.Manifold()
    outlines.sort(key=lambda p: p.area)
    ceiling = float(net.points_mm[:, 2].max()) + 1.0
    *rest, outline = outlines
    apart = solid ^ _extruded(rest, ceiling) if rest else m3d.Manifold()
    return solid ^ _extruded([outline], ceiling), outline, apart


def _extruded(outlines: list[shapely.Polygon], height_mm: float) -> m3d.Manifold:
    rings = [ring for outline in outlines for ring in (outline.exterior, *outline.interiors)]
    rings_xy = [np.asarray(ring.coords)[:-1] for ring in rings]
    return m3d.CrossSection(rings_xy, m3d.FillRule.EvenOdd).extrude(height_mm)


def _walled(net: TopNet, floor_mm: float) -> m3d.Manifold:
    """Top, straight sides and a bottom that only uses the rim's points."""
    n = len(net.points_mm)
    start, end = rim_edges(net.triangles).T
    loops = boundary_loops(net.triangles)
    rings = [net.points_mm[loop, :2] for loop in loops]
    flat = m3d.triangulate(rings)  # numbers count through the loops, counter-clockwise from above
    rim = np.concatenate(loops)
    floor_number = np.zeros(n, dtype=np.int64)
    floor_number[rim] = n + np.arange(len(rim))
    bottom = net.points_mm[rim]
    bottom[:, 2] = floor_mm
    low_start, low_end = floor_number[start], floor_number[end]
    sides = np.concatenate([np.stack([end, start, low_start], axis=1), np.stack([end, low_start, low_end], axis=1)])
    triangles = np.concatenate([net.triangles, np.asarray(flat)[:, ::-1] + n, sides])
    return to_manifold(np.concatenate([net.points_mm, bottom]), triangles)
