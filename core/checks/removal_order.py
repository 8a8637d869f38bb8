"""Can the sinks be taken off one after another, each on its own way?"""

from collections.abc import Sequence

import numpy as np

from core.checks.finding import Finding
from core.checks.removal import RemovalWay
from core.checks.sweep import first_contact
from core.part.triangle_tree import TriangleTree
from core.progress import GoesOn, never_stop, report
from core.sink.sink import Sink


def removal_rounds(
    sinks: Sequence[Sink], ways: Sequence[RemovalWay], goes_on: GoesOn = never_stop
) -> tuple[tuple[tuple[int, ...], ...], tuple[int, ...]]:
    """Numbers of the sinks in rounds, and those left over.

    Those of one round meet none that is still there, in any order. ways: one per sink, as found without the other
    sinks; a sink without a way stays. Raises Stopped when told to stop.
    """
    n = len(sinks)
    trees = [TriangleTree.of(sink.vertices_mm[sink.triangles]) for sink in sinks]
    blocked_by: list[set[int]] = []
    for i in range(n):
        report(goes_on, i / n)
        met = {j for j in range(n) if j != i and _meets(sinks[i], ways[i], sinks[j], trees[j])}
        blocked_by.append(met if len(ways[i].waypoints_mm) else {i})
    left, rounds = set(range(n)), []
    while free := tuple(sorted(i for i in left if not blocked_by[i] & left)):
        rounds.append(free)
        left -= set(free)
    return tuple(rounds), tuple(sorted(left))


def _meets(sink: Sink, way: RemovalWay, other: Sink, tree: TriangleTree) -> bool:
    corners = sink.vertices_mm[sink.triangles]
    low, high = sink.vertices_mm.min(axis=0), sink.vertices_mm.max(axis=0)
    other_low, other_high = other.vertices_mm.min(axis=0), other.vertices_mm.max(axis=0)
    last = len(way.waypoints_mm) - 2
    for leg, (start, end) in enumerate(zip(way.waypoints_mm[:-1], way.waypoints_mm[1:], strict=True)):
        step = end - start
        length = float(np.linalg.norm(step)) if leg < last else np.inf  # the last leg goes on past the part
        reach = np.minimum(start, end), np.maximum(start, end)
        if leg == last:
            reach = np.where(step < -1e-9, -np.inf, reach[0]), np.where(step > 1e-9, np.inf, reach[1])
        if (low + reach[0] > other_high).any() or (high + reach[1] < other_low).any():
            continue
        if first_contact(tree, corners + start, step, length)[1] >= 0:
            return True
    return False


def check_removal_order(
    sinks: Sequence[Sink], ways: Sequence[RemovalWay], goes_on: GoesOn = never_stop
) -> Finding | None:
    """None when there is nothing to order: fewer than two sinks that come off at all."""
    can = [i for i in range(len(sinks)) if len(ways[i].waypoints_mm)]
    if len(can) < 2:
        return None
    rounds, stuck = removal_rounds([sinks[i] for i in can], [ways[i] for i in can], goes_on)
    if not stuck:
        first = ", ".join(sinks[can[i]].name for i in rounds[0])
        how = "in any order" if len(rounds) == 1 else f"these first: {first}"
        return Finding(check="removal order", level="ok", text=f"The {len(can)} sinks come off one by one, {how}.")
    names = " and ".join(sinks[can[i]].name for i in stuck[:3]) + (" and others" if len(stuck) > 3 else "")
    return Finding(
        check="removal order",
        level="note",
        text=f"{names} are in each other's way and don't come off one after another.",
        remedy="Set a negative margin so that they stand farther apart, or take them off together.",
        at_mm=sinks[can[stuck[0]]].nearest_mm,
    )
