"""The report's flat drawings: where everything stands on the plate, cuts through the build, and the gap close up."""

from typing import Any

import numpy as np
import shapely
from shapely.ops import nearest_points

from core.export.report_blocks import GUTTER_MM, HALF_MM, TEXT_MM
from core.export.report_drawing import (
    INK,
    PART,
    PLATE,
    SINK,
    SOFT,
    ZONE,
    Area,
    Drawing,
    Label,
    Line,
    Mark,
    arrow,
    box,
    line,
    picture_names,
    scale_bar,
    text_width,
)
from core.export.result import JobResult
from core.part.layers import slice_layers
from core.part.place_on_plate import plate_low_corner_mm
from core.refusal import Refusal
from core.sink.sink import Sink
from core.units import FloatArray, IntArray

HIGH_MM = 60.0
DETAIL_MM = (TEXT_MM - 3 * GUTTER_MM) / 4
MOST_DETAILS = 8
TRIES = 9
ENOUGH = 0.5
"""A cut through the middle is taken when it shows at least this share of what the best one shows."""
GAPS_SEEN = 14.0
"""Width of a close-up, in gaps."""
CUT_COLOUR = "#8c2f39"

Shape = Any
"""A shapely geometry, which has no types to check."""
NOTHING: Shape = shapely.Polygon()


class Cut:
    """What a plane cuts out of the build, in mm of that plane: along and up, or x and y."""

    def __init__(self, result: JobResult, turn: FloatArray, depth_mm: float) -> None:
        """turn: (3, 3) rows along, up, and the plane's normal."""
        self.part = cut_shape(result.part.vertices_mm, result.part.triangles, turn, depth_mm)
        self.sinks = [cut_shape(sink.vertices_mm, sink.triangles, turn, depth_mm) for sink in result.sinks]
        self.zones = [cut_shape(zone.vertices_mm, zone.triangles, turn, depth_mm) for zone in result.zones]
        self.turn, self.depth_mm = turn, depth_mm

    def clipped(self, low: FloatArray, high: FloatArray) -> list[tuple[Shape, str]]:
        """Shapes inside a window, each with its colour."""
        shapes = [(self.part, PART), *((s, SINK) for s in self.sinks), *((z, ZONE) for z in self.zones)]
        return [(shapely.clip_by_rect(shape, *low, *high), colour) for shape, colour in shapes]


def cut_shape(vertices_mm: FloatArray, triangles: IntArray, turn: FloatArray, depth_mm: float) -> Shape:
    """The area a plane cuts out of a body; empty where it misses it or the body is open."""
    turned = vertices_mm @ turn.T
    low, high = turned[:, 2].min(), turned[:, 2].max()
    if not low < depth_mm < high:
        return NOTHING
    thick = 4.0 * float(high - low)
    try:
        layers = slice_layers(turned, triangles, thick, depth_mm - 0.5 * thick)
        return shapely.union_all(layers.polygons(0))
    except Refusal:
        return NOTHING


def upright(direction_deg: float) -> FloatArray:
    """(3, 3) rows of an upright plane that runs in a direction of the plan: along, up, normal."""
    a = np.radians(direction_deg)
    along = np.array([np.cos(a), np.sin(a), 0.0])
    up = np.array([0.0, 0.0, 1.0])
    return np.stack([along, up, np.cross(along, up)])


def best_cut(result: JobResult, direction_deg: float) -> Cut:
    """The upright cut in this direction through the middle of the sinks, or one that shows far more of them."""
    turn = upright(direction_deg)
    bodies = [sink.vertices_mm for sink in result.sinks] or [result.part.vertices_mm]
    depth = np.concatenate(bodies) @ turn[2]
    low, high = float(depth.min()), float(depth.max())
    tries = low + (high - low) * (np.arange(TRIES) + 0.5) / TRIES

    def seen_mm2(at: float) -> float:
        return sum(cut_shape(s.vertices_mm, s.triangles, turn, at).area for s in result.sinks)

    seen = np.array([seen_mm2(at) for at in tries])
    middle = TRIES // 2
    chosen = middle if seen[middle] >= ENOUGH * seen.max() else int(np.argmax(seen))
    return Cut(result, turn, float(tries[chosen]))


def shape_marks(shape: Shape, to_paper: "Paper", fill: str | None) -> list[Mark]:
    """Areas of a shape with its holes, lines left out."""
    marks: list[Mark] = []
    for polygon in shapely.get_parts(shape):
        if polygon.geom_type == "Polygon" and not polygon.is_empty:
            rings = [polygon.exterior, *polygon.interiors]
            marks.append(
                Area(rings=tuple(to_paper(np.asarray(ring.coords)[:-1, :2]) for ring in rings), fill=fill, edge=INK)
            )
    return marks


class Paper:
    """From mm in a plane to mm on paper, y turned down."""

    def __init__(self, low: FloatArray, high: FloatArray, width: float, height: float, margin: float = 4.0) -> None:
        self.mm_per_mm = float(((high - low) / (np.array([width, height]) - 2 * margin)).max())
        self._middle, self._paper = (low + high) / 2, np.array([width, height]) / 2

    def __call__(self, points: FloatArray) -> FloatArray:
        at = (np.asarray(points) - self._middle) / self.mm_per_mm
        return np.asarray(self._paper + at * [1.0, -1.0])


def section_drawing(result: JobResult, cut: Cut, letter: str) -> Drawing:
    """An upright cut of the whole build, the plate below it."""
    bodies = np.concatenate([result.part.vertices_mm, *(s.vertices_mm for s in result.sinks)]) @ cut.turn[:2].T
    low, high = np.minimum(bodies.min(axis=0), [np.inf, 0.0]), bodies.max(axis=0)
    size = high - low
    low, high = low - [0.06 * size[0], 0.1 * size[1]], high + [0.06 * size[0], 0.0]
    paper = Paper(low, high, HALF_MM, HIGH_MM)
    corners = paper(np.array([[low[0], 0.0], [high[0], low[1]]]))
    marks: list[Mark] = [_between(corners[0], corners[1], PLATE)]
    for shape, colour in cut.clipped(low, high):
        marks += shape_marks(shape, paper, colour)
    for name, shape in zip(picture_names([s.name for s in result.sinks]), cut.sinks, strict=True):
        marks += _name_inside(name, shape, paper)
    marks += scale_bar((HALF_MM - 22.0, 5.5), paper.mm_per_mm, 18.0)
    marks.append(Label(at=(1.5, 4.0), text=f"{letter}–{letter}", size_mm=3.2, bold=True, colour=CUT_COLOUR))
    marks.append(box(0.0, 0.0, HALF_MM, HIGH_MM, None, "#d9dee2"))
    return Drawing(width_mm=HALF_MM, height_mm=HIGH_MM, marks=marks, words=f"Cut {letter}–{letter} through the build.")


def _between(corner: FloatArray, other: FloatArray, fill: str) -> Area:
    return box(float(corner[0]), float(corner[1]), float(other[0] - corner[0]), float(other[1] - corner[1]), fill)


def _name_inside(name: str, shape: Shape, paper: Paper, size_mm: float = 2.4) -> list[Mark]:
    """The sink's name on its largest piece of the cut."""
    parts = [p for p in shapely.get_parts(shape) if p.geom_type == "Polygon" and p.area > 0]
    if not parts:
        return []
    at = max(parts, key=lambda p: p.area).representative_point()
    x, y = paper(np.array([[at.x, at.y]]))[0]
    return [Label(at=(x, y + 0.8), text=name, size_mm=size_mm, anchor="middle", bold=True, halo=True)]


def layer_drawing(result: JobResult, z_mm: float, cuts: dict[str, Cut]) -> Drawing:
    """A level cut at a height, with the lines of the upright ones."""
    level = Cut(result, np.eye(3), z_mm)
    bodies = np.concatenate([result.part.vertices_mm, *(s.vertices_mm for s in result.sinks)])[:, :2]
    low, high = bodies.min(axis=0), bodies.max(axis=0)
    paper = Paper(low, high, HALF_MM, HIGH_MM, margin=8.0)
    marks: list[Mark] = []
    for shape, colour in level.clipped(low, high):
        marks += shape_marks(shape, paper, colour)
    for letter, cut in cuts.items():
        marks += _cut_line(cut, letter, low, high, paper)
    for name, shape in zip(picture_names([s.name for s in result.sinks]), level.sinks, strict=True):
        marks += _name_inside(name, shape, paper)
    marks += scale_bar((HALF_MM - 22.0, HIGH_MM - 2.0), paper.mm_per_mm, 18.0)
    marks.append(box(0.0, 0.0, HALF_MM, HIGH_MM, None, "#d9dee2"))
    return Drawing(width_mm=HALF_MM, height_mm=HIGH_MM, marks=marks, words=f"Layer at z = {z_mm:.1f} mm.")


def _cut_line(cut: Cut, letter: str, low: FloatArray, high: FloatArray, paper: Paper) -> list[Mark]:
    """Where an upright cut runs in plan, from rim to rim, with its letter at both ends."""
    along, normal = cut.turn[0, :2], cut.turn[2, :2]
    corners = np.array([[x, y] for x in (low[0], high[0]) for y in (low[1], high[1])]) @ along
    rim = 3.0 * paper.mm_per_mm
    ends = np.array([corners.min() - rim, corners.max() + rim])[:, None] * along + cut.depth_mm * normal
    on_paper = paper(ends)
    way = (on_paper[1] - on_paper[0]) / np.linalg.norm(on_paper[1] - on_paper[0])
    letters = [on_paper[0] - 2.0 * way, on_paper[1] + 2.0 * way]
    return [
        Line(points=on_paper, colour=CUT_COLOUR, wide_mm=0.25, dashed=True),
        *(
            Label(at=(x, y + 1.0), text=letter, size_mm=3.0, anchor="middle", colour=CUT_COLOUR, bold=True, halo=True)
            for x, y in letters
        ),
    ]


def plate_drawing(result: JobResult) -> Drawing:
    """The whole build plate from above: part, sinks, free border, and how the recoater runs."""
    plate = result.job.plate
    corner = np.array(plate_low_corner_mm(result.part, plate))
    size = np.array(plate.size_mm)
    points = np.concatenate([result.part.vertices_mm, *(sink.vertices_mm for sink in result.sinks)])[:, :2]
    low, high = np.minimum(corner, points.min(axis=0)), np.maximum(corner + size, points.max(axis=0))
    paper = Paper(low, high, HALF_MM, HIGH_MM, margin=6.0)
    (left, top), (right, bottom) = paper(np.array([[corner[0], corner[1] + size[1]], [corner[0] + size[0], corner[1]]]))
    marks: list[Mark] = [box(left, top, right - left, bottom - top, "#e4e8eb", PLATE)]
    free = plate.border_mm / paper.mm_per_mm
    if free > 0.2:
        rim = [(left + free, top + free), (right - free, top + free), (right - free, bottom - free),
               (left + free, bottom - free), (left + free, top + free)]  # fmt: skip
        marks.append(line(*rim, colour=SOFT, wide_mm=0.15, dashed=True))
    for sink in result.sinks:
        marks += shape_marks(_hull(sink.vertices_mm), paper, SINK)
    marks += shape_marks(_hull(result.part.vertices_mm), paper, PART if not result.sinks else None)
    middle, blade = np.array([(left + right) / 2, (top + bottom) / 2]), np.radians(plate.blade_deg)
    along = np.array([np.cos(blade), -np.sin(blade)])
    across = np.array([along[1], -along[0]]) * (1.0 if along[1] < 0 else -1.0)
    reach = 0.5 * (bottom - top)
    at = middle + 0.86 * reach * across
    marks.append(Line(points=np.array([at - 0.6 * reach * along, at + 0.6 * reach * along]), wide_mm=0.7))
    for sign in (1.0, -1.0):
        marks += arrow(np.array([at, at - 6.0 * sign * across]), wide_mm=0.3, head_mm=1.8)
    marks.append(Label(at=(1.5, 4.0), text=f"{size[0]:g} × {size[1]:g} mm", size_mm=2.4, colour=SOFT))
    for tip, name in (((9.0, 0.0), "X"), ((0.0, -9.0), "Y")):
        foot = np.array([3.0, HIGH_MM - 3.0])
        marks += arrow(np.array([foot, foot + tip]), colour=SOFT, wide_mm=0.3, head_mm=1.5)
        marks.append(Label(at=(foot[0] + 1.25 * tip[0], foot[1] + 1.2 * tip[1] + 0.8), text=name, size_mm=2.1,
                           anchor="middle", colour=SOFT))  # fmt: skip
    marks.append(box(0.0, 0.0, HALF_MM, HIGH_MM, None, "#d9dee2"))
    return Drawing(width_mm=HALF_MM, height_mm=HIGH_MM, marks=marks, words="Where the build stands on the plate.")


def _hull(vertices_mm: FloatArray) -> Shape:
    return shapely.convex_hull(shapely.MultiPoint(vertices_mm[:, :2]))


def gap_drawing(result: JobResult, sink: Sink) -> Drawing:
    """Close up, the gap under the middle of the patch, cut along the slope of the face there."""
    middle, normal = _middle_face(result, sink)
    level = np.hypot(normal[0], normal[1]) < 0.02
    turn = upright(0.0 if level else float(np.degrees(np.arctan2(normal[1], normal[0]))))
    number = result.sinks.index(sink)
    place = turn @ (middle + 0.5 * sink.gap_mm * normal)
    cut = Cut(result, turn, float(place[2]) + 1e-6)
    half = 0.5 * GAPS_SEEN * sink.gap_mm
    low, high = place[:2] - half, place[:2] + half
    paper = Paper(low, high, DETAIL_MM, DETAIL_MM, margin=0.0)
    marks: list[Mark] = []
    for shape, colour in cut.clipped(low, high):
        marks += shape_marks(shape, paper, colour)
    part, body = cut.part, cut.sinks[number]
    if not part.is_empty and not body.is_empty:
        near = nearest_points(body.intersection(shapely.box(*(low + half / 2), *(high - half / 2))), part)
        ends = paper(np.array([[point.x, point.y] for point in near if not point.is_empty]).reshape(-1, 2))
        if len(ends) == 2:
            marks += _measure(ends, f"{near[0].distance(near[1]):.2f} mm")
    marks += scale_bar((2.0, DETAIL_MM - 2.0), paper.mm_per_mm, 0.4 * DETAIL_MM)
    marks.append(box(0.0, 0.0, DETAIL_MM, DETAIL_MM, None, "#d9dee2"))
    return Drawing(width_mm=DETAIL_MM, height_mm=DETAIL_MM, marks=marks, words=f"The gap over {sink.name}, close up.")


def _measure(ends: FloatArray, text: str) -> list[Mark]:
    """Two arrows that point at both ends of a short length, and how long it is."""
    way = (ends[1] - ends[0]) / max(float(np.linalg.norm(ends[1] - ends[0])), 1e-9)
    foot = ends[0] - 5.0 * way
    side = 1.0 if foot[0] < DETAIL_MM / 2 + 4 else -1.0
    wide = text_width(text, 2.6)
    at = (float(np.clip(foot[0] + side * 1.5, 1.0 + (wide if side < 0 else 0), DETAIL_MM - 1.0)), float(foot[1] + 3.0))
    return [
        *arrow(np.array([foot, ends[0]]), wide_mm=0.25, head_mm=1.6, colour=CUT_COLOUR),
        *arrow(np.array([ends[1] + 5.0 * way, ends[1]]), wide_mm=0.25, head_mm=1.6, colour=CUT_COLOUR),
        Label(at=at, text=text, size_mm=2.6, anchor="start" if side > 0 else "end", bold=True, halo=True),
    ]


def _middle_face(result: JobResult, sink: Sink) -> tuple[FloatArray, FloatArray]:
    """Middle (3,) and normal (3,) of the face of the sink's patches that lies nearest over the sink's middle."""
    part = result.part
    faces = np.concatenate([p.faces for p in result.picked if p.id in sink.patches] or [np.arange(part.n_faces)])
    middles = part.corners_mm[faces].mean(axis=1)
    over = (sink.vertices_mm.min(axis=0) + sink.vertices_mm.max(axis=0)) / 2
    chosen = int(np.argmin(np.linalg.norm((middles - over)[:, :2], axis=1)))
    return middles[chosen], part.normals[faces[chosen]]
