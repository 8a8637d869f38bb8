"""Directions a sink may be drawn off in, and how to say them."""

import numpy as np

from core.part.part import Part
from core.sink.sink import Sink
from core.units import FloatArray

SPREAD = 162
"""Directions spread evenly over the sphere, besides those the part itself suggests."""
NEAR_MM = 3.0
MOST_NORMALS = 8
_AXES = (("+X", 0.0), ("+Y", 90.0), ("−X", 180.0), ("−Y", 270.0), ("+X", 360.0))


def ways_to_try(part: Part, sink: Sink) -> FloatArray:
    """(n, 3) unit directions, those nearest to straight down first.

    Evenly spread ones miss a slot, whose way out is one exact direction; that runs along the walls beside the
    sink, so the directions along two of the walls' normals at once are tried too, and the normals themselves.
    """
    k = np.arange(SPREAD) + 0.5
    z = 1 - 2 * k / SPREAD
    turn = np.pi * (1 + np.sqrt(5)) * k  # golden spiral
    even = np.stack([np.cos(turn) * np.sqrt(1 - z**2), np.sin(turn) * np.sqrt(1 - z**2), z], axis=1)
    level = np.radians(np.arange(0, 360, 15))
    flat = np.stack([np.cos(level), np.sin(level), np.zeros_like(level)], axis=1)
    normals = _normals_beside(part, sink)
    i, j = np.triu_indices(len(normals), 1)
    along = np.cross(normals[i], normals[j])
    size = np.linalg.norm(along, axis=1)
    along = along[size > 0.05] / size[size > 0.05, None]
    ways = np.concatenate([np.eye(3), -np.eye(3), flat, normals, -normals, along, -along, even])
    _, first = np.unique(np.round(ways, 5), axis=0, return_index=True)
    ways = ways[first]
    return np.asarray(ways[np.argsort(ways[:, 2], kind="stable")])


def _normals_beside(part: Part, sink: Sink) -> FloatArray:
    """(n, 3) the directions most of the part's faces around the sink look in, opposite ones taken as one."""
    low, high = sink.vertices_mm.min(axis=0) - NEAR_MM, sink.vertices_mm.max(axis=0) + NEAR_MM
    corners = part.corners_mm
    near = (corners.max(axis=1) >= low).all(axis=1) & (corners.min(axis=1) <= high).all(axis=1)
    normals, area = part.normals[near], part.areas_mm2[near]
    rounded = np.round(normals, 2)
    opposite = (rounded < 0) & (np.cumsum(rounded != 0, axis=1) == 1)  # first component that isn't zero is negative
    flip = np.where(opposite.any(axis=1), -1.0, 1.0)[:, None]
    kinds, number = np.unique(rounded * flip + 0.0, axis=0, return_inverse=True)
    weight = np.bincount(number.ravel(), area, len(kinds))
    found = []
    for kind in np.argsort(-weight)[:MOST_NORMALS]:
        same = number.ravel() == kind
        mean = (normals[same] * flip[same] * area[same, None]).sum(axis=0)
        length = np.linalg.norm(mean)
        if length > 0:
            found.append(mean / length)
    return np.array(found).reshape(-1, 3)


def towards_words(direction: FloatArray) -> str:
    """A direction (3,) as an engineer says it: straight down; level towards +X; towards 37° from +X, 12° down."""
    x, y, z = np.asarray(direction) / np.linalg.norm(direction)
    tilt = float(np.degrees(np.arcsin(np.clip(z, -1, 1))))
    if abs(tilt) > 89.5:
        return "straight down" if tilt < 0 else "straight up"
    azimuth = float(np.degrees(np.arctan2(y, x))) % 360
    name, at = min(_AXES, key=lambda axis: abs(axis[1] - azimuth))
    where = name if abs(at - azimuth) < 0.5 else f"{azimuth:.0f}° from +X to +Y"
    if abs(tilt) < 0.5:
        return f"level towards {where}"
    return f"towards {where}, {abs(tilt):.0f}° {'down' if tilt < 0 else 'up'}"
