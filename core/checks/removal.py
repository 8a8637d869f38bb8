"""Can the sink leave the part once both are cut from the plate? Straight ways first, then ways in steps."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from core.checks.directions import towards_words, ways_to_try
from core.checks.finding import Finding
from core.checks.removal_path import MOST_CELLS, Mesh, stepped_way
from core.checks.sweep import first_contact, is_clear
from core.part.part import Part
from core.part.triangle_tree import TriangleTree
from core.progress import GoesOn, never_stop, part_of, report
from core.sink.sink import Sink
from core.units import FloatArray

DOWN = np.array([0.0, 0.0, -1.0])
QUICK = 200
"""Triangles of the sink that are swept first, to drop most directions early."""
CLEAR_MM = 1.0
"""How far past the part's box a way ends."""

Kind = Literal["straight", "steps", "none", "unknown"]


@dataclass(frozen=True, kw_only=True, eq=False)
class RemovalWay:
    """waypoints_mm: (k, 3) shifts of the sink, from (0, 0, 0) to outside; empty for 'none' and 'unknown'.

    confirmed: the sink swept along the way touches nothing, triangle against triangle. cell_mm: size of the cells
    where they were used, else 0. stuck_mm: where the sink first meets the part on the way down, or None.
    """

    kind: Kind
    waypoints_mm: FloatArray
    confirmed: bool
    cell_mm: float = 0.0
    stuck_mm: tuple[float, float, float] | None = None


def removal_way(
    part_tree: TriangleTree,
    part: Part,
    sink: Sink,
    *,
    others: Sequence[Sink] = (),
    in_steps: bool = True,
    most_cells: int = MOST_CELLS,
    goes_on: GoesOn = never_stop,
) -> RemovalWay:
    """How one sink comes off by shifting, the plate taken away; turning isn't tried.

    others: sinks that are in the way too. in_steps: also look for a way with bends when no straight one is clear.
    most_cells bounds the memory of that. Raises Stopped when told to stop.
    """
    corners = sink.vertices_mm[sink.triangles]
    trees = [part_tree, *(TriangleTree.of(other.vertices_mm[other.triangles]) for other in others)]
    obstacles = [Mesh(vertices_mm=part.vertices_mm, triangles=part.triangles)]
    obstacles += [Mesh(vertices_mm=other.vertices_mm, triangles=other.triangles) for other in others]
    if is_clear(trees, corners, DOWN):
        return _straight(obstacles, sink, DOWN)
    stuck = next((place for tree in trees if (place := _met(tree, corners)) is not None), None)
    quick = _spread(corners)
    ways = ways_to_try(part, sink)
    for k, direction in enumerate(ways):
        report(goes_on, 0.4 * k / len(ways))
        if is_clear(trees, quick, direction) and is_clear(trees, corners, direction):
            return _straight(obstacles, sink, direction)
    if not in_steps:
        return RemovalWay(kind="unknown", waypoints_mm=np.zeros((0, 3)), confirmed=False, stuck_mm=stuck)
    found = stepped_way(
        obstacles,
        trees,
        Mesh(vertices_mm=sink.vertices_mm, triangles=sink.triangles),
        part_of(goes_on, 0.4, 1.0),
        most_cells,
        max(0.05, sink.gap_mm / 2),
    )
    kind: Kind = "steps" if len(found.shifts_mm) else "unknown" if found.maybe else "none"
    return RemovalWay(
        kind=kind, waypoints_mm=found.shifts_mm, confirmed=found.confirmed, cell_mm=found.cell_mm, stuck_mm=stuck
    )


def check_removal(
    part_tree: TriangleTree, part: Part, sink: Sink, goes_on: GoesOn = never_stop, *, thorough: bool = True
) -> Finding:
    """A stop when the sink can't be shifted off the part at all.

    thorough: look for ways with bends; without, a sink with no straight way gets a stop that says so.
    """
    way = removal_way(part_tree, part, sink, in_steps=thorough, goes_on=goes_on)
    return removal_finding(sink, way)


def removal_finding(sink: Sink, way: RemovalWay) -> Finding:
    """The way in words, and its corners to be drawn."""
    middle = (sink.vertices_mm.min(axis=0) + sink.vertices_mm.max(axis=0)) / 2
    corners = tuple((float(x), float(y), float(z)) for x, y, z in middle + way.waypoints_mm)
    return replace(_in_words(sink.name, way), way_mm=corners)


def _in_words(name: str, way: RemovalWay) -> Finding:
    if way.kind == "straight":
        text = f"{name} comes off {towards_words(way.waypoints_mm[-1])} once part and sink are cut from the plate."
        return Finding(check="removal", level="ok", text=text)
    if way.kind == "steps":
        legs = _legs_words(way.waypoints_mm)
        if way.confirmed:
            return Finding(check="removal", level="ok", text=f"{name} comes off in {legs}.")
        return Finding(
            check="removal",
            level="note",
            text=f"{name} seems to come off in {legs}, but only cells of {way.cell_mm:.2g} mm say so; "
            "it may graze the part.",
            remedy="Try it with the files in a CAD program, or widen the gap.",
            at_mm=way.stuck_mm,
        )
    if way.kind == "unknown" and way.cell_mm:
        return Finding(
            check="removal",
            level="note",
            text=f"No way off the part was found for {name}; one narrower than {2 * way.cell_mm:.2g} mm may exist.",
            remedy="Leave out the faces above the place shown, or turn the part, unless you know how it comes off.",
            at_mm=way.stuck_mm,
        )
    how = "in any straight direction" if way.kind == "unknown" else "by shifting it, straight or in steps"
    cells = f" (cells of {way.cell_mm:.2g} mm)" if way.cell_mm else ""
    return Finding(
        check="removal",
        level="stop",
        text=f"{name} can't be taken off the part {how}{cells}; on the way down it meets the part.",
        remedy="Leave out the faces above the place shown, turn the part, or split the sink into several picks.",
        at_mm=way.stuck_mm,
    )


def _straight(obstacles: Sequence[Mesh], sink: Sink, direction: FloatArray) -> RemovalWay:
    low = np.min([mesh.vertices_mm.min(axis=0) for mesh in obstacles], axis=0)
    high = np.max([mesh.vertices_mm.max(axis=0) for mesh in obstacles], axis=0)
    ahead = np.where(direction > 0, high - sink.vertices_mm.min(axis=0), sink.vertices_mm.max(axis=0) - low)
    moving = np.abs(direction) > 1e-6
    travel = max(0.0, float((ahead[moving] / np.abs(direction[moving])).min())) + CLEAR_MM
    return RemovalWay(kind="straight", waypoints_mm=np.stack([np.zeros(3), travel * direction]), confirmed=True)


def _met(tree: TriangleTree, corners: FloatArray) -> tuple[float, float, float] | None:
    """Middle of a sink triangle that meets the tree on the way down."""
    _, _, which = first_contact(tree, corners, DOWN)
    if which < 0:
        return None
    x, y, z = corners[which].mean(axis=0)
    return float(x), float(y), float(z)


def _spread(corners: FloatArray) -> FloatArray:
    """A few triangles from all over the sink, the largest among them."""
    if len(corners) <= QUICK:
        return corners
    area = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1)
    largest = np.argpartition(area, -QUICK // 2)[-QUICK // 2 :]
    even = np.linspace(0, len(corners) - 1, QUICK // 2).astype(int)
    return np.asarray(corners[np.union1d(largest, even)])


def _legs_words(waypoints_mm: FloatArray) -> str:
    legs = np.diff(waypoints_mm, axis=0)
    words = [f"{np.linalg.norm(leg):.1f} mm {towards_words(leg)}" for leg in legs[:-1]] + [towards_words(legs[-1])]
    return f"{len(legs)} steps: {', then '.join(words)}"
