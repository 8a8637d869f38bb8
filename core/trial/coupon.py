"""The gap coupon: cells over a ladder of gaps and angles at random places, each with a real sink, and two marks."""

import math
from dataclasses import dataclass

import numpy as np

from core.gap.gap_window import FLATTEST_DEG, vertical_gap_mm
from core.part.part import Part
from core.progress import GoesOn, never_stop, part_of, report
from core.refusal import Refusal
from core.sink.build_sink import build_sink
from core.sink.sink import Sink
from core.trial.coupon_cell import (
    LENGTH_MM,
    RAISED_MM,
    WIDTH_MM,
    cell_part,
    label_of,
    low_angle_faces,
    mark_solid,
)
from core.trial.coupon_choice import CouponChoice
from core.units import FloatArray, IntArray

Place = tuple[float, float]
Kind = tuple[float | None, float, int]
"""Gap, None without a sink; angle; replicate."""
APART_MM = 4.0
"""Free powder between two cells, so that one doesn't warm the other's sink much (common practice, no source)."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Cell:
    """One cell where it stands. gap_mm is None, and sinks empty, for a cell without a sink (the reference).

    at_mm: low corner on the plate, whose middle is (0, 0). faces: of the part's low-angle underside.
    """

    name: str
    gap_mm: float | None
    angle_deg: float
    replicate: int
    at_mm: tuple[float, float]
    part: Part
    faces: IntArray
    sinks: tuple[Sink, ...]

    @property
    def vertical_gap_mm(self) -> float | None:
        """The gap along the build direction."""
        return None if self.gap_mm is None else vertical_gap_mm(self.gap_mm, self.angle_deg)

    @property
    def clearance_mm(self) -> float | None:
        """Exact least distance of its sinks to its part."""
        return min(sink.min_clearance_mm for sink in self.sinks) if self.sinks else None


@dataclass(frozen=True, kw_only=True, eq=False)
class PlateMark:
    """A registration mark: where its cross lies on the plate, and its solid."""

    name: str
    at_mm: tuple[float, float]
    vertices_mm: FloatArray
    triangles: IntArray


@dataclass(frozen=True, kw_only=True, eq=False)
class Coupon:
    """A whole coupon; cells in the order in which they stand, row by row from the front left."""

    choice: CouponChoice
    cells: tuple[Cell, ...]
    marks: tuple[PlateMark, ...]
    notes: tuple[str, ...]


def build_coupon(choice: CouponChoice, goes_on: GoesOn = never_stop) -> Coupon:
    """Place every cell and build its sink with the same engine as for a real part.

    Raises Refusal when it doesn't fit on the plate, or with the cell's name when a sink can't be built.
    """
    report(goes_on, 0.0)
    lots, mark_places = drawn_places(choice)
    cells = []
    for number, (at_mm, kind) in enumerate(lots, start=1):
        stretch = part_of(goes_on, (number - 1) / len(lots), number / len(lots))
        cells.append(_cell(choice, number, kind, at_mm, stretch))
    marks = tuple(
        PlateMark(name=f"mark-{letter}", at_mm=at, vertices_mm=vertices, triangles=triangles)
        for letter, at, (vertices, triangles) in (
            (letter, at, mark_solid(letter == "B", at)) for letter, at in zip("AB", mark_places, strict=True)
        )
    )
    return Coupon(choice=choice, cells=tuple(cells), marks=marks, notes=_notes(choice))


def drawn_places(choice: CouponChoice) -> tuple[list[tuple[Place, Kind]], tuple[Place, ...]]:
    """Which kind of cell stands where, drawn by lot with the seed, in plan order; and the middles of the marks."""
    places, marks = coupon_places(choice)
    kinds = _kinds(choice)
    order = np.random.default_rng(choice.seed).permutation(len(places))[: len(kinds)].tolist()
    drawn = sorted(zip(order, kinds, strict=True), key=lambda pair: pair[0])
    return [(places[place], kind) for place, kind in drawn], marks


def coupon_places(choice: CouponChoice) -> tuple[list[Place], tuple[Place, ...]]:
    """Low corners of all places for cells, row by row from the front left, and the middles of the two marks.

    The block is as near to a square as the plate allows, about the plate's middle; its first and last place hold
    the marks. Raises Refusal with how many cells would fit.
    """
    pitch = [size + APART_MM + 2 * max(choice.sink.margin_mm, 0.0) for size in (LENGTH_MM, WIDTH_MM)]
    room = [size - 2 * choice.plate.border_mm + APART_MM for size in choice.plate.size_mm]
    most_x, most_y = (max(math.floor(r / p + 1e-9), 0) for r, p in zip(room, pitch, strict=True))
    needed = choice.n_cells + 2
    if most_x * most_y < needed:
        width, depth = choice.plate.size_mm
        raise Refusal(
            f"{choice.n_cells} cells don't fit on a plate of {width:g} × {depth:g} mm, "
            f"{max(most_x * most_y - 2, 0)} would; take fewer gaps, angles or replicates, or a larger plate."
        )
    _check_height(choice)
    blocks = [(math.ceil(needed / ny), ny) for ny in range(1, most_y + 1) if math.ceil(needed / ny) <= most_x]
    nx, ny = min(blocks, key=lambda b: (max(b[0] * pitch[0], b[1] * pitch[1]), b[0] * b[1]))
    low = (-(nx * pitch[0] - APART_MM) / 2, -(ny * pitch[1] - APART_MM) / 2)
    corners = [(low[0] + pitch[0] * (k % nx), low[1] + pitch[1] * (k // nx)) for k in range(nx * ny)]
    middles = tuple((x + LENGTH_MM / 2, y + WIDTH_MM / 2) for x, y in (corners[0], corners[-1]))
    return corners[1:-1], middles


def _check_height(choice: CouponChoice) -> None:
    steepest = max(choice.angles_deg)
    tall = cell_part(("C",), steepest, _widest_mm(choice), (0.0, 0.0)).high_mm[2]
    if tall > choice.plate.height_mm:
        raise Refusal(
            f"A cell at {steepest:g}° is {tall:.1f} mm tall, more than the build height of "
            f"{choice.plate.height_mm:g} mm; take flatter angles."
        )


def _widest_mm(choice: CouponChoice) -> float:
    """Widest vertical gap of the coupon."""
    return max(choice.gaps_mm) / math.cos(math.radians(max(choice.angles_deg)))


def _kinds(choice: CouponChoice) -> list[Kind]:
    """Every cell, in order."""
    return [
        (gap_mm, angle_deg, replicate)
        for replicate in range(1, choice.replicates + 1)
        for angle_deg in choice.angles_deg
        for gap_mm in (*choice.gaps_mm, None)
    ]


def _cell(choice: CouponChoice, number: int, kind: Kind, at_mm: Place, goes_on: GoesOn) -> Cell:
    gap_mm, angle_deg, replicate = kind
    label = label_of(number, gap_mm, angle_deg)
    part = cell_part(label, angle_deg, _widest_mm(choice), at_mm)
    faces = low_angle_faces(part, angle_deg)
    sinks: tuple[Sink, ...] = ()
    if gap_mm is not None:
        try:
            sinks = build_sink(
                part,
                faces,
                choice.sink,
                gap_mm,
                name=f"{label[0]}-sink",
                layer_mm=choice.laser.layer_mm,
                blade_deg=choice.plate.blade_deg,
                goes_on=goes_on,
            )
        except Refusal as reason:
            raise Refusal(f"Cell {label[0]} ({gap_mm:g} mm at {angle_deg:g}°) can't be built: {reason}") from reason
    return Cell(
        name=label[0],
        gap_mm=gap_mm,
        angle_deg=angle_deg,
        replicate=replicate,
        at_mm=at_mm,
        part=part,
        faces=faces,
        sinks=sinks,
    )


def _notes(choice: CouponChoice) -> tuple[str, ...]:
    """What should be known before it is built."""
    layer_mm = choice.laser.layer_mm
    notes = [
        f"Face and sink are both cut into layers of {layer_mm:g} mm: a built gap differs from the asked one by up to "
        "a layer. Keep the same layers for parts.",
        "All cells lie the same way, their ledges towards +X; only their places are drawn by lot.",
    ]
    flat = [angle for angle in choice.angles_deg if angle < FLATTEST_DEG]
    if flat:
        notes.append(
            f"At {min(flat):g}° the one published gap study failed at every gap; these cells may be lost, "
            "with curl into the recoater. Build them only where that is acceptable."
        )
    if choice.replicates < 3:
        notes.append(
            f"With only {choice.replicates} of each kind the limit comes out with a wide interval; "
            "three or more are better."
        )
    if 2 * layer_mm > RAISED_MM:
        notes.append("The labels are less than two layers high; mark the cells by the plan after the build.")
    return tuple(notes)
