"""How clicks become picks: replace, add, remove, and joining of picks that lie in the same patch."""

from dataclasses import replace

import numpy as np

from core.job import Pick, faces_of, pick_of
from core.units import IntArray


def pick_with_face(picks: tuple[Pick, ...], face: int) -> Pick | None:
    """The pick that holds a face."""
    return next((pick for pick in picks if any(first <= face <= last for first, last in pick.runs)), None)


def added(picks: tuple[Pick, ...], faces: IntArray, patch_of_face: IntArray) -> tuple[Pick, ...]:
    """The picks with some faces more; picks in a patch that the faces touch are joined with them to one sink.

    It keeps the settings that the first of them has of its own.
    faces: (n,) triangle numbers. patch_of_face: (n_faces,) patch ids, 0 for none.
    """
    touched = np.unique(patch_of_face[faces])
    rest: list[Pick] = []
    joined: list[Pick] = []
    for pick in picks:
        old = faces_of(pick)
        if np.isin(patch_of_face[old], touched[touched > 0]).any() or np.isin(old, faces).any():
            joined.append(pick)
        else:
            rest.append(pick)
    one = pick_of(np.concatenate([faces, *map(faces_of, joined)]))
    own = next((pick for pick in joined if pick.has_own), one)
    zone = next((pick.zone for pick in joined if pick.zone is not None), None)
    return (*rest, replace(one, gap=own.gap, sink=own.sink, zone=zone))


def patches_of_picks(picks: tuple[Pick, ...], patch_of_face: IntArray) -> set[int]:
    """Ids of the patches that the picks touch."""
    ids = {int(i) for pick in picks for i in np.unique(patch_of_face[faces_of(pick)])}
    return ids - {0}


def without(picks: tuple[Pick, ...], faces: IntArray) -> tuple[Pick, ...]:
    """The picks with some faces less, (n,) triangle numbers; a pick that loses all its faces goes."""
    left = ((pick, np.setdiff1d(faces_of(pick), faces)) for pick in picks)
    return tuple(replace(pick, runs=pick_of(rest).runs) for pick, rest in left if len(rest))
