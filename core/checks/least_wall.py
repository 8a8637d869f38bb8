"""How thick is a sink's thinnest wall, and can it be built? Measured on slices of the finished solid."""

from dataclasses import dataclass

import numpy as np
import shapely
from scipy.ndimage import maximum_filter1d
from shapely.geometry.base import BaseGeometry

from core.checks.finding import Finding, block_instead, thicker_walls
from core.part.layers import Layers, slice_layers
from core.sink.sink import Sink
from core.units import FloatArray, IntArray

LEAST_WALL_MM = 0.4
"""Thinner walls come out ragged or not at all (common practice, no source)."""
LOST_SHARE = 0.1
"""A sink that loses this much of a layer to walls below half the least width falls apart."""
SLICES = 8
NECKS, NECKED_WITHIN_MM, NECK_BELOW_MM = 3, 1.0, 0.2
"""Necks looked for, in what thickens within a height, there and a little lower."""
MOST_PIECES = 6000
"""Pieces of outline looked at in all; slices past that are left out, the thinnest come first."""
WIDEST_MM = 20.0
NEAR = 0.02
"""The width is found within this share of itself."""
FINAL = 3
"""Slices with the thinnest walls in which the width is narrowed down."""
SPECK_MM2 = 0.04
"""Thin places below this, half a least wall square, are no walls."""
SPARE_MM = 0.002
"""Outlines of float32 corners, simplified by some µm, differ by less."""


@dataclass(frozen=True, kw_only=True)
class ThinPlace:
    """The thinnest wall found: width_mm (WIDEST_MM where nothing is thinner), and where."""

    width_mm: float
    at_mm: tuple[float, float, float]


@dataclass(frozen=True, kw_only=True, eq=False)
class _Slice:
    """Solid area of one layer, and which layer of what it is."""

    layers: Layers
    layer: int
    area: BaseGeometry

    @property
    def z_mm(self) -> float:
        return float(self.layers.z_mm[self.layer])

    def higher_up(self, rise_mm: float) -> BaseGeometry:
        """The solid area some way further up; empty past the top."""
        layer = self.layer + max(1, round(rise_mm / self.layers.layer_mm))
        return _joined(self.layers, layer) if layer < len(self.layers) else shapely.Polygon()


def _set_thin(sink: Sink, least_mm: float) -> bool:
    """The walls were asked to be that thin, rather than cut thin by the part beside them."""
    return sink.choice.kind in ("fins", "plate") and sink.choice.fin_thickness_mm < least_mm


def check_least_wall(sink: Sink, least_mm: float = LEAST_WALL_MM) -> Finding:
    """Walls against the least width that can be built.

    A note where a wall is thinner; a stop where a tenth or more of some layer lies in walls thinner than half of it.
    """
    slices = _slices(sink.vertices_mm, sink.triangles, least_mm)
    thin = _thinnest(slices, least_mm)
    if thin.width_mm >= least_mm:
        most = "or more" if thin.width_mm >= WIDEST_MM else "at its thinnest wall"
        text = f"{sink.name} measures {thin.width_mm:.2f} mm {most}; {least_mm:g} mm can be built."
        return Finding(check="least wall", level="ok", text=text, at_mm=thin.at_mm)
    lost = max(_thin_area(one, least_mm / 2).area / one.area.area for one in slices)
    breaks = lost >= LOST_SHARE
    what = f", and {lost:.0%} of a layer may be missing" if breaks else ""
    return Finding(
        check="least wall",
        level="stop" if breaks else "note",
        text=f"{sink.name} has a wall of {thin.width_mm:.2f} mm; below {least_mm:g} mm it may come out ragged{what}.",
        remedy=f"Make walls and neck at least {least_mm:g} mm thick, choose a wider pitch, or a block.",
        changes=(
            *(thicker_walls(sink.choice, least_mm, sink.patches) if _set_thin(sink, least_mm) else ()),
            *block_instead(sink.kind, sink.patches),
        ),
        at_mm=thin.at_mm,
    )


def thinnest_wall(vertices_mm: FloatArray, triangles: IntArray, least_mm: float = LEAST_WALL_MM) -> ThinPlace:
    """The thinnest wall of a closed solid, vertices (n, 3) and triangles (m, 3), within 2 % of its width.

    A wall is as thick as the largest square-cornered tool that sweeps all of its slice: the slice is shrunk and
    grown again, and what is lost, at least as long as it is wide, is thinner. What ends within its own width further
    up, as the edge of a top that slopes by up to 45° does, is none. Raises Refusal where the solid is open.
    """
    return _thinnest(_slices(vertices_mm, triangles, least_mm), least_mm)


def _thinnest(slices: list[_Slice], least_mm: float) -> ThinPlace:
    if not slices:
        return ThinPlace(width_mm=WIDEST_MM, at_mm=(0.0, 0.0, 0.0))
    # upwards in steps, as a part lost to a width far above its own no longer looks long
    low, high = 0.0, least_mm
    thin = _thin_slices(slices, high)
    if thin:
        slices, high = thin, least_mm / 8
        thin = _thin_slices(slices, high)
    while not thin and high < WIDEST_MM:
        low, high = high, min(1.5 * high, WIDEST_MM)
        thin = _thin_slices(slices, high)
    if not thin:
        x, y = slices[0].area.representative_point().coords[0]
        return ThinPlace(width_mm=WIDEST_MM, at_mm=(x, y, slices[0].z_mm))
    thin = thin[:FINAL]
    while high - low > max(NEAR * high, SPARE_MM):
        middle = 0.5 * (low + high)
        still = _thin_slices(thin, middle)
        low, high, thin = (low, middle, still) if still else (middle, high, thin)
    place = max(shapely.get_parts(_thin_area(thin[0], high)), key=lambda part: part.area).representative_point()
    return ThinPlace(width_mm=0.5 * (low + high), at_mm=(place.x, place.y, thin[0].z_mm))


def _thin_slices(slices: list[_Slice], width_mm: float) -> list[_Slice]:
    return [one for one in slices if not _thin_area(one, width_mm).is_empty]


def _thin_area(one: _Slice, width_mm: float) -> BaseGeometry:
    """What of a slice is thinner than a width, at least as long as wide, and goes on upwards."""
    thin = _long_parts(shapely.difference(one.area, _opened(one.area, width_mm)), width_mm)
    if thin.is_empty:
        return thin
    return _long_parts(shapely.intersection(thin, one.higher_up(width_mm)), width_mm)


def _opened(area: BaseGeometry, width_mm: float) -> BaseGeometry:
    """Shrunk by half a width and grown again, square at the corners."""
    inner = area.buffer(-width_mm / 2, join_style="mitre")
    return inner.buffer(width_mm / 2 + SPARE_MM, join_style="mitre")


def _long_parts(area: BaseGeometry, width_mm: float) -> shapely.MultiPolygon:
    parts = shapely.get_parts(area)
    return shapely.MultiPolygon(list(parts[shapely.area(parts) >= max(width_mm**2, SPECK_MM2)]))


def _slices(vertices_mm: FloatArray, triangles: IntArray, least_mm: float) -> list[_Slice]:
    """Layers where walls are likely thinnest, each eighth of the height seen to; the likeliest come first.

    That is where there is most outline for the area, and where the area is least beside what it carries: a neck.
    """
    height = float(np.ptp(vertices_mm[:, 2]))
    layer_mm = float(np.clip(height / 600, 0.1, 0.25))
    layers = slice_layers(vertices_mm, triangles, layer_mm, float(vertices_mm[:, 2].min()))
    solid = np.flatnonzero((layers.area_mm2 > least_mm**2) & (layers.pieces > 0))
    area = layers.area_mm2[solid]
    above = round(NECKED_WITHIN_MM / layer_mm) + 1
    carried = maximum_filter1d(area, above, mode="nearest", origin=-(above // 2))
    picked = _least_of_each(area / layers.perimeter_mm[solid])
    for k in _least_of_each(area / carried)[:NECKS]:
        picked += [k, max(0, k - round(NECK_BELOW_MM / layer_mm))]
    slices: list[_Slice] = []
    seen: set[tuple[float, float]] = set()
    left = MOST_PIECES
    for i in solid[picked]:
        alike = (round(float(layers.area_mm2[i]), 1), round(float(layers.perimeter_mm[i]), 1))
        if alike in seen or (slices and layers.pieces[i] > left):
            continue
        seen.add(alike)
        left -= int(layers.pieces[i])
        slices.append(_Slice(layers=layers, layer=int(i), area=_joined(layers, int(i))))
    return slices


def _least_of_each(sign: FloatArray) -> list[int]:
    """The least of each of SLICES stretches, least first."""
    parts = [part for part in np.array_split(np.arange(len(sign)), SLICES) if len(part)]
    return sorted((int(part[np.argmin(sign[part])]) for part in parts), key=lambda k: float(sign[k]))


def _joined(layers: Layers, i: int) -> BaseGeometry:
    """The regions of a layer as one area; regions that touch in a corner are mended."""
    return shapely.make_valid(shapely.MultiPolygon(layers.polygons(i)))
