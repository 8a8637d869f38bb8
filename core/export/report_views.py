"""The report's pictures in three dimensions: from above, through the part, from below, and the ways off."""

from dataclasses import dataclass, replace

import numpy as np

from core.export.report_blocks import HALF_MM
from core.export.report_drawing import (
    FEW_NAMES,
    INK,
    PART,
    PLATE,
    SINK,
    SOFT,
    ZONE,
    Drawing,
    Label,
    Mark,
    Photo,
    Point,
    arrow,
    box,
    colour_bar,
    line,
    picture_names,
    rgb_of,
    scale_bar,
    text_width,
)
from core.export.report_order import WayOff
from core.export.report_pixels import Camera, Solid, paint, seen_places
from core.export.result import JobResult
from core.part.part import Part
from core.units import FloatArray, IntArray

WIDE_MM, HIGH_MM = HALF_MM, 66.0
PIXELS_A_MM = 8
PALE = "#f1eee9"
"""The part where others of its faces are coloured by value."""
ABOVE_DEG, BELOW_DEG, SIDE_DEG = 28.0, -24.0, 28.0
SLAB_SHARE = 0.012
"""Thickness of the drawn plate, as a share of the build's size."""
WAY_SHARE = 0.35
"""A way off is drawn up to this share of the build's size."""
MOST_NAMES = 60
NAME_MM = 2.6

_CIVIDIS_REVERSED = "fee838 ddc958 bbad6c a39a75 8b8778 757676 61656f 4b546c 32436d 043371 00224e"
"""Along cividis (Nuñez, Anderton, Renslow, PLoS ONE 13(7) e0199239, 2018; public domain), turned round: what is flat or
hot is bright."""
SCALE_RGB = np.array([rgb_of("#" + word) for word in _CIVIDIS_REVERSED.split()])


def scale_rgb(share: FloatArray) -> FloatArray:
    """(n, 3) colours, 0 to 255, at shares 0 (bright) to 1 (dark)."""
    along = np.linspace(0.0, 1.0, len(SCALE_RGB))
    return np.column_stack([np.interp(share, along, SCALE_RGB[:, i]) for i in range(3)])


@dataclass(frozen=True, eq=False)
class Build:
    """What is to be seen, and from which side its low-angle faces are seen best."""

    result: JobResult
    plate: Solid
    sinks: tuple[Solid, ...]
    points_mm: FloatArray
    """(n, 3) all that must fit into a picture from above."""
    azimuth_deg: float
    size_mm: float

    @classmethod
    def of(cls, result: JobResult) -> "Build":
        part = result.part
        bodies = [sink.vertices_mm for sink in result.sinks]
        points = np.concatenate([part.vertices_mm, *bodies])
        low, high = points.min(axis=0), points.max(axis=0)
        size = float(np.linalg.norm(high - low))
        rim = 0.05 * size
        slab = box_corners(np.array([*(low[:2] - rim), -SLAB_SHARE * size]), np.array([*(high[:2] + rim), 0.0]))
        return cls(
            result=result,
            plate=Solid.of(slab, rgb_of(PLATE)),
            sinks=tuple(Solid.of(s.vertices_mm[s.triangles], rgb_of(SINK)) for s in result.sinks)
            + tuple(Solid.of(z.vertices_mm[z.triangles], rgb_of(ZONE)) for z in result.zones),
            points_mm=np.concatenate([points, slab.reshape(-1, 3)]),
            azimuth_deg=_best_side_deg(result) + SIDE_DEG,
            size_mm=size,
        )


def box_corners(low: FloatArray, high: FloatArray) -> FloatArray:
    """(12, 3, 3) the triangles of an upright box, outward."""
    ends = np.array([low, high])
    corner = np.array([[ends[i & 1, 0], ends[i >> 1 & 1, 1], ends[i >> 2, 2]] for i in range(8)])
    squares = [(0, 2, 3, 1), (4, 5, 7, 6), (0, 1, 5, 4), (2, 6, 7, 3), (0, 4, 6, 2), (1, 3, 7, 5)]
    return corner[[triangle for a, b, c, d in squares for triangle in ((a, b, c), (a, c, d))]]


def _best_side_deg(result: JobResult) -> float:
    """The side to which the picked faces look on the whole; the front where they look all around."""
    part = result.part
    faces = np.concatenate([p.faces for p in result.picked or result.patches] or [np.zeros(0, dtype=np.int32)])
    if not len(faces):
        return -90.0
    pull = (part.normals[faces, :2] * part.areas_mm2[faces, None]).sum(axis=0)
    if np.linalg.norm(pull) < 0.1 * part.areas_mm2[faces].sum():
        return -90.0
    return float(np.degrees(np.arctan2(pull[1], pull[0])))


def view_from_above(build: Build) -> Drawing:
    part = _whole(build.result.part)
    camera = _camera(build.points_mm, build.azimuth_deg, ABOVE_DEG)
    return _picture([build.plate, *build.sinks, part], camera, [], "The part and its sinks on the build plate.")


def view_through(build: Build) -> Drawing:
    """The part seen through, the sinks with their names."""
    part = _whole(build.result.part, veil=True)
    camera = _camera(build.points_mm, build.azimuth_deg, ABOVE_DEG)
    sinks = build.result.sinks
    tops = [_on_paper(camera, (s.vertices_mm.min(axis=0) + s.vertices_mm.max(axis=0)) / 2) for s in sinks]
    names = name_labels(tops, picture_names([sink.name for sink in sinks]))
    return _picture([build.plate, *build.sinks, part], camera, names, "The sinks, seen through the part.")


def view_of_low_angles(build: Build) -> Drawing:
    """The part alone from below, its patches coloured by angle and numbered."""
    result = build.result
    part, limit = result.part, result.job.max_angle_deg
    faces = np.concatenate([p.faces for p in result.patches] or [np.zeros(0, dtype=np.int32)])
    angles = np.degrees(np.arccos(np.clip(-part.normals[faces, 2], -1.0, 1.0)))
    solid = part_coloured(part, faces, scale_rgb(angles / limit))
    camera = _camera(part.vertices_mm, build.azimuth_deg, BELOW_DEG, foot=0.12)
    shown = [patch for patch in result.patches if patch in result.picked] or list(result.patches)
    seen = zip(seen_places(solid, camera, [patch.faces for patch in shown]), shown, strict=True)
    named = [(at[0] / PIXELS_A_MM, at[1] / PIXELS_A_MM, str(patch.id)) for at, patch in seen if at is not None]
    bar = colour_bar(
        (4.0, HIGH_MM - 7.5), 34.0, scale_rgb(np.linspace(0.0, 1.0, 45)),
        [(angle / limit, f"{angle:g}") for angle in sorted({0.0, round(limit / 2), limit})],
        "Angle from the build plate, °",
    )  # fmt: skip
    names = name_labels([(float(x), float(y)) for x, y, _ in named], [name for _, _, name in named])
    return _picture([solid], camera, [*names, *bar], "Low-angle faces of the part from below.", triad=False)


def view_of_ways(build: Build, ways: tuple[WayOff, ...]) -> Drawing:
    """The sinks from below with an arrow along each one's way off; few are numbered by the step they come off in."""
    part = _whole(build.result.part, veil=True)
    lines = [first_stretch(way.corners_mm, WAY_SHARE * build.size_mm) for way in ways if len(way.corners_mm) > 1]
    solids = [solid.corners_mm.reshape(-1, 3) for solid in build.sinks]
    camera = _camera(
        np.concatenate([build.result.part.vertices_mm, *solids, *lines]), build.azimuth_deg, BELOW_DEG
    )
    marks: list[Mark] = []
    ends = []
    for way in lines:
        on_paper = np.array([_on_paper(camera, corner) for corner in way])
        marks += arrow(on_paper, colour="#8c2f39", wide_mm=0.7, head_mm=3.2)
        ends.append((float(on_paper[-1, 0]), float(on_paper[-1, 1]) - 1.0))
    few = len(ways) <= FEW_NAMES
    short = picture_names([way.sink for way in ways])
    names = [f"{way.step}: {name}" if few else name for way, name in zip(ways, short, strict=True)
             if len(way.corners_mm) > 1]  # fmt: skip
    ends = [(x + text_width(name, NAME_MM) / 2 + 2.5, y) for (x, y), name in zip(ends, names, strict=True)]
    marks += name_labels(ends, names, colour="#6e2029")
    return _picture([*build.sinks, part], camera, marks, "The ways by which the sinks come off.")


def view_of_values(
    build: Build, values: FloatArray, low: float, high: float, title: str, words: str
) -> Drawing:
    """The part from below, each face coloured by a value (n_faces,); bright is high, NaN has the part's colour."""
    part = build.result.part
    faces = np.flatnonzero(np.isfinite(values))
    solid = part_coloured(part, faces, scale_rgb(1.0 - np.clip((values[faces] - low) / (high - low), 0.0, 1.0)))
    camera = _camera(part.vertices_mm, build.azimuth_deg, BELOW_DEG, foot=0.12)
    ends = [(share, f"{low + share * (high - low):.0f}".replace("-", "−")) for share in (0.0, 0.5, 1.0)]
    bar = colour_bar((4.0, HIGH_MM - 7.5), 34.0, scale_rgb(np.linspace(1.0, 0.0, 45)), ends, title)
    return _picture([solid], camera, bar, words, triad=False)


def views_of_values(build: Build, values: FloatArray, low: float, high: float, title: str, words: str) -> list[Drawing]:
    """The same from two sides, as no single one shows every patch."""
    other = replace(build, azimuth_deg=build.azimuth_deg + 180.0)
    return [view_of_values(from_side, values, low, high, title, words) for from_side in (build, other)]


def part_coloured(part: Part, faces: IntArray, rgb: FloatArray) -> Solid:
    """The part, pale but for some faces (n,) in their colours (n, 3)."""
    colours = np.tile(rgb_of(PALE), (part.n_faces, 1))
    colours[faces] = rgb
    return Solid(corners_mm=part.corners_mm, normals=part.normals, rgb=colours)


def _whole(part: Part, veil: bool = False) -> Solid:
    return Solid(corners_mm=part.corners_mm, normals=part.normals, rgb=rgb_of(PART), veil=veil)


def _camera(points_mm: FloatArray, azimuth_deg: float, elevation_deg: float, foot: float = 0.0) -> Camera:
    """foot: share of the height that is left free below."""
    width, height = round(WIDE_MM * PIXELS_A_MM), round(HIGH_MM * PIXELS_A_MM)
    camera = Camera.around(points_mm, azimuth_deg, elevation_deg, width, round(height * (1.0 - foot)))
    lower = camera.middle - [0.0, 0.5 * foot * height * camera.mm_per_pixel]
    return Camera(axes=camera.axes, middle=lower, mm_per_pixel=camera.mm_per_pixel, width=width, height=height)


def _on_paper(camera: Camera, point_mm: FloatArray) -> Point:
    x, y, _ = camera.pixels(point_mm) / PIXELS_A_MM
    return float(x), float(y)


def _picture(solids: list[Solid], camera: Camera, marks: list[Mark], words: str, triad: bool = True) -> Drawing:
    photo = Photo(at=(0.0, 0.0), size=(WIDE_MM, HIGH_MM), png=paint(solids, camera))
    bar = scale_bar((WIDE_MM - 22.0, HIGH_MM - 3.0), camera.mm_per_pixel * PIXELS_A_MM, 18.0)
    rim = box(0.0, 0.0, WIDE_MM, HIGH_MM, None, "#d9dee2")
    three = _triad(camera, (9.0, HIGH_MM - 8.0)) if triad else []
    return Drawing(width_mm=WIDE_MM, height_mm=HIGH_MM, marks=[photo, *marks, *bar, *three, rim], words=words)


def _triad(camera: Camera, at: Point) -> list[Mark]:
    """The three axes as they lie in the picture."""
    marks: list[Mark] = []
    for i, name in enumerate("XYZ"):
        across, up = camera.axes[0, i], camera.axes[1, i]
        tip = np.array([at[0] + 5.5 * across, at[1] - 5.5 * up])
        marks += arrow(np.array([at, tip]), colour=SOFT, wide_mm=0.3, head_mm=1.5)
        name_at = (at[0] + 7.3 * across, at[1] - 7.3 * up + 0.8)
        marks.append(Label(at=name_at, text=name, size_mm=2.1, anchor="middle", colour=SOFT, halo=True))
    return marks


def first_stretch(corners_mm: FloatArray, most_mm: float) -> FloatArray:
    """The beginning of a way (k, 3), at most so long."""
    steps = np.linalg.norm(np.diff(corners_mm, axis=0), axis=1)
    reached = np.concatenate([[0.0], np.cumsum(steps)])
    if reached[-1] <= most_mm:
        return corners_mm
    last = int(np.searchsorted(reached, most_mm)) - 1
    end = corners_mm[last] + (most_mm - reached[last]) / steps[last] * (corners_mm[last + 1] - corners_mm[last])
    return np.vstack([corners_mm[: last + 1], end])


def name_labels(at: list[Point], names: list[str], colour: str = INK) -> list[Mark]:
    """Names at points, moved where they would lie on each other, with a line to where they belong; some may drop."""
    size = NAME_MM
    marks: list[Mark] = []
    taken: list[tuple[float, float, float, float]] = []
    for (x, y), name in list(zip(at, names, strict=True))[:MOST_NAMES]:
        wide = text_width(name, size)
        for radius, turn in [(0.0, 0.0)] + [(r, t) for r in (4.0, 7.0, 11.0) for t in np.arange(8) * np.pi / 4]:
            mid = min(max(x + radius * np.cos(turn), wide / 2 + 1), WIDE_MM - wide / 2 - 1)
            foot = min(max(y + radius * np.sin(turn) + size / 3, size + 1), HIGH_MM - 9.0)
            own = (mid - wide / 2 - 0.5, foot - size, mid + wide / 2 + 0.5, foot + 0.8)
            if not any(own[0] < o[2] and own[2] > o[0] and own[1] < o[3] and own[3] > o[1] for o in taken):
                taken.append(own)
                if radius:
                    marks.append(line((x, y), (mid, foot - size / 3), colour=colour))
                marks.append(
                    Label(at=(mid, foot), text=name, size_mm=size, anchor="middle", colour=colour, bold=True, halo=True)
                )
                break
    return marks
