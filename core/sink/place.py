"""Where a sink can stand: the plan outline left under a patch once the part's own obstacles are taken away.

When the part blocks the way straight down, leaning columns are tried: the part is sheared so that leaning columns
stand upright, which leaves heights as they are; distances are always taken on the part as it is.
"""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from core.gap.gap_measure import sample_faces
from core.part.part import Part, face_mask
from core.part.triangle_tree import TriangleTree
from core.progress import GoesOn, part_of, report
from core.refusal import Refusal
from core.sink.blocked_zone import blocked_zone, free_share
from core.sink.creases import fold_lines_mm, outline_lines_mm
from core.sink.edge_strip import edge_strip
from core.sink.footprint import LEAST_WIDTH_MM, plan_area_mm2, plan_outline, tidy
from core.sink.sink_choice import SinkChoice
from core.sink.sink_top import ColumnTops
from core.sink.wall_layout import Slopes
from core.units import BoolArray, FloatArray, IntArray

STEEPEST_LEAN_DEG = 40.0
"""Columns lean at most this far from the vertical, so that they carry themselves (common practice, no source)."""
LEANS_DEG = (20.0, 30.0, STEEPEST_LEAN_DEG)
PROBES = 5000
MOST_LEANS = 4
"""So many leans are looked at closely, those with the freest way down at a rough count."""
LEAST_LEANING_SHARE = 0.25
"""Share of the patch a leaning sink must reach, or it isn't worth building."""
FOLDED_SHARE = 2e-5
"""A patch whose faces have this much more area in plan than its outline lies over itself."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Place:
    """What stays the same from round to round: the part around the patch, the patch, and what may be built on.

    lean: (2,) sideways move of a column per mm of height; zero for upright ones. polygons: plan outlines on the
    build plate. patch_outline: that of the patch. creases_mm: (k, 2, 2) lines in plan where the top has kinks.
    probes_mm: (p, 2) places in plan all over the patch. tree: the part near the polygons, as it is.
    """

    part: Part
    faces: IntArray
    choice: SinkChoice
    gap_mm: float
    layer_mm: float
    lean: FloatArray
    polygons: list[shapely.Polygon]
    patch_outline: BaseGeometry
    creases_mm: FloatArray
    probes_mm: FloatArray
    tree: TriangleTree
    tops: ColumnTops
    slopes: Slopes

    @cached_property
    def where(self) -> str:
        """The middle of the patch, for messages."""
        return middle_of(self.part, self.faces)


def straight_or_leaning(
    part: Part, faces: IntArray, choice: SinkChoice, gap_mm: float, layer_mm: float, goes_on: GoesOn
) -> tuple[Place, list[str]]:
    """The place for an upright sink, else for the leaning one that reaches most of the patch; and warnings.

    Raises Refusal when neither reaches it.
    """
    try:
        return _prepare(part, faces, choice, gap_mm, layer_mm, np.zeros(2), part_of(goes_on, 0.0, 0.5))
    except _Blocked as blocked:
        if choice.kind == "edge":  # a slim wall that leans would stand beside its edge
            raise
        best, most = None, LEAST_LEANING_SHARE
        for lean in _leans(part, faces, gap_mm, part_of(goes_on, 0.5, 0.8)):
            try:
                place, _ = _prepare(
                    part, faces, replace(choice, kind="block"), gap_mm, layer_mm, lean, part_of(goes_on, 0.8, 0.8)
                )
            except Refusal:
                continue
            share = sum(p.area for p in place.polygons) / blocked.area_mm2
            if share > most + 1e-6:
                best, most = place, share
        if best is None:
            raise Refusal(str(blocked)) from None
        angle = np.degrees(np.arctan(np.hypot(*best.lean)))
        text = f"The part blocks the way straight down from the patch at {best.where}; the sink leans by {angle:.0f}°"
        return best, [f"{text}, is solid, and reaches {min(most, 1.0):.0%} of it."]


class _Blocked(Refusal):
    """No upright column reaches the patch; area_mm2 is that of its outline."""

    area_mm2 = 0.0


def _leans(part: Part, faces: IntArray, gap_mm: float, goes_on: GoesOn) -> list[FloatArray]:
    """The most promising leans, the slighter first; only those from which all faces are seen from below."""
    seen = [
        slope * np.array([np.cos(turn), np.sin(turn)])
        for slope in np.tan(np.radians(LEANS_DEG))
        for turn in np.arange(8) * np.pi / 4
    ]
    seen = [lean for lean in seen if (part.normals[faces] @ np.append(lean, 1.0) < -0.2).all()]
    chosen = face_mask(part.n_faces, faces)
    low = part.boxes_mm[0][:, 2] <= part.boxes_mm[1][faces, 2].max()
    shares = []
    for k, lean in enumerate(seen):
        report(goes_on, k / len(seen))
        shares.append(free_share(sheared(part.corners_mm[low].reshape(-1, 3), -lean).reshape(-1, 3, 3), chosen[low],
                                 2 * gap_mm + 0.15))  # fmt: skip
    best = sorted(np.argsort(-np.array(shares), kind="stable")[:MOST_LEANS].tolist())
    return [seen[k] for k in best if shares[k] > 0.5 * LEAST_LEANING_SHARE]


def _prepare(
    part: Part, faces: IntArray, choice: SinkChoice, gap_mm: float, layer_mm: float, lean: FloatArray, goes_on: GoesOn
) -> tuple[Place, list[str]]:
    upright = part if not lean.any() else replace(part, vertices_mm=sheared(part.vertices_mm, -lean))
    strip = choice.kind == "edge"
    patch_outline = plan_outline(upright, faces)
    outline = edge_strip(upright, faces, choice.edge_width_mm) if strip else patch_outline
    folds = sheared(fold_lines_mm(part, faces, gap_mm).reshape(-1, 3), -lean)[:, :2].reshape(-1, 2, 2)
    rim = outline_lines_mm(outline) if choice.margin_mm > 0 and not strip else folds[:0]
    if choice.margin_mm and not strip:
        outline = outline.buffer(choice.margin_mm, join_style="mitre", mitre_limit=2)
    if outline.is_empty or outline.area < 4 * LEAST_WIDTH_MM**2:
        raise Refusal(f"The patch at {middle_of(part, faces)} is too small for a sink; choose a larger one.")
    report(goes_on, 0.2)
    keep, chosen = _neighbourhood(upright, face_mask(part.n_faces, faces), outline, gap_mm)
    report(goes_on, 0.4)
    # sheared distances in plan are longer than true ones by no more than this
    keep_mm = gap_mm * float(np.sqrt(1 + lean @ lean))
    blocked = blocked_zone(upright.corners_mm[keep], chosen, outline, keep_mm, 2 * keep_mm + 0.15)
    free = outline if blocked.is_empty else shapely.difference(outline, blocked)
    polygons = tidy(free, LEAST_WIDTH_MM)
    if not polygons:
        too_narrow = blocked.is_empty or not tidy(outline, LEAST_WIDTH_MM)
        raise _no_room(part, faces, outline.area, choice.margin_mm, too_narrow)
    share = sum(p.area for p in polygons) / outline.area
    warnings = []
    if share < 0.9 and not blocked.is_empty:
        warnings.append(
            f"Only {share:.0%} of the patch at {middle_of(part, faces)} gets a sink; "
            "the part blocks the way down elsewhere."
        )
    report(goes_on, 0.7)
    tree = TriangleTree.of(part.corners_mm[keep])
    report(goes_on, 0.9)
    place = Place(
        part=part,
        faces=faces,
        choice=choice,
        gap_mm=gap_mm,
        layer_mm=layer_mm,
        lean=lean,
        polygons=polygons,
        patch_outline=patch_outline,
        creases_mm=np.concatenate([folds, rim]),
        probes_mm=sheared(sample_faces(part, faces, PROBES), -lean)[:, :2],
        tree=tree,
        tops=ColumnTops(
            part=tree,
            patch=TriangleTree.of(upright.corners_mm[faces]),
            lean=lean,
            folded=plan_area_mm2(upright, faces) > (1 + FOLDED_SHARE) * patch_outline.area,
        ),
        slopes=Slopes(
            centres_mm=part.corners_mm[faces].mean(axis=1)[:, :2],
            lean=part.normals[faces, :2],
            area_mm2=part.areas_mm2[faces],
        ),
    )
    return place, warnings


def _no_room(part: Part, faces: IntArray, area_mm2: float, margin_mm: float, too_narrow: bool) -> Refusal:
    kind: type[Refusal] = Refusal if too_narrow else _Blocked
    drawn_in = f", drawn in by a margin of {margin_mm:g} mm," if margin_mm < 0 else ""
    why = (
        f"its outline{drawn_in} is nowhere {LEAST_WIDTH_MM:g} mm wide over a useful length"
        if too_narrow
        else "the part itself is in the way down to the plate"
    )
    refusal = kind(
        f"No sink can stand under the patch at {middle_of(part, faces)}: {why}; "
        "turn the part or leave this patch without a sink."
    )
    if isinstance(refusal, _Blocked):
        refusal.area_mm2 = area_mm2
    return refusal


def _neighbourhood(
    part: Part, chosen: BoolArray, outline: shapely.Polygon, gap_mm: float
) -> tuple[BoolArray, BoolArray]:
    """(n_faces,) triangles that a sink under the outline could come near, and which of those are chosen."""
    x0, y0, x1, y1 = outline.bounds
    pad = 4 * gap_mm + 1.0
    low, high = part.boxes_mm
    top = float(high[chosen, 2].max()) + pad
    keep = (
        (high[:, 0] >= x0 - pad) & (low[:, 0] <= x1 + pad) & (high[:, 1] >= y0 - pad) & (low[:, 1] <= y1 + pad)
        & (low[:, 2] <= top)
    )  # fmt: skip
    return keep, chosen[keep]


def sheared(points_mm: FloatArray, lean: FloatArray) -> FloatArray:
    """Points (n, 3) moved sideways by lean times their height."""
    moved = points_mm.copy()
    moved[:, :2] += points_mm[:, 2:] * lean
    return moved


def middle_of(part: Part, faces: IntArray) -> str:
    """The middle of some faces in words."""
    x, y, z = part.corners_mm[faces].reshape(-1, 3).mean(axis=0)
    return f"x {x:.1f}, y {y:.1f}, z {z:.1f} mm"
