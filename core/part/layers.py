"""Slices: area, perimeter and box of every layer of a body, and the outlines of any one of them."""

from dataclasses import dataclass
from functools import cached_property

import manifold3d as m3d
import numpy as np
import shapely

from core.part.slice_loops import BAND, band_lists, layer_sums, plane_pieces, walk_loops
from core.refusal import Refusal
from core.units import FloatArray, IntArray

MOST_LAYERS = 200_000
"""4 m of 20 µm layers."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Layers:
    """A body cut at the middle height of every layer, z0 + (i + 0.5) * layer.

    z_mm: (n,) heights of the cuts. area_mm2: (n,) by the signed sum over the pieces of outline, which needs no loops;
    where bodies overlap, the shared area counts twice (`polygons` counts it once). perimeter_mm: (n,) length of all
    outlines. box_mm: (n, 4) low x, low y, high x, high y, infinite for an empty layer. pieces: (n,) int64 number of
    straight pieces.
    """

    vertices_mm: FloatArray
    triangles: IntArray
    layer_mm: float
    z0_mm: float
    z_mm: FloatArray
    area_mm2: FloatArray
    perimeter_mm: FloatArray
    box_mm: FloatArray
    pieces: IntArray

    def __len__(self) -> int:
        return len(self.z_mm)

    @cached_property
    def _bands(self) -> tuple[IntArray, IntArray]:
        start, which = band_lists(self.vertices_mm, self.triangles, self.z0_mm, self.layer_mm, len(self))
        return start, which

    def layer_at(self, z_mm: float) -> int:
        """The layer whose slab holds a height; may lie outside 0 to n - 1."""
        return int(np.floor((z_mm - self.z0_mm) / self.layer_mm))

    def segments(self, i: int) -> FloatArray:
        """(k, 2, 2) start and end of the pieces of outline of layer i, x and y, the solid on their left."""
        return np.asarray(self._pieces(i)[0].reshape(-1, 2, 2))

    def _pieces(self, i: int) -> tuple[FloatArray, IntArray]:
        start, which = self._bands
        band = which[start[i // BAND] : start[i // BAND + 1]]
        ends, edge = plane_pieces(self.vertices_mm, self.triangles, band, float(self.z_mm[i]))
        return ends, edge

    def loops(self, i: int) -> list[FloatArray]:
        """Closed outlines of layer i, each (m, 2): counter-clockwise round solid, clockwise round a hole.

        Raises Refusal where the body is open.
        """
        ends, edge = self._pieces(i)
        if not len(ends):
            return []
        starting, ending = np.argsort(edge[:, 0], kind="stable"), np.argsort(edge[:, 1], kind="stable")
        loose = np.flatnonzero(edge[starting, 0] != edge[ending, 1])
        if loose.size:
            x, y = ends[starting[loose[0]], :2]
            raise Refusal(
                f"The outline of the layer at {self.z_mm[i]:.2f} mm isn't closed near x {x:.2f}, y {y:.2f} mm; "
                "close the holes of the part first."
            )
        following = np.empty(len(ends), dtype=np.int64)
        following[ending] = starting
        order, start = walk_loops(following)
        points = np.ascontiguousarray(ends[order, :2])
        return np.split(points, start[1:-1])

    def section(self, i: int) -> m3d.CrossSection:
        """The solid area of layer i; overlapping bodies are one, a cavity is a hole (positive winding)."""
        return m3d.CrossSection(self.loops(i), m3d.FillRule.Positive)

    def polygons(self, i: int) -> tuple[shapely.Polygon, ...]:
        """Layer i as polygons with holes, one for each connected region. Raises Refusal where the body is open."""
        return polygons_of(self.section(i))


def slice_layers(vertices_mm: FloatArray, triangles: IntArray, layer_mm: float, z0_mm: float = 0.0) -> Layers:
    """Cut a body at mid-layer heights, from z0 up to its top.

    vertices_mm: (n, 3), shared by the triangles around them. triangles: (m, 3) outward. What lies below z0 is left out.
    Raises Refusal for a layer height that isn't above zero, or gives more than 200,000 layers.
    """
    points = np.ascontiguousarray(vertices_mm, dtype=np.float64)
    faces = np.ascontiguousarray(triangles, dtype=np.int32)
    if not (np.isfinite(layer_mm) and layer_mm > 0):
        raise Refusal(f"A layer of {layer_mm:g} mm can't be sliced; set a layer above zero.")
    top = float(points[:, 2].max()) if len(points) else z0_mm
    room = (top - z0_mm) / layer_mm
    if room > MOST_LAYERS:
        raise Refusal(
            f"A height of {top - z0_mm:.0f} mm in layers of {layer_mm:g} mm is more than {MOST_LAYERS} layers; "
            "set a thicker layer or check the unit of the part."
        )
    count = max(int(np.floor(room + 0.5)), 0)
    middle = points[:, :2].mean(axis=0) if len(points) else np.zeros(2)
    area, perimeter, box, pieces = layer_sums(
        points, faces, float(z0_mm), float(layer_mm), count, float(middle[0]), float(middle[1])
    )
    return Layers(
        vertices_mm=points,
        triangles=faces,
        layer_mm=float(layer_mm),
        z0_mm=float(z0_mm),
        z_mm=z0_mm + (np.arange(count) + 0.5) * layer_mm,
        area_mm2=area,
        perimeter_mm=perimeter,
        box_mm=box,
        pieces=pieces,
    )


def polygons_of(section: m3d.CrossSection) -> tuple[shapely.Polygon, ...]:
    """A plane area as polygons with holes, one for each connected region."""
    found = []
    for region in section.decompose():
        rings = [np.asarray(ring) for ring in region.to_polygons()]
        outer = int(np.argmax([_signed_area(ring) for ring in rings]))
        found.append(shapely.Polygon(rings[outer], [ring for k, ring in enumerate(rings) if k != outer]))
    return tuple(found)


def _signed_area(ring: FloatArray) -> float:
    x, y = ring.T
    return 0.5 * float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))
