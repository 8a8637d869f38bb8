"""Do the parts on a plate keep clear of each other? Exact distance, triangle against triangle, for every pair."""

from dataclasses import dataclass

import numpy as np

from core.checks.finding import Change, Finding
from core.checks.overlap import lies_inside, shells_within
from core.part.more_parts import free_move_mm, single_parts
from core.part.part import Part
from core.part.place_on_plate import Plate
from core.part.triangle_tree import TriangleTree
from core.refusal import Refusal

CHECK = "parts apart"


@dataclass(frozen=True, kw_only=True)
class NearPair:
    """Two parts, by number from 0, nearer than the plate's least distance; 0 where they touch or share volume."""

    first: int
    second: int
    distance_mm: float
    at_mm: tuple[float, float, float]


def near_pairs(part: Part, least_mm: float) -> tuple[NearPair, ...]:
    """Every pair of parts nearer than a distance, exactly; none for a part alone."""
    parts = single_parts(part)
    trees: dict[int, TriangleTree] = {}
    pairs = []
    for j, second in enumerate(parts):
        for i, first in enumerate(parts[:j]):
            between = np.maximum(first.low_mm - second.high_mm, second.low_mm - first.high_mm).max()
            if between >= least_mm:
                continue
            if i not in trees:
                trees[i] = TriangleTree.of(first.corners_mm)
            distance, _, where = trees[i].distance_to(second.corners_mm)
            if distance > 0 and _one_in_the_other(first, second, trees[i]):
                distance = 0.0
            if distance < least_mm:
                x, y, z = second.corners_mm[where].mean(axis=0).tolist()
                pairs.append(NearPair(first=i, second=j, distance_mm=distance, at_mm=(x, y, z)))
    return tuple(pairs)


def check_parts_apart(part: Part, plate: Plate) -> list[Finding]:
    """A stop for parts that touch or share volume, a note for parts nearer than the plate's least distance.

    Nothing for a part alone. The remedy moves the later part of a pair to the nearest free place.
    """
    if not part.bodies:
        return []
    findings = [apart_finding(part, pair, plate) for pair in near_pairs(part, plate.apart_mm)]
    text = f"All {len(part.bodies)} parts keep {plate.apart_mm:g} mm or more from each other."
    return findings or [Finding(check=CHECK, level="ok", text=text)]


def apart_finding(part: Part, pair: NearPair, plate: Plate) -> Finding:
    """What is wrong with one pair, and the move that helps."""
    first, second = part.bodies[pair.first].name, part.bodies[pair.second].name
    touch = pair.distance_mm <= 0
    text = f"'{first}' and '{second}' " + (
        "touch or share volume: they would be built as one."
        if touch
        else f"are only {pair.distance_mm:.3f} mm apart; below {plate.apart_mm:g} mm they may grow together."
    )
    remedy, changes = _move_away(part, pair.second, plate)
    return Finding(
        check=CHECK, level="stop" if touch else "note", text=text, remedy=remedy, changes=changes, at_mm=pair.at_mm
    )


def _move_away(part: Part, number: int, plate: Plate) -> tuple[str, tuple[Change, ...]]:
    """The least move of a part after the first to a free place, in words and as a change of the job."""
    name = part.bodies[number].name
    try:
        x, y = free_move_mm(part, number, plate)
    except Refusal:
        return f"Set a larger plate, or turn or remove '{name}': there is no free place for it.", ()
    way = " and ".join(f"{value:+.2f} mm along {axis}" for value, axis in ((x, "X"), (y, "Y")) if value)
    was = part.bodies[number].shift_mm
    shift = (round(was[0] + x, 6), round(was[1] + y, 6))
    return f"Move '{name}' by {way}, to a free place.", (
        Change(values=((f"more_parts.{number - 1}.shift_mm", shift),)),
    )


def _one_in_the_other(first: Part, second: Part, tree: TriangleTree) -> bool:
    """Surfaces that don't cross share volume only where a shell of one lies in the metal of the other."""
    if (first.low_mm > second.high_mm).any() or (second.low_mm > first.high_mm).any():
        return False
    if any(lies_inside(tree, first.normals, shell) for shell in shells_within(second, first.low_mm, first.high_mm)):
        return True
    low, high = second.low_mm, second.high_mm
    other = TriangleTree.of(second.corners_mm)
    return any(lies_inside(other, second.normals, shell) for shell in shells_within(first, low, high))
