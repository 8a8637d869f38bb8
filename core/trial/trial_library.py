"""The user's own library of what trials gave: one file per alloy and machine setting, history kept."""

import hashlib
import json
import math
import re
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import platformdirs

from core.heat.materials import alloy
from core.heat.user_library import metal_named
from core.refusal import Refusal
from core.trial.kept_trial import KeptTrial, entry_of, kept_of
from core.trial.trial_columns import SETTINGS
from core.trial.trial_fit import TrialFit
from core.trial.trial_log import TrialLog
from core.write_whole import write_whole

SCHEMA = 2
"""2 added an entry's cells, and which entry is used."""
MOST_BYTES = 10_000_000
LAYER_TOLERANCE_MM = 1e-6
NONE = "none"
"""In place of an entry's checksum: the model's estimate is used, no trials."""


@dataclass(frozen=True, kw_only=True)
class Removed:
    """An entry taken out of the library, with its place in its file, so that it can be put back."""

    path: Path
    place: int
    entry: dict[str, Any]


def library_folder() -> Path:
    """Where the library lies: in the user's data folder."""
    return Path(platformdirs.user_data_dir("underfin", appauthor=False)) / "materials"


def library_state(folder: Path | None = None) -> tuple[tuple[str, int, int, int], ...]:
    """Changes with every file put in place, added or removed; cheap enough for every tick of a slider."""
    try:
        found = [(path, path.stat()) for path in _files(folder)]
    except OSError:
        return ()
    return tuple((str(path), stat.st_ino, stat.st_mtime_ns, stat.st_size) for path, stat in found)


def keep_trial(log: TrialLog, fit: TrialFit, today: date, folder: Path | None = None) -> tuple[Path, bool]:
    """Add a fit to the file of its alloy and setting; the file, and False when this very sheet is in it already.

    Earlier entries stay. Raises Refusal when the sheet doesn't name a known alloy and the layer, or the file can't
    be read or written; it is then as it was.
    """
    if not isinstance(log.settings.get("alloy"), str) or "layer_mm" not in log.settings:
        raise Refusal(f"'{log.name}' doesn't say alloy and layer_mm in its rows; without them it can't be kept.")
    path, values = _file_of(log.settings | {"alloy": alloy(metal_named(str(log.settings["alloy"]))).name}, folder)
    if any(entry["sha256"] == log.sha256 for entry in values["trials"]):
        return path, False
    values["trials"].append(entry_of(log, fit, today))
    _write(path, values)
    return path, True


def use_trial(settings: dict[str, str | float], sha256: str, folder: Path | None = None) -> None:
    """Choose which entry is in force for an alloy and setting; NONE takes the model's estimate.

    The choice stands until another is made, whatever is kept later. Raises Refusal as keep_trial.
    """
    path, values = _file_of(settings, folder)
    _write(path, values | {"use": sha256})


def remove_trial(sha256: str, folder: Path | None = None) -> Removed:
    """Take an entry out. Raises Refusal when it isn't there, or as keep_trial."""
    for path in _files(folder):
        values = _read(path)
        for place, entry in enumerate(values["trials"]):
            if entry["sha256"] == sha256:
                del values["trials"][place]
                _write(path, values)
                return Removed(path=path, place=place, entry=entry)
    raise Refusal("These trials are no longer in the library; nothing was removed.")


def put_back(removed: Removed) -> None:
    """Put an entry back where it was. Raises Refusal as keep_trial."""
    values = _read(removed.path)
    values["trials"].insert(removed.place, removed.entry)
    _write(removed.path, values)


def file_name(settings: dict[str, str | float]) -> str:
    """One name per alloy and setting, readable and safe on every file system."""
    told = json.dumps({key: settings.get(key) for key in SETTINGS}, sort_keys=True)
    alloy_word = re.sub(r"[^A-Za-z0-9]+", "-", str(settings["alloy"])).strip("-")
    layer_um = round(float(settings["layer_mm"]) * 1e3)
    return f"{alloy_word}-{layer_um}um-{hashlib.sha256(told.encode()).hexdigest()[:8]}.json"


def kept_list(settings: dict[str, str | float], folder: Path | None = None) -> tuple[KeptTrial, ...]:
    """All entries of an alloy and layer: those of the same other settings first, of these the newest first.

    settings: alloy and laser by their names in SETTINGS, as far as known. Raises Refusal for a damaged file.
    """
    found = []
    for path in _files(folder):
        values = _read(path)
        own = values["settings"]
        same_layer = abs(float(own["layer_mm"]) - float(settings["layer_mm"])) < LAYER_TOLERANCE_MM
        if own["alloy"] == settings["alloy"] and same_layer:
            found += [kept_of(entry, own) for entry in values["trials"]]
    found.reverse()  # of one day, the one kept last comes first
    return tuple(sorted(found, key=lambda e: (not differing(e, settings), e.built_on, e.kept_on), reverse=True))


def in_force(settings: dict[str, str | float], folder: Path | None = None) -> KeptTrial | None:
    """The entry chosen for an alloy and setting; without a choice the first of kept_list that holds a limit.

    None where there is none or none is wanted. Raises Refusal for a damaged file.
    """
    entries = kept_list(settings, folder)
    path = (library_folder() if folder is None else folder) / file_name(settings)
    chosen = _read(path).get("use", "") if path.exists() else ""
    if chosen == NONE:
        return None
    named = [entry for entry in entries if entry.sha256 == chosen]
    return next((entry for entry in named + list(entries) if entry.bounds()), None)


def differing(kept: KeptTrial, like: dict[str, str | float]) -> tuple[str, ...]:
    """Names of the settings, but for the alloy, in which an entry differs from those given."""
    return tuple(
        name
        for name, value in like.items()
        if name in kept.settings and name != "alloy" and abs(float(kept.settings[name]) - float(value)) > 1e-9
    )


def _files(folder: Path | None) -> list[Path]:
    folder = library_folder() if folder is None else folder
    return sorted(folder.glob("*.json")) if folder.is_dir() else []


def _file_of(settings: dict[str, str | float], folder: Path | None) -> tuple[Path, dict[str, Any]]:
    """Path and values of the file of an alloy and setting, empty ones where it isn't there yet."""
    path = (library_folder() if folder is None else folder) / file_name(settings)
    return path, _read(path) if path.exists() else {"settings": settings, "trials": []}


def _read(path: Path) -> dict[str, Any]:
    """A file's values, each of its entries known to be whole."""
    try:
        data = path.read_bytes()
        if len(data) > MOST_BYTES:
            raise ValueError("too large")
        values = json.loads(data)
        if values["schema"] > SCHEMA:
            raise Refusal(f"'{path}' was written by a newer version; update, or move the file away.")
        settings = values["settings"]
        sound = isinstance(settings["alloy"], str) and math.isfinite(float(settings["layer_mm"]))
        if not sound or not isinstance(values.get("use", ""), str):
            raise ValueError("settings")
        for entry in values["trials"]:
            kept_of(entry, settings)
        return dict(values)
    except OSError as problem:
        raise Refusal(f"'{path}' can't be read: {problem.strerror or problem}.") from problem
    except Refusal:
        raise
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError) as problem:
        raise Refusal(f"'{path}' is damaged; move it away or mend it, then go on.") from problem


def _write(path: Path, values: dict[str, Any]) -> None:
    data = (json.dumps(values | {"schema": SCHEMA}, ensure_ascii=False, allow_nan=False) + "\n").encode()
    if len(data) > MOST_BYTES:
        raise Refusal(f"'{path}' would grow beyond {MOST_BYTES // 1_000_000} MB; remove trials from it first.")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise Refusal(f"The library '{path.parent}' can't be made: {problem.strerror or problem}.") from problem
    write_whole(path, data)
