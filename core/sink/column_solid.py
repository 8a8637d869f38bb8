"""The full block under a top net: straight sides down to the build plate, nothing thinner than a least height."""

import manifold3d as m3d
import numpy as np

from core.sink.sink_top import TopNet
from core.sink.solid import to_manifold
from core.units import IntArray


def column_solid(net: TopNet, least_height_mm: float) -> m3d.Manifold:
    """Solid from the net down to z = 0; where it would be lower than the least height it is left out.

    Empty when the top is too low everywhere.
    """
    lowest = float(net.points_mm[:, 2].min())
    floor = 0.0 if lowest >= least_height_mm else min(lowest, 0.0) - 1.0
    solid = _walled(net, floor)
    if floor == 0.0:
        return solid
    outline = solid.slice(least_height_mm).simplify(1e-3)
    if outline.is_empty():
        return m3d.Manifold()
    ceiling = float(net.points_mm[:, 2].max()) + 1.0
    return solid ^ outline.extrude(ceiling)


def _walled(net: TopNet, floor_mm: float) -> m3d.Manifold:
    n = len(net.points_mm)
    bottom = net.points_mm.copy()
    bottom[:, 2] = floor_mm
    start, end = _rim(net.triangles).T
    sides = np.concatenate([np.stack([end, start, start + n], axis=1), np.stack([end, start + n, end + n], axis=1)])
    triangles = np.concatenate([net.triangles, net.triangles[:, ::-1] + n, sides])
    return to_manifold(np.concatenate([net.points_mm, bottom]), triangles)


def _rim(triangles: IntArray) -> IntArray:
    """Directed edges (k, 2) without a partner."""
    edges = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    n = int(triangles.max()) + 1
    return edges[~np.isin(edges[:, 0] * n + edges[:, 1], edges[:, 1] * n + edges[:, 0])]
