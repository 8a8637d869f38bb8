"""The way by which a sink comes off, as a line with an arrow's head."""

import numpy as np
from vtkmodules.vtkCommonDataModel import vtkPolyData

from app.view.meshes import line_mesh
from core.units import FloatArray

HEAD_SHARE = 0.06
"""Length of the head, as a share of the drawn way."""


def way_lines(way_mm: FloatArray, most_mm: float) -> vtkPolyData:
    """way_mm: (k, 3) corners of the way, k >= 2. most_mm: the way is drawn up to this length."""
    way = _first(np.asarray(way_mm, dtype=float), most_mm)
    legs = np.stack([way[:-1], way[1:]], axis=1)
    along = way[-1] - way[-2]
    length = float(np.linalg.norm(along))
    if length == 0:
        return line_mesh(legs)
    along /= length
    across = np.cross(along, np.eye(3)[np.argmin(np.abs(along))])
    across /= np.linalg.norm(across)
    up = np.cross(along, across)
    head = HEAD_SHARE * float(np.linalg.norm(np.diff(way, axis=0), axis=1).sum())
    barbs = [[way[-1], way[-1] - head * (along + 0.45 * side)] for side in (across, -across, up, -up)]
    return line_mesh(np.concatenate([legs, barbs]))


def _first(way: FloatArray, most_mm: float) -> FloatArray:
    """The way's beginning, at most so long."""
    steps = np.linalg.norm(np.diff(way, axis=0), axis=1)
    reached = np.concatenate([[0.0], np.cumsum(steps)])
    if reached[-1] <= most_mm:
        return way
    last = int(np.searchsorted(reached, most_mm)) - 1
    end = way[last] + (most_mm - reached[last]) / steps[last] * (way[last + 1] - way[last])
    return np.asarray(np.vstack([way[: last + 1], end]))
