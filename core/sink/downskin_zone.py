"""Downskin zones: what of the part lies within some layers above a patch; none in another, none outside the part."""

from dataclasses import dataclass

import manifold3d as m3d
import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from core.part.part import Part
from core.progress import GoesOn, never_stop, report
from core.refusal import Refusal
from core.sink.solid import gated, to_manifold, volume_mm3
from core.units import FloatArray, IntArray

CRUMB_MM3 = 1e-3
"""Smaller pieces, which zones side by side leave at their seams, are left out."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Zone:
    """The zone above one patch: one or more closed pieces in build position.

    vertices_mm: (n, 3) float64 holding float32 values; triangles: (m, 3) int32, outward. height_mm: along z.
    share: of the prism above the patch that lies in the part and in no earlier zone; 1 where the part is thick enough.
    """

    patch: int
    height_mm: float
    vertices_mm: FloatArray
    triangles: IntArray
    volume_mm3: float
    share: float


def downskin_zones(
    part: Part, patches: list[tuple[int, IntArray]], heights_mm: list[float], goes_on: GoesOn = never_stop
) -> tuple[list[Zone], list[str]]:
    """A zone per patch in order, an earlier one going first where two meet; and sentences on those left out.

    patches: (id, (n,) downskin triangle numbers). heights_mm: layers times layer thickness, one per patch.
    Zone = part and (patch moved up along z by its height), less the earlier zones. Raises Refusal for a part that
    is no solid, Stopped when told to stop.
    """
    whole = to_manifold(part.vertices_mm, part.triangles)
    if whole.status() != m3d.Error.NoError:
        raise Refusal("No downskin zone can be cut from this part, as it is no closed solid; repair it first.")
    zones: list[Zone] = []
    said: list[str] = []
    taken = m3d.Manifold()
    for k, ((number, faces), height_mm) in enumerate(zip(patches, heights_mm, strict=True)):
        report(goes_on, k / len(patches))
        prism = raised_patch(part, faces, height_mm)
        zone = (whole ^ prism) - taken
        pieces = [piece for piece in zone.decompose() if piece.volume() > CRUMB_MM3]
        if prism.status() != m3d.Error.NoError or not pieces:
            said.append(f"No zone was cut above patch {number}: nothing of the part is left there for one.")
            continue
        try:
            bodies = [gated(piece)[:2] for piece in pieces]
        except Refusal:
            said.append(f"No zone was cut above patch {number}: it would be no clean solid; change its layers.")
            continue
        taken = taken + zone
        starts = np.cumsum([0] + [len(vertices) for vertices, _ in bodies])
        zones.append(
            Zone(
                patch=number,
                height_mm=height_mm,
                vertices_mm=np.concatenate([vertices for vertices, _ in bodies]),
                triangles=np.concatenate([t + s for (_, t), s in zip(bodies, starts, strict=False)]).astype(np.int32),
                volume_mm3=sum(volume_mm3(*body) for body in bodies),
                share=zone.volume() / prism.volume(),
            )
        )
    return zones, said


def raised_patch(part: Part, faces: IntArray, height_mm: float) -> m3d.Manifold:
    """The space a patch sweeps when moved up along z: the patch, its copy above, and walls along its outline.

    Where two parts of the patch meet in one point only, they get a point each, so that the walls close.
    """
    corner, vertices = _own_corners(part.triangles[faces])
    points = part.vertices_mm[vertices]
    n = len(points)
    start, end = corner.ravel(), np.roll(corner, -1, axis=1).ravel()
    inner = np.isin(start.astype(np.int64) * n + end, end.astype(np.int64) * n + start)
    a, b = start[~inner], end[~inner]
    walls = [np.column_stack([b, a, a + n]), np.column_stack([b, a + n, b + n])]
    triangles = np.concatenate([corner, corner[:, ::-1] + n, *walls])
    return to_manifold(np.concatenate([points, points + [0.0, 0.0, height_mm]]), triangles)


def _own_corners(triangles: IntArray) -> tuple[IntArray, IntArray]:
    """(n, 3) corners numbered so that two triangles share one only beside a common edge; (k,) the vertex of each."""
    n = len(triangles)
    most = int(triangles.max()) + 1
    start = triangles.astype(np.int64).ravel()
    end = np.roll(triangles, -1, axis=1).astype(np.int64).ravel()
    there, back = start * most + end, end * most + start
    order = np.argsort(there)
    at = np.searchsorted(there, back, sorter=order)
    met = at < 3 * n
    met[met] = there[order[at[met]]] == back[met]
    own = np.flatnonzero(met)
    other = order[at[met]]
    following = own - own % 3 + (own % 3 + 1) % 3
    other_following = other - other % 3 + (other % 3 + 1) % 3
    rows, columns = np.concatenate([own, following]), np.concatenate([other_following, other])
    graph = coo_array((np.ones(len(rows), np.int8), (rows, columns)), shape=(3 * n, 3 * n))
    count, number = connected_components(graph, directed=False)
    vertex = np.empty(count, dtype=np.int64)
    vertex[number] = start
    return number.reshape(-1, 3), vertex
