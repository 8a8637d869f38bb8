"""Several parts on one plate: each turned and moved, then taken together as one part that remembers its bodies."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from core.part.part import MeshHealth, Part, PartBody
from core.part.place_on_plate import Plate, Pose, place_on_plate, plate_anchor_mm, plate_low_corner_mm
from core.refusal import Refusal
from core.units import MM_PER_UNIT, FloatArray, IntArray

ROOM_MM = 5.0
"""Room left round a part that is placed by itself, for sinks and for taking it off (common practice, no source)."""
FARTHEST_MM = 10_000.0


@dataclass(frozen=True, kw_only=True)
class MorePart:
    """A part beside the job's first: its file, how it stands, and how far it is moved in x and y of the first."""

    part_file: str
    part_sha256: str = ""
    units: str | None = None
    pose: Pose = Pose()
    shift_mm: tuple[float, float] = (0.0, 0.0)

    def __post_init__(self) -> None:
        if not self.part_file or not self.part_file.isprintable():
            raise Refusal("A part on the plate names no file.")
        if self.units is not None and self.units not in MM_PER_UNIT:
            raise Refusal(f"There is no length unit '{self.units:.20}'; choose {', '.join(MM_PER_UNIT)}.")
        if len(self.shift_mm) != 2 or not all(abs(value) <= FARTHEST_MM for value in self.shift_mm):
            raise Refusal(f"A part is moved by two lengths in mm, x and y, each at most {FARTHEST_MM:g} mm.")


def placed_more(raw: Part, more: MorePart) -> Part:
    """A part as its file has it, turned, set down, and moved in x and y."""
    part = place_on_plate(raw, more.pose)
    move = np.array([*more.shift_mm, 0.0])
    return replace(part, vertices_mm=part.vertices_mm + move, open_edge_points_mm=part.open_edge_points_mm + move)


def together(parts: Sequence[Part], shifts_mm: Sequence[tuple[float, float]] = ()) -> Part:
    """Placed parts as one, triangles in order; a part alone is given back as it is.

    shifts_mm: by which the parts after the first were moved, to be remembered. Names that come twice get a number.
    The parts keep their own vertices, so no face has a neighbour on another part.
    """
    if len(parts) == 1:
        return parts[0]
    names = distinct_names([part.name for part in parts])
    faces = np.cumsum([0, *(part.n_faces for part in parts)])
    vertices = np.cumsum([0, *(len(part.vertices_mm) for part in parts)])
    shifts = ((0.0, 0.0), *(shifts_mm or [(0.0, 0.0)] * (len(parts) - 1)))
    triangles = [part.triangles + start for part, start in zip(parts, vertices[:-1], strict=True)]
    return replace(
        parts[0],
        name=f"{names[0]} and {len(parts) - 1} more",
        vertices_mm=np.concatenate([part.vertices_mm for part in parts]),
        triangles=np.concatenate(triangles).astype(np.int32),
        brep_face=_brep_faces(parts),
        health=_health(parts, names),
        open_edge_points_mm=np.concatenate([part.open_edge_points_mm for part in parts]),
        warnings=tuple(f"{name}: {text}" for part, name in zip(parts, names, strict=True) for text in part.warnings),
        bodies=tuple(
            PartBody(name=name, first_face=int(face), first_vertex=int(vertex), shift_mm=shift)
            for name, face, vertex, shift in zip(names, faces[:-1], vertices[:-1], shifts, strict=True)
        ),
    )


def single_parts(part: Part) -> tuple[Part, ...]:
    """The parts put together, each by itself in its place on the plate; (part,) for a part alone."""
    if not part.bodies:
        return (part,)
    ends = [(body.first_face, body.first_vertex) for body in part.bodies[1:]]
    ends.append((part.n_faces, len(part.vertices_mm)))
    return tuple(
        replace(
            part,
            name=body.name,
            vertices_mm=part.vertices_mm[body.first_vertex : last_vertex],
            triangles=part.triangles[body.first_face : last_face] - np.int32(body.first_vertex),
            brep_face=None,
            bodies=(),
            warnings=(),
        )
        for body, (last_face, last_vertex) in zip(part.bodies, ends, strict=True)
    )


def faces_of_parts(part: Part) -> tuple[tuple[int, int], ...]:
    """First face and one past the last face of each part put together."""
    starts = [body.first_face for body in part.bodies] or [0]
    return tuple(zip(starts, [*starts[1:], part.n_faces], strict=True))


def part_of_face(part: Part, faces: IntArray) -> IntArray:
    """(n,) number of the part, from 0, that each of (n,) faces belongs to."""
    starts = [start for start, _ in faces_of_parts(part)]
    return np.asarray(np.searchsorted(starts, faces, side="right") - 1, dtype=np.int32)


def distinct_names(names: Sequence[str]) -> list[str]:
    """The names, those that came before with a number: lid, lid (2). Capitals alone make no other name."""
    given: list[str] = []
    for name in names:
        tried, number = name, 2
        while tried.casefold() in (other.casefold() for other in given):
            tried, number = f"{name} ({number})", number + 1
        given.append(tried)
    return given


def free_move_mm(part: Part, number: int, plate: Plate) -> tuple[float, float]:
    """The least move in x and y that takes one of the parts, by number from 0, to a free place on the plate.

    Bounding boxes in plan are kept apart by ROOM_MM where that fits, else by the plate's least distance. Raises
    Refusal when the plate has no room.
    """
    parts = list(single_parts(part))
    moved = parts.pop(number)
    boxes = np.array([[one.low_mm[:2], one.high_mm[:2]] for one in parts]).reshape(-1, 2, 2)
    low = np.array(plate_low_corner_mm(part, plate)) + plate.border_mm
    high = low + np.array(plate.size_mm) - 2 * plate.border_mm
    size = moved.size_mm[:2]
    for room_mm in (max(ROOM_MM, plate.apart_mm), plate.apart_mm):
        corner = nearest_free_corner_mm(size, boxes, low, high, room_mm, moved.low_mm[:2])
        if corner is not None:
            move = np.round(corner - moved.low_mm[:2], 6) + 0.0
            return float(move[0]), float(move[1])
    raise Refusal(
        f"There is no free place for '{moved.name}' on the plate: it needs {size[0]:.1f} × {size[1]:.1f} mm in plan "
        f"and {plate.apart_mm:g} mm to the other parts. Set a larger plate, or turn or remove a part."
    )


def at_free_place(part: Part, raw: Part, more: MorePart, plate: Plate) -> MorePart:
    """A further part moved to the free place nearest to the middle of the first one.

    part: what stands on the plate already. raw: the further part as in its file. Raises Refusal without room.
    """
    placed = placed_more(raw, replace(more, shift_mm=(0.0, 0.0)))
    middle = plate_anchor_mm(part) - (placed.low_mm + placed.high_mm)[:2] / 2
    there = placed_more(raw, replace(more, shift_mm=(float(middle[0]), float(middle[1]))))
    move = free_move_mm(together([*single_parts(part), there]), len(part.bodies) or 1, plate)
    x, y = np.round(middle + move, 6).tolist()
    return replace(more, shift_mm=(x, y))


def nearest_free_corner_mm(
    size: FloatArray, boxes: FloatArray, low: FloatArray, high: FloatArray, room_mm: float, wanted: FloatArray
) -> FloatArray | None:
    """The low corner nearest to a wanted one at which a rectangle meets no box; None when there is none.

    size: (2,). boxes: (n, 2, 2) low and high corners. low, high: (2,) of the free plate. Of all free places, one can
    be pushed down and left until it touches the border or a box, so corners there find a place whenever there is one.
    """
    last = high - size
    if (last < low - 1e-9).any():
        return None
    tried = []
    for axis in range(2):
        edges = [low[axis], last[axis], wanted[axis], *(boxes[:, 1, axis] + room_mm)]
        edges += list(boxes[:, 0, axis] - room_mm - size[axis])
        inside = [value for value in edges if low[axis] - 1e-9 <= value <= last[axis] + 1e-9]
        tried.append(np.unique(inside))
    corners = np.stack(np.meshgrid(*tried, indexing="ij"), axis=-1).reshape(-1, 2)
    corners = corners[np.argsort(np.linalg.norm(corners - wanted, axis=1), kind="stable")]
    for corner in corners:
        meets = (corner < boxes[:, 1] + room_mm - 1e-9) & (corner + size > boxes[:, 0] - room_mm + 1e-9)
        if not meets.all(axis=1).any():
            return np.asarray(corner)
    return None


def _brep_faces(parts: Sequence[Part]) -> IntArray | None:
    """Numbers of STEP faces that differ from part to part; -1 on parts that have none."""
    if all(part.brep_face is None for part in parts):
        return None
    found: list[IntArray] = []
    start = 0
    for part in parts:
        if part.brep_face is None:
            found.append(np.full(part.n_faces, -1, dtype=np.int32))
        else:
            found.append(part.brep_face + np.int32(start))
            start += int(part.brep_face.max()) + 1
    return np.concatenate(found)


def _health(parts: Sequence[Part], names: list[str]) -> MeshHealth:
    """Counts summed; sentences with the name of their part."""
    healths = [part.health for part in parts]
    named = list(zip(healths, names, strict=True))
    return MeshHealth(
        open_edges=sum(health.open_edges for health in healths),
        nonmanifold_edges=sum(health.nonmanifold_edges for health in healths),
        flipped_faces=sum(health.flipped_faces for health in healths),
        duplicate_faces=sum(health.duplicate_faces for health in healths),
        degenerate_faces=sum(health.degenerate_faces for health in healths),
        self_crossings=sum(health.self_crossings for health in healths),
        bodies=sum(health.bodies for health in healths),
        repaired=tuple(f"{name}: {text}" for health, name in named for text in health.repaired),
        problems=tuple(f"{name}: {text}" for health, name in named for text in health.problems),
    )
