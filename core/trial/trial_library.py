"""The user's own library of what trials gave: one file per alloy and machine setting, history kept."""

import hashlib
import json
import math
import re
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any

import platformdirs

from core.gap.gap_window import GapClass
from core.heat.materials import alloy
from core.refusal import Refusal
from core.trial.trial_columns import SETTINGS
from core.trial.trial_fit import GapLimit, TrialFit, class_of_share
from core.trial.trial_log import TrialLog
from core.write_whole import write_whole

SCHEMA = 1
MOST_BYTES = 10_000_000
LAYER_TOLERANCE_MM = 1e-6


@dataclass(frozen=True, kw_only=True)
class KeptTrial:
    """One entry: when it was built, how many cells, and what the fit said. settings: of its file."""

    built_on: str
    kept_on: str
    source: str
    sha256: str
    n: int
    n_free: int
    weights: tuple[float, float, float]
    limits: tuple[GapLimit, ...]
    settings: dict[str, str | float]

    @property
    def words(self) -> str:
        """Where a number comes from, as it is shown."""
        return f"from trials of {self.built_on}, n = {self.n}"

    def limit_at(self, angle_deg: float) -> GapLimit:
        """The limit at an angle: between the angles tried by a straight line, beyond them that of the nearest one."""
        angle = [limit.angle_deg for limit in self.limits]
        at = min(max(angle_deg, angle[0]), angle[-1])
        upper = next(k for k, own in enumerate(angle) if own >= at)
        high, low = self.limits[upper], self.limits[max(upper - 1, 0)]
        if high.angle_deg == at or high is low:
            return replace(high, angle_deg=angle_deg)
        share = (at - low.angle_deg) / (high.angle_deg - low.angle_deg)

        def between(a: float, b: float) -> float:
            return math.inf if math.inf in (a, b) else (1 - share) * a + share * b

        known = low.gap_mm is not None and high.gap_mm is not None
        return GapLimit(
            angle_deg=angle_deg,
            gap_mm=between(low.gap_mm or 0.0, high.gap_mm or 0.0) if known else None,
            low_mm=between(low.low_mm, high.low_mm),
            high_mm=between(low.high_mm, high.high_mm),
        )

    def verdict(self, gap_mm: float, angle_deg: float) -> GapClass:
        """What to expect of a gap by these trials; angles beyond those tried count as the nearest."""
        angle = min(max(angle_deg, self.limits[0].angle_deg), self.limits[-1].angle_deg)
        a, b, c = self.weights
        logit = a + b * gap_mm + c * angle
        return class_of_share(1.0 / (1.0 + math.exp(-max(min(logit, 700.0), -700.0))))

    def bounds(self) -> bool:
        """True when it holds a limit at some angle."""
        return any(limit.gap_mm is not None for limit in self.limits)


def library_folder() -> Path:
    """Where the library lies: in the user's data folder."""
    return Path(platformdirs.user_data_dir("underfin", appauthor=False)) / "materials"


def keep_trial(log: TrialLog, fit: TrialFit, today: date, folder: Path | None = None) -> tuple[Path, bool]:
    """Add a fit to the file of its alloy and setting; the file, and False when this very sheet is in it already.

    Earlier entries stay. Raises Refusal when the sheet doesn't name a known alloy and the layer, or the file can't
    be read or written; it is then as it was.
    """
    if not isinstance(log.settings.get("alloy"), str) or "layer_mm" not in log.settings:
        raise Refusal(f"'{log.name}' doesn't say alloy and layer_mm in its rows; without them it can't be kept.")
    settings = log.settings | {"alloy": alloy(str(log.settings["alloy"])).name}
    folder = library_folder() if folder is None else folder
    path = folder / file_name(settings)
    entries = _entries(path) if path.exists() else []
    if any(entry["sha256"] == log.sha256 for entry in entries):
        return path, False
    built = log.built_on or today
    entries.append(
        {
            "built_on": built.isoformat(),
            "kept_on": today.isoformat(),
            "source": log.name,
            "sha256": log.sha256,
            "n": fit.n,
            "n_free": fit.n_free,
            "weights": list(fit.weights),
            "limits": [
                {
                    "angle_deg": limit.angle_deg,
                    "gap_mm": limit.gap_mm,
                    "low_mm": limit.low_mm,
                    "high_mm": limit.high_mm if math.isfinite(limit.high_mm) else None,
                }
                for limit in fit.limits
            ],
        }
    )
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise Refusal(f"The library '{folder}' can't be made: {problem.strerror or problem}.") from problem
    plain = [{key: value for key, value in entry.items() if key != "settings"} for entry in entries]
    values = {"schema": SCHEMA, "settings": settings, "trials": plain}
    write_whole(path, (json.dumps(values, indent=1, ensure_ascii=False, allow_nan=False) + "\n").encode())
    return path, True


def file_name(settings: dict[str, str | float]) -> str:
    """One name per alloy and setting, readable and safe on every file system."""
    told = json.dumps({key: settings.get(key) for key in SETTINGS}, sort_keys=True)
    alloy_word = re.sub(r"[^A-Za-z0-9]+", "-", str(settings["alloy"])).strip("-")
    layer_um = round(float(settings["layer_mm"]) * 1e3)
    return f"{alloy_word}-{layer_um}um-{hashlib.sha256(told.encode()).hexdigest()[:8]}.json"


def kept_for(alloy_name: str, layer_mm: float, like: dict[str, float], folder: Path | None = None) -> KeptTrial | None:
    """The newest entry with a limit for an alloy and layer; one whose other settings are the same goes first.

    like: laser settings by their names in SETTINGS. None where there is none. Raises Refusal for a damaged file.
    """
    folder = library_folder() if folder is None else folder
    found = []
    for path in sorted(folder.glob("*.json")) if folder.is_dir() else []:
        entries = _entries(path)
        for entry in (_kept(path, values) for values in entries):
            same_layer = abs(float(entry.settings["layer_mm"]) - layer_mm) < LAYER_TOLERANCE_MM
            if entry.settings["alloy"] == alloy_name and same_layer and entry.bounds():
                found.append(entry)
    return max(found, key=lambda e: (not differing(e, like), e.built_on, e.kept_on), default=None)


def differing(kept: KeptTrial, like: dict[str, float]) -> tuple[str, ...]:
    """Names of the settings in which an entry differs from those given."""
    return tuple(
        name for name, value in like.items() if name in kept.settings and abs(float(kept.settings[name]) - value) > 1e-9
    )


def _entries(path: Path) -> list[dict[str, Any]]:
    """The entries of a file, each with the file's settings."""
    try:
        data = path.read_bytes()
        if len(data) > MOST_BYTES:
            raise ValueError("too large")
        values = json.loads(data)
        if values["schema"] > SCHEMA:
            raise Refusal(f"'{path}' was written by a newer version; update, or move the file away.")
        settings = values["settings"]
        entries = [entry | {"settings": settings} for entry in values["trials"]]
        for entry in entries:
            _kept(path, entry)
        return entries
    except OSError as problem:
        raise Refusal(f"'{path}' can't be read: {problem.strerror or problem}.") from problem
    except Refusal:
        raise
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError) as problem:
        raise Refusal(f"'{path}' is damaged; move it away or mend it, then go on.") from problem


def _kept(path: Path, values: dict[str, Any]) -> KeptTrial:
    settings, weights = values["settings"], values["weights"]
    limits = tuple(
        GapLimit(
            angle_deg=float(limit["angle_deg"]),
            gap_mm=None if limit["gap_mm"] is None else float(limit["gap_mm"]),
            low_mm=float(limit["low_mm"]),
            high_mm=math.inf if limit["high_mm"] is None else float(limit["high_mm"]),
        )
        for limit in values["limits"]
    )
    numbers = [*weights, *(n for k in limits for n in (k.angle_deg, k.gap_mm or 0.0, k.low_mm))]
    sound = limits and len(weights) == 3 and all(math.isfinite(float(n)) for n in numbers)
    if not sound or not isinstance(settings["alloy"], str) or not math.isfinite(float(settings["layer_mm"])):
        raise ValueError(path.name)
    return KeptTrial(
        built_on=date.fromisoformat(values["built_on"]).isoformat(),
        kept_on=date.fromisoformat(values["kept_on"]).isoformat(),
        source=str(values["source"]),
        sha256=str(values["sha256"]),
        n=int(values["n"]),
        n_free=int(values["n_free"]),
        weights=(float(weights[0]), float(weights[1]), float(weights[2])),
        limits=limits,
        settings=settings,
    )
