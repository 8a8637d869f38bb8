"""What a check found: a level, a sentence, a remedy and a place."""

from dataclasses import dataclass
from typing import Literal

Level = Literal["ok", "note", "stop"]
LEVELS: tuple[Level, ...] = ("stop", "note", "ok")


@dataclass(frozen=True, kw_only=True)
class Finding:
    """One result of one check; a `stop` forbids export."""

    check: str
    level: Level
    text: str
    remedy: str = ""
    at_mm: tuple[float, float, float] | None = None
    """Where to look, in build position."""
    way_mm: tuple[tuple[float, float, float], ...] = ()
    """Corners of the way by which a sink comes off, drawn from the middle of its box; empty without one."""


def forbids_export(findings: tuple[Finding, ...]) -> bool:
    """True when any finding is a stop."""
    return any(f.level == "stop" for f in findings)
