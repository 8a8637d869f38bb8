"""What a check found: a level, a sentence, a remedy and a place."""

import math
from dataclasses import dataclass, replace
from typing import Any, Literal

from core.refusal import Refusal
from core.sink.sink_choice import SinkChoice

Level = Literal["ok", "note", "stop"]
LEVELS: tuple[Level, ...] = ("stop", "note", "ok")


@dataclass(frozen=True, kw_only=True)
class Change:
    """One exact change of the job that answers a finding; whoever shows the finding can offer it.

    values: settings by their place in the job, such as ("gap.gap_mm", 0.28) or ("sink.kind", "block").
    patches: whose sinks take it; empty for the whole job.
    """

    values: tuple[tuple[str, float | str | tuple[float, float]], ...]
    patches: tuple[int, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Finding:
    """One result of one check; a `stop` forbids export."""

    check: str
    level: Level
    text: str
    remedy: str = ""
    changes: tuple[Change, ...] = ()
    """Those parts of the remedy that are exact, the best one first."""
    at_mm: tuple[float, float, float] | None = None
    """Where to look, in build position."""
    way_mm: tuple[tuple[float, float, float], ...] = ()
    """Corners of the way by which a sink comes off, drawn from the middle of its box; empty without one."""


def block_instead(kind: str, patches: tuple[int, ...]) -> tuple[Change, ...]:
    """The change to a solid block; none where the sink is one already."""
    return () if kind == "block" else (Change(values=(("sink.kind", "block"),), patches=patches),)


def thicker_walls(choice: SinkChoice, least_mm: float, patches: tuple[int, ...]) -> tuple[Change, ...]:
    """The change to walls of a thickness, rounded up to 0.1 mm, with as much room between them as before.

    Empty where such walls can't be had.
    """
    thickness_mm = round(math.ceil(10 * least_mm - 1e-6) / 10, 1)
    pitch_mm = round(choice.fin_pitch_mm - choice.fin_thickness_mm + thickness_mm, 3)
    wanted: dict[str, Any] = {"fin_thickness_mm": thickness_mm, "fin_pitch_mm": pitch_mm}
    if choice.kind == "edge":
        wanted = {"edge_width_mm": thickness_mm}
    try:
        replace(choice, **wanted)
    except Refusal:
        return ()
    return (Change(values=tuple((f"sink.{key}", value) for key, value in wanted.items()), patches=patches),)


def forbids_export(findings: tuple[Finding, ...]) -> bool:
    """True when any finding is a stop."""
    return any(f.level == "stop" for f in findings)
