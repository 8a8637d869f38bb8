"""Build the sink under chosen faces, check the finished solid exactly, and widen what came out too near."""

import math
from dataclasses import replace

import numpy as np
import shapely

from core.gap.gap_measure import gap_map
from core.part.part import Part
from core.part.triangle_tree import TriangleTree
from core.progress import GoesOn, in_bites, never_stop, part_of, report
from core.refusal import Refusal
from core.sink.bays import as_cut, bays_solid
from core.sink.column_solid import column_solid
from core.sink.left_out import LEAST_COVERED, left_out_words
from core.sink.levels import levels
from core.sink.place import Place, middle_of, sheared, straight_or_leaning
from core.sink.sink import Sink
from core.sink.sink_choice import SinkChoice
from core.sink.sink_top import LOWER_SHARE, TopNet
from core.sink.solid import closed, gated, to_arrays, to_manifold, volume_mm3
from core.sink.too_near import clear_of_part, missing_mm
from core.sink.top_net import lowered, net_over
from core.sink.wall_layout import bay_layout, drain_layout, drain_words
from core.units import FloatArray, IntArray

LEAST_VOLUME_MM3 = 1.0
ROUNDS, LOCAL_ROUNDS = 6, 1
"""Places that came out too near are lowered in the first rounds, the whole top in later ones."""
SPARE_SHARE = 1.0
"""Share of what simplifying may cost that a top keeps in spare."""
UNEVEN_UM, UNEVEN_SHARE = 5.0, 0.017
"""A gap that is wider than asked by more than this over 1 % of the patch is said to be uneven."""
EVENNESS = 0.013
"""Share of the gap within which the net follows the patch; with what simplifying may cost below UNEVEN_SHARE."""
SIMPLER_MM, SIMPLER_SHARE = 1e-3, 0.004
"""Points of the top that lie this near to the plane of their neighbours, or this share of the gap, are merged; the
exact check comes after."""


def build_sink(
    part: Part,
    faces: IntArray,
    choice: SinkChoice,
    gap_mm: float,
    *,
    name: str,
    patch_ids: tuple[int, ...] = (),
    layer_mm: float = 0.04,
    blade_deg: float | None = None,
    goes_on: GoesOn = never_stop,
) -> tuple[Sink, ...]:
    """One or more sinks under the faces of a placed part, never nearer to it than the gap.

    faces: (n,) downskin triangle numbers, of one patch or several: side by side they share one sink, faces above
    others get sinks of their own. blade_deg: plan direction of the recoater blade, which walls that choose
    their own direction keep off. Several bodies come back when the outline falls into pieces.
    Raises Refusal, with the reason and the place, when no sink can stand there; Stopped when told to stop.
    """
    if not part.health.buildable:
        raise Refusal(f"No sink can be built on this part: {part.health.problems[0]}")
    if len(faces) == 0:
        raise Refusal("No faces are chosen; click a low-angle face first.")
    if (part.normals[faces, 2] > -1e-6).any():
        raise Refusal("Some chosen faces don't look down, so no sink can stand under them; choose low-angle faces.")
    sinks: list[Sink] = []
    warnings: list[str] = []
    reasons: list[str] = []
    storeys = levels(part, faces, gap_mm)
    for k, own in enumerate(storeys):
        stretch = part_of(goes_on, k / len(storeys), (k + 1) / len(storeys))
        try:
            place, said = straight_or_leaning(part, own, choice, gap_mm, layer_mm, part_of(stretch, 0.0, 0.1))
        except Refusal as reason:
            reasons.append(str(reason))
            continue
        warnings += said
        n = len(place.polygons)
        for i, polygon in enumerate(place.polygons):
            try:
                one = part_of(stretch, 0.1 + 0.9 * i / n, 0.1 + 0.9 * (i + 1) / n)
                sinks.append(_build_one(place, polygon, name, patch_ids, blade_deg, one))
            except Refusal as reason:
                reasons.append(str(reason))
    if not sinks:
        raise Refusal(reasons[0])
    area_mm2 = float(part.areas_mm2[faces].sum())
    sinks = [replace(sink, patch_area_mm2=area_mm2) for sink in sinks]
    covered = sum(sink.covered_area_mm2 for sink in sinks) / sinks[0].patch_area_mm2
    where = middle_of(part, faces)
    if covered < LEAST_COVERED and choice.kind != "edge":
        raise Refusal(
            f"A sink under the patch at {where} would cover only {covered:.1%} of it, which isn't worth "
            "building; raise or turn the part, or leave this patch without a sink."
        )
    warnings += [f"A piece of the sink was left out: {reason}" for reason in reasons]
    if len(sinks) > 1:
        sinks = [replace(sink, name=f"{name}-{k}") for k, sink in enumerate(sinks, start=1)]
    return replace(sinks[0], warnings=(*warnings, *sinks[0].warnings)), *sinks[1:]


def _build_one(
    place: Place, polygon: shapely.Polygon, name: str, patch_ids: tuple[int, ...], blade_deg: float | None,
    goes_on: GoesOn,
) -> Sink:  # fmt: skip
    """Build, gate, measure exactly; when nearer than the gap, build again that much farther away."""
    tolerance = EVENNESS * place.gap_mm
    keep = place.gap_mm + SPARE_SHARE * simpler_mm(place.gap_mm)
    aim = keep + LOWER_SHARE * tolerance  # what is judged right keeps the gap even where it bends nearer
    net = net_over(
        polygon, place.tops, aim, tolerance, part_of(goes_on, 0.0, 0.4), place.creases_mm, place.probes_mm
    )
    net, aims = clear_of_part(net, place.tops, aim, keep, part_of(goes_on, 0.4, 0.5))
    for round_ in range(ROUNDS):
        stretch = part_of(goes_on, 0.5 + 0.5 * round_ / ROUNDS, 0.5 + 0.5 * (round_ + 1) / ROUNDS)
        vertices, triangles, outline, turned_deg, said = _solid(
            place, polygon, net, blade_deg, part_of(stretch, 0.0, 0.8)
        )
        corners = vertices[triangles]
        clearance, nearest = _clearance(place, corners, part_of(stretch, 0.8, 0.9))
        if clearance >= place.gap_mm:
            at = corners[nearest].mean(axis=0) if nearest >= 0 else corners[0, 0]
            sink = _measured(place, outline, name, patch_ids, vertices, triangles, clearance, at)
            return replace(sink, turned_deg=turned_deg, warnings=said + _uneven_words(sink, place.where))
        upright = sheared(vertices, -place.lean)[triangles]
        more = 2**round_ * missing_mm(net, place.tree, corners, upright, place.gap_mm)
        if round_ >= LOCAL_ROUNDS:
            more = np.maximum(more, 2 * (place.gap_mm - clearance) + 2e-4)
        aims += more
        if aims.max() > 1.5 * place.gap_mm:
            break
        net = lowered(net, place.tops, aims, more > 0, part_of(stretch, 0.9, 1.0))
    raise Refusal(
        f"No sink keeps {place.gap_mm:g} mm everywhere under the patch at {place.where} "
        f"(nearest {clearance:.3f} mm); leave out faces beside steps or walls, or use a negative margin."
    )


def simpler_mm(gap_mm: float) -> float:
    """How far simplifying may move the top; most of that is kept in spare before."""
    return max(SIMPLER_MM, SIMPLER_SHARE * gap_mm)


def _uneven_words(sink: Sink, where: str) -> tuple[str, ...]:
    """A warning where the top follows the patch less closely than is aimed at, with the figures; else nothing."""
    if not sink.gap_error_p99_um > max(UNEVEN_UM, 1e3 * UNEVEN_SHARE * sink.gap_mm):
        return ()
    return (
        f"Under the patch at {where} the gap is up to {sink.gap_error_max_um:.0f} µm wider than asked "
        f"(99 % of it within {sink.gap_error_p99_um:.0f} µm): folds, steps and roughness are followed only so far.",
    )


def _clearance(place: Place, corners: FloatArray, goes_on: GoesOn) -> tuple[float, int]:
    """Exact least distance to the part and the sink triangle where it is; looks near first, as that is quick."""
    for start_mm in (1.02 * place.gap_mm, np.inf):
        clearance, nearest = start_mm, -1
        for some in in_bites(len(corners), goes_on):
            found, _, which = place.tree.distance_to(corners[some], start_mm=clearance)
            if which >= 0:
                clearance, nearest = found, some.start + which
        if nearest >= 0:
            break
    return clearance, nearest


def _solid(
    place: Place, polygon: shapely.Polygon, net: TopNet, blade_deg: float | None, goes_on: GoesOn
) -> tuple[FloatArray, IntArray, shapely.Polygon, float, tuple[str, ...]]:
    """Vertices and triangles as they will be written, plan outline, turn of the walls, words on what is left out."""
    body, outline, rest = column_solid(net, polygon, least_height_mm=max(3 * place.layer_mm, 0.2))
    if body.is_empty():
        raise Refusal(
            f"The patch at {place.where} lies too low: no room for a sink above the build plate."
        )
    top = TriangleTree.of(net.points_mm[net.triangles])
    body = body.simplify(simpler_mm(place.gap_mm))
    choice = as_cut(place.choice)
    bays = bay_layout(choice, outline, place.slopes, blade_deg)
    drains = drain_layout(choice, outline, bays)
    cut = bays_solid([*bays, *drains], outline, top, choice)
    report(goes_on, 0.4)
    if not cut.is_empty():
        body = body - cut
    if place.lean.any():
        body, rest = (to_manifold(sheared(v, place.lean), t) for v, t in map(to_arrays, (body, rest)))
    # a sink is one body; crumbs that a low top or the bays cut off are left out
    pieces = sorted(body.decompose(), key=lambda piece: piece.volume())
    if not pieces or pieces[-1].volume() < LEAST_VOLUME_MM3:
        raise Refusal(
            f"The sink under the patch at {place.where} would be less than {LEAST_VOLUME_MM3:g} mm³."
        )
    report(goes_on, 0.8)
    vertices, triangles, apart = gated(pieces[-1])
    said = left_out_words(volume_mm3(vertices, triangles), [rest, *pieces[:-1], *apart]) + drain_words(choice, drains)
    return vertices, triangles, outline, bays[0].turned_deg if bays else 0.0, said


def _measured(
    place: Place, outline: shapely.Polygon, name: str, patch_ids: tuple[int, ...],
    vertices: FloatArray, triangles: IntArray, clearance: float, at: FloatArray,
) -> Sink:  # fmt: skip
    gaps = gap_map(
        place.part, place.faces, vertices[triangles], outline, place.patch_outline, place.gap_mm, place.lean
    )
    if not gaps.covered.any():
        raise Refusal(f"A sink under the patch at {place.where} would cover none of it.")
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
        choice=place.choice,
    )
