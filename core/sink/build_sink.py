"""Build the sink under chosen faces, check the finished solid exactly, and widen what came out too near."""

import math
from dataclasses import dataclass, replace

import numpy as np
import shapely

from core.gap.gap_measure import gap_map
from core.part.part import Part, face_mask
from core.part.triangle_tree import TriangleTree
from core.progress import GoesOn, never_stop, part_of, report
from core.refusal import Refusal
from core.sink.bays import bays_solid
from core.sink.blocked_zone import blocked_zone
from core.sink.column_solid import column_solid
from core.sink.edge_strip import edge_strip
from core.sink.footprint import LEAST_WIDTH_MM, plan_outline, tidy
from core.sink.sink import Sink
from core.sink.sink_choice import SinkChoice
from core.sink.sink_top import ColumnTops, TopNet, lowered, net_over
from core.sink.solid import closed, gated, to_manifold, volume_mm3
from core.sink.wall_layout import Slopes, bay_layout, drain_layout
from core.units import BoolArray, FloatArray, IntArray

LEAST_VOLUME_MM3 = 1.0
ROUNDS = 4
SIMPLER_MM = 1e-3
"""Points of the top that lie this near to the plane of their neighbours are merged; the exact check comes after."""


@dataclass(frozen=True, kw_only=True, eq=False)
class _Place:
    """What stays the same from round to round: the part around the patch, and the patch."""

    part: Part
    faces: IntArray
    choice: SinkChoice
    gap_mm: float
    layer_mm: float
    tree: TriangleTree
    tops: ColumnTops
    slopes: Slopes


def build_sink(
    part: Part,
    faces: IntArray,
    choice: SinkChoice,
    gap_mm: float,
    *,
    name: str,
    patch_ids: tuple[int, ...] = (),
    layer_mm: float = 0.04,
    goes_on: GoesOn = never_stop,
) -> tuple[Sink, ...]:
    """One or more sinks under the faces of a placed part, never nearer to it than the gap.

    faces: (n,) downskin triangle numbers. Several bodies come back when the outline falls into pieces.
    Raises Refusal, with the reason and the place, when no sink can stand there; Stopped when told to stop.
    """
    if not part.health.buildable:
        raise Refusal(f"No sink can be built on this part: {part.health.problems[0]}")
    if len(faces) == 0:
        raise Refusal("No faces are chosen; click a low-angle face first.")
    if (part.normals[faces, 2] > -1e-6).any():
        raise Refusal("Some chosen faces don't look down, so no sink can stand under them; choose low-angle faces.")
    place, outline, warnings = _prepare(part, faces, choice, gap_mm, layer_mm)
    sinks: list[Sink] = []
    reasons: list[str] = []
    for k, polygon in enumerate(outline):
        stretch = part_of(goes_on, k / len(outline), (k + 1) / len(outline))
        try:
            sinks.append(_build_one(place, polygon, name, patch_ids, stretch))
        except Refusal as reason:
            reasons.append(str(reason))
    if not sinks:
        raise Refusal(reasons[0])
    warnings += [f"A piece of the sink was left out: {reason}" for reason in reasons]
    if len(sinks) > 1:
        sinks = [replace(sink, name=f"{name}-{k}") for k, sink in enumerate(sinks, start=1)]
    return replace(sinks[0], warnings=tuple(warnings)), *sinks[1:]


def _prepare(
    part: Part, faces: IntArray, choice: SinkChoice, gap_mm: float, layer_mm: float
) -> tuple[_Place, list[shapely.Polygon], list[str]]:
    """The plan polygons a sink may stand on, and the trees to measure against."""
    outline = edge_strip(part, faces, choice.edge_width_mm) if choice.kind == "edge" else plan_outline(part, faces)
    if choice.margin_mm and choice.kind != "edge":
        outline = outline.buffer(choice.margin_mm, join_style="mitre", mitre_limit=2)
    if outline.is_empty or outline.area < 4 * LEAST_WIDTH_MM**2:
        raise Refusal(f"The patch at {_at(part, faces)} is too small for a sink; choose a larger one.")
    chosen = face_mask(part.n_faces, faces)
    near, near_chosen = _neighbourhood(part, chosen, outline, gap_mm)
    drop = 2 * gap_mm + 0.15
    blocked = blocked_zone(near, near_chosen, outline, gap_mm, drop)
    free = outline if blocked.is_empty else shapely.difference(outline, blocked)
    polygons = tidy(free, LEAST_WIDTH_MM)
    if not polygons:
        why = "its outline is too narrow" if blocked.is_empty else "the part itself is in the way down to the plate"
        raise Refusal(
            f"No sink can stand under the patch at {_at(part, faces)}: {why}; "
            "turn the part or leave this patch without a sink."
        )
    share = sum(p.area for p in polygons) / outline.area
    warnings = []
    if share < 0.9 and not blocked.is_empty:
        warnings.append(
            f"Only {share:.0%} of the patch at {_at(part, faces)} gets a sink; the part blocks the way down elsewhere."
        )
    tree = TriangleTree.of(near)
    tops = ColumnTops(part=tree, patch=TriangleTree.of(part.corners_mm[faces]))
    centres = part.corners_mm[faces].mean(axis=1)[:, :2]
    slopes = Slopes(centres_mm=centres, lean=part.normals[faces, :2], area_mm2=part.areas_mm2[faces])
    place = _Place(
        part=part, faces=faces, choice=choice, gap_mm=gap_mm, layer_mm=layer_mm, tree=tree, tops=tops, slopes=slopes
    )
    return place, polygons, warnings


def _neighbourhood(
    part: Part, chosen: BoolArray, outline: shapely.Polygon, gap_mm: float
) -> tuple[FloatArray, BoolArray]:
    """Triangles (n, 3, 3) that a sink under the outline could come near, and which of them are chosen."""
    x0, y0, x1, y1 = outline.bounds
    pad = 4 * gap_mm + 1.0
    low, high = part.boxes_mm
    top = float(high[chosen, 2].max()) + pad
    keep = (
        (high[:, 0] >= x0 - pad) & (low[:, 0] <= x1 + pad) & (high[:, 1] >= y0 - pad) & (low[:, 1] <= y1 + pad)
        & (low[:, 2] <= top)
    )  # fmt: skip
    return part.corners_mm[keep], chosen[keep]


def _build_one(place: _Place, polygon: shapely.Polygon, name: str, patch_ids: tuple[int, ...], goes_on: GoesOn) -> Sink:
    """Build, gate, measure exactly; when nearer than the gap, build again that much farther away."""
    tolerance = max(2e-3, 0.0165 * place.gap_mm)
    aim = place.gap_mm + 0.5 * tolerance
    net = net_over(polygon, place.tops, aim, tolerance, part_of(goes_on, 0.0, 0.5))
    wider = 0.0
    for round_ in range(ROUNDS):
        stretch = part_of(goes_on, 0.5 + 0.5 * round_ / ROUNDS, 0.5 + 0.5 * (round_ + 1) / ROUNDS)
        if wider:
            net = lowered(net, place.tops, aim + wider)
        vertices, triangles, outline = _solid(place, polygon, net, stretch)
        corners = vertices[triangles]
        clearance, nearest = _clearance(place, corners)
        report(stretch, 0.95)
        if clearance >= place.gap_mm:
            at = corners[nearest].mean(axis=0) if nearest >= 0 else corners[0, 0]
            return _measured(place, outline, name, patch_ids, vertices, triangles, clearance, at)
        wider += place.gap_mm - clearance + 1e-4
        if wider > 0.5 * place.gap_mm:
            break
    raise Refusal(
        f"No sink keeps {place.gap_mm:g} mm everywhere under the patch at {_at(place.part, place.faces)} "
        f"(nearest {clearance:.3f} mm); leave out faces beside steps or walls, or use a negative margin."
    )


def _clearance(place: _Place, corners: FloatArray) -> tuple[float, int]:
    """Exact least distance to the part and the sink triangle where it is; looks near first, as that is quick."""
    for start_mm in (1.02 * place.gap_mm, np.inf):
        clearance, _, nearest = place.tree.distance_to(corners, start_mm=start_mm)
        if nearest >= 0:
            break
    return clearance, nearest


def _solid(
    place: _Place, polygon: shapely.Polygon, net: TopNet, goes_on: GoesOn
) -> tuple[FloatArray, IntArray, shapely.Polygon]:
    """The sink's vertices and triangles as they will be written, and its plan outline."""
    body, outline = column_solid(net, polygon, least_height_mm=max(3 * place.layer_mm, 0.2))
    if body.is_empty():
        raise Refusal(
            f"The patch at {_at(place.part, place.faces)} lies too low: no room for a sink above the build plate."
        )
    top = TriangleTree.of(net.points_mm[net.triangles])
    body = body.simplify(SIMPLER_MM)
    bays = bay_layout(place.choice, outline, place.slopes)
    for openings in (bays, drain_layout(place.choice, outline, bays)):
        cut = bays_solid(openings, outline, top, place.choice)
        report(goes_on, 0.4)
        if not cut.is_empty():
            body = body - cut
    pieces = [piece for piece in body.decompose() if piece.volume() >= LEAST_VOLUME_MM3]
    if not pieces:
        raise Refusal(
            f"The sink under the patch at {_at(place.part, place.faces)} would be less than {LEAST_VOLUME_MM3:g} mm³."
        )
    report(goes_on, 0.8)
    # a sink is one body; crumbs that a low top cuts off are left out
    vertices, triangles = gated(max(pieces, key=lambda piece: piece.volume()))
    return vertices, triangles, outline


def _measured(
    place: _Place, outline: shapely.Polygon, name: str, patch_ids: tuple[int, ...],
    vertices: FloatArray, triangles: IntArray, clearance: float, at: FloatArray,
) -> Sink:  # fmt: skip
    gaps = gap_map(place.part, place.faces, vertices[triangles], outline, place.gap_mm)
    if not gaps.covered.any():
        raise Refusal(f"A sink under the patch at {_at(place.part, place.faces)} would cover none of it.")
    inside = gaps.distance_mm[gaps.interior & gaps.covered] - place.gap_mm
    rim = gaps.distance_mm[~gaps.interior & gaps.covered]
    patch_area = float(place.part.areas_mm2[place.faces].sum())
    return Sink(
        name=name,
        patches=patch_ids,
        kind=place.choice.kind,
        vertices_mm=vertices,
        triangles=triangles,
        gap_mm=place.gap_mm,
        min_clearance_mm=clearance,
        nearest_mm=(float(at[0]), float(at[1]), float(at[2])),
        gap_error_p99_um=float(np.percentile(inside, 99) * 1e3) if inside.size else math.nan,
        gap_error_max_um=float(inside.max() * 1e3) if inside.size else math.nan,
        rim_gap_max_mm=float(rim.max()) if rim.size else place.gap_mm,
        covered_area_mm2=float(gaps.covered.mean()) * patch_area,
        patch_area_mm2=patch_area,
        volume_mm3=volume_mm3(vertices, triangles),
        watertight=closed(triangles),
        on_plate=abs(float(vertices[:, 2].min())) < 1e-6,
        pieces=len(to_manifold(vertices, triangles).decompose()),
    )


def _at(part: Part, faces: IntArray) -> str:
    x, y, z = part.corners_mm[faces].reshape(-1, 3).mean(axis=0)
    return f"x {x:.1f}, y {y:.1f}, z {z:.1f} mm"
