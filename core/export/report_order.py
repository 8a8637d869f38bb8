"""In which order and by which ways the sinks come off, for table and picture."""

from dataclasses import dataclass

import numpy as np

from core.checks.finding import Finding
from core.checks.removal import Kind, RemovalWay
from core.checks.removal_order import removal_rounds
from core.export.result import JobResult
from core.sink.sink import Sink
from core.units import FloatArray


@dataclass(frozen=True, kw_only=True, eq=False)
class WayOff:
    """step: when the sink comes off, from 1; '–' where that isn't known. corners_mm: (k, 3), empty without a way."""

    sink: str
    step: str
    text: str
    corners_mm: FloatArray


def ways_off(result: JobResult) -> tuple[WayOff, ...]:
    """One per sink, in the order they come off; those of one step may come off in any order."""
    findings = [_removal_of(sink, result.findings) for sink in result.sinks]
    if not any(findings):
        return ()
    ways = [_way(sink, finding) for sink, finding in zip(result.sinks, findings, strict=True)]
    step = _steps(result.sinks, ways)
    found = [
        WayOff(
            sink=sink.name,
            step=step.get(i, "–"),
            text="Not checked." if finding is None else f"{finding.text} {finding.remedy}".strip(),
            corners_mm=np.array(finding.way_mm).reshape(-1, 3) if finding is not None else np.zeros((0, 3)),
        )
        for i, (sink, finding) in enumerate(zip(result.sinks, findings, strict=True))
    ]
    return tuple(sorted(found, key=lambda way: int(way.step) if way.step.isdigit() else len(found) + 1))


def _middle(sink: Sink) -> FloatArray:
    return np.asarray((sink.vertices_mm.min(axis=0) + sink.vertices_mm.max(axis=0)) / 2)


def _removal_of(sink: Sink, findings: tuple[Finding, ...]) -> Finding | None:
    """The finding on this sink's removal: its way starts in the middle of the sink, or its text names the sink."""
    about = [finding for finding in findings if finding.check == "removal"]
    starts = (f for f in about if f.way_mm and np.allclose(f.way_mm[0], _middle(sink), atol=1e-6))
    named = (f for f in about if not f.way_mm and sink.name in f.text.replace(";", " ").split())
    return next(starts, None) or next(named, None)


def _way(sink: Sink, finding: Finding | None) -> RemovalWay:
    corners = np.zeros((0, 3)) if finding is None else np.array(finding.way_mm).reshape(-1, 3)
    kind: Kind = "none" if not len(corners) else "straight" if len(corners) == 2 else "steps"
    shifts = corners - _middle(sink) if len(corners) else corners
    return RemovalWay(kind=kind, waypoints_mm=shifts, confirmed=True)


def _steps(sinks: tuple[Sink, ...], ways: list[RemovalWay]) -> dict[int, str]:
    """Number of the step of every sink that comes off one after another."""
    if len(sinks) == 1:
        return {0: "1"} if len(ways[0].waypoints_mm) else {}
    can = [i for i, way in enumerate(ways) if len(way.waypoints_mm)]
    rounds, _ = removal_rounds([sinks[i] for i in can], [ways[i] for i in can])
    return {can[i]: str(number) for number, together in enumerate(rounds, start=1) for i in together}
