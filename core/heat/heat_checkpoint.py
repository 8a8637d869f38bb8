"""A half-finished build on disk: written whole or not at all, taken up only by the very same build."""

import hashlib
import io
import json
import zipfile
from pathlib import Path
from typing import Any

import numpy as np

from core.heat.build_3d import BuildState
from core.heat.heat_choice import HeatChoice
from core.heat.heat_grid import HeatGrid
from core.heat.heat_tables import HeatTables
from core.heat.laser_settings import LaserSettings
from core.heat.machine import to_host
from core.units import FloatArray
from core.write_whole import write_whole

FORM = 1
_ARRAYS = ("rise", "heat", "before_next", "hottest", "peak", "down_w_m2")
_NUMBERS = ("layer", "put_in_j", "lost_j", "kept_j", "clock_s", "iterations")


def build_fingerprint(grid: HeatGrid, tables: HeatTables, laser: LaserSettings, choice: HeatChoice) -> str:
    """SHA-256 of everything that decides the outcome of a build."""
    digest = hashlib.sha256(
        f"{FORM} {laser} {choice} {grid.cell_mm!r} {tables.density_kg_m3} {tables.packing}".encode()
    )
    held = (grid.low_mm, grid.metal, *grid.metal_links, *grid.walls, *grid.powder_links)
    for array in (*held, tables.metal_w_mk, tables.powder_w_mk, tables.wall_m2k_w, tables.enthalpy_j_kg):
        digest.update(np.ascontiguousarray(array).tobytes())
    return digest.hexdigest()


def save_checkpoint(path: Path, state: BuildState, fingerprint: str) -> None:
    """Write the state; an older file stays until the new one is whole. Raises Refusal when it can't be written."""
    built = slice(0, state.layer + 2)
    facts = {"form": FORM, "build": fingerprint} | {name: getattr(state, name) for name in _NUMBERS}
    held = io.BytesIO()
    arrays: dict[str, Any] = {name: to_host(getattr(state, name)[built]) for name in _ARRAYS}
    np.savez(held, facts=np.frombuffer(json.dumps(facts).encode(), dtype=np.uint8), **arrays)
    write_whole(path, held.getvalue())


def load_checkpoint(path: Path, empty: BuildState, fingerprint: str) -> bool:
    """Put the saved state into the arrays of a fresh one; False, and nothing changed, when there is none for it."""
    try:
        with np.load(path, allow_pickle=False) as held:
            facts = json.loads(held["facts"].tobytes())
            arrays = {name: held[name] for name in _ARRAYS}
    except (OSError, ValueError, KeyError, zipfile.BadZipFile):
        return False
    if facts.get("form") != FORM or facts.get("build") != fingerprint:
        return False
    high = int(facts["layer"])
    places = {name: getattr(empty, name)[: high + 2] for name in arrays}
    if any(a.shape != places[name].shape or a.dtype != places[name].dtype for name, a in arrays.items()):
        return False
    for name, saved in arrays.items():
        _put(saved, places[name])
    for name in _NUMBERS:
        setattr(empty, name, type(getattr(empty, name))(facts[name]))
    return True


def _put(values: FloatArray, place: Any) -> None:
    """Into an array of this machine's memory or a card's."""
    if hasattr(place, "set"):
        place.set(values)
    else:
        place[...] = values
