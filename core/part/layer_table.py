"""What every layer adds: area, area newly hanging over powder, and islands that rest on nothing.

The self-support step is layer / tan(limit angle): how far a layer may stick out past the one below. New overhang is
the area outside the layer below grown by one step; an island is a connected region that lies wholly outside it.
Outlines are cut exactly and thinned by at most 0.5 µm; grown corners are polygons of 16 sides, so their overhang is
up to 2 % of a step too wide. Layers that surely rest on the one below (`hanging_layers`) aren't cut: their values
are 0 by that argument, not by sampling.
"""

from dataclasses import dataclass

import manifold3d as m3d
import numpy as np
import shapely

from core.part.hanging_layers import layers_that_may_hang
from core.part.layers import Layers, polygons_of, slice_layers
from core.part.part import Part
from core.progress import GoesOn, never_stop, report
from core.refusal import Refusal
from core.units import BoolArray, FloatArray, IntArray

THINNED_MM = 5e-4
LEAST_AREA_MM2 = 1e-6
"""Specks below this come from rounding."""
_SPARE_MM = 1e-6
_ARC_SIDES = 16


@dataclass(frozen=True, kw_only=True, eq=False)
class LayerTable:
    """One row per layer from `first` on.

    z_mm, area_mm2, new_overhang_mm2: (n,); islands: (n,) how many start in the layer; cut: (n,) True where the layer
    was compared with the one below, False where it surely rests on it. island_layer (k,), island_at_mm (k, 3) a place
    inside at the height of the cut, island_area_mm2 (k,).
    """

    first: int
    layer_mm: float
    step_mm: float
    z_mm: FloatArray
    area_mm2: FloatArray
    new_overhang_mm2: FloatArray
    islands: IntArray
    cut: BoolArray
    island_layer: IntArray
    island_at_mm: FloatArray
    island_area_mm2: FloatArray

    def __len__(self) -> int:
        return len(self.z_mm)


def layer_table(
    part: Part,
    layer_mm: float,
    max_angle_deg: float,
    goes_on: GoesOn = never_stop,
    *,
    z_range_mm: tuple[float, float] | None = None,
) -> LayerTable:
    """Table of a placed part; z_range_mm looks only at layers whose slab meets these heights.

    Raises Refusal for an open part, a layer that isn't above zero or a limit outside 1 to 90 degrees, and Stopped.
    """
    return layer_table_of(
        slice_layers(part.vertices_mm, part.triangles, layer_mm), max_angle_deg, goes_on, z_range_mm=z_range_mm
    )


def layer_table_of(
    layers: Layers,
    max_angle_deg: float,
    goes_on: GoesOn = never_stop,
    *,
    z_range_mm: tuple[float, float] | None = None,
) -> LayerTable:
    """The same for any sliced body, such as a sink; layer 0 lies on the build plate and hangs nowhere."""
    if not 1 <= max_angle_deg <= 90:
        raise Refusal(f"A limit of {max_angle_deg:g} degrees is out of range; set 1 to 90.")
    step = layers.layer_mm / np.tan(np.radians(max_angle_deg)) if max_angle_deg < 90 else 0.0
    first, end = 0, len(layers)
    if z_range_mm is not None:
        first = min(max(layers.layer_at(z_range_mm[0]), 0), end)
        end = min(max(layers.layer_at(z_range_mm[1]) + 2, first), end)
    cut = layers_that_may_hang(
        layers.vertices_mm, layers.triangles, max_angle_deg, layers.z0_mm, layers.layer_mm, len(layers)
    )[first:end]
    cut[: max(0, 1 - first)] = False  # layer 0 lies on the plate
    overhang = np.zeros(end - first)
    islands = np.zeros(end - first, dtype=np.int64)
    found: list[tuple[int, m3d.CrossSection]] = []
    rows = np.flatnonzero(cut)
    below, below_is = m3d.CrossSection(), -1
    for done, row in enumerate(rows.tolist()):
        report(goes_on, done / len(rows))
        i = first + row
        if below_is != i - 1:
            below = thinned_section(layers, i - 1)
        here = thinned_section(layers, i)
        hanging = here - grown(below, step)
        if hanging.area() > LEAST_AREA_MM2:
            overhang[row] = hanging.area()
            alone = _regions_of_both(here, hanging)
            islands[row] = len(alone)
            found += [(i, region) for region in alone]
        below, below_is = here, i
    return LayerTable(
        first=first,
        layer_mm=layers.layer_mm,
        step_mm=float(step),
        z_mm=layers.z_mm[first:end],
        area_mm2=layers.area_mm2[first:end],
        new_overhang_mm2=overhang,
        islands=islands,
        cut=cut,
        island_layer=np.array([i for i, _ in found], dtype=np.int64),
        island_at_mm=np.array([(*_inside(region), layers.z_mm[i]) for i, region in found]).reshape(-1, 3),
        island_area_mm2=np.array([region.area() for _, region in found]),
    )


def thinned_section(layers: Layers, i: int) -> m3d.CrossSection:
    """The solid area of layer i with the points left out that lie within 0.5 µm of the outline without them."""
    loops = layers.loops(i)
    if not loops:
        return m3d.CrossSection()
    rings = shapely.linearrings(np.concatenate(loops), indices=np.repeat(np.arange(len(loops)), [*map(len, loops)]))
    thin = shapely.simplify(rings, THINNED_MM, preserve_topology=False)
    kept = [shapely.get_coordinates(ring)[:-1] for ring in thin if not ring.is_empty]
    return m3d.CrossSection(kept, m3d.FillRule.Positive)


def grown(section: m3d.CrossSection, step_mm: float) -> m3d.CrossSection:
    """The area and all within one step of it, a nanometre more, so that walls just at the limit don't count."""
    return section.offset(step_mm + _SPARE_MM, m3d.JoinType.Round, circular_segments=_ARC_SIDES)


def _regions_of_both(section: m3d.CrossSection, hanging: m3d.CrossSection) -> list[m3d.CrossSection]:
    """Connected regions of a layer that hang as a whole: same box, same area."""
    regions = [region for region in section.decompose() if region.area() > LEAST_AREA_MM2]
    pieces = [piece for piece in hanging.decompose() if piece.area() > LEAST_AREA_MM2]
    if not regions or not pieces:
        return []
    mine = np.array([(*region.bounds(), region.area()) for region in regions])
    theirs = np.array([(*piece.bounds(), piece.area()) for piece in pieces])
    apart = np.abs(mine[:, None] - theirs[None])
    same = (apart[..., :4] < _SPARE_MM).all(axis=2) & (apart[..., 4] < LEAST_AREA_MM2 + 1e-9 * mine[:, None, 4])
    return [region for region, is_island in zip(regions, same.any(axis=1), strict=True) if is_island]


def _inside(region: m3d.CrossSection) -> tuple[float, float]:
    """A place well inside a region."""
    point = max(polygons_of(region), key=lambda polygon: polygon.area).representative_point()
    return float(point.x), float(point.y)
