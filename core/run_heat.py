"""Follow the build of a job with its sinks and without, look at it quickly, and go on after a stop."""

from pathlib import Path

import numpy as np

from core.export.result import JobResult
from core.heat.build_3d import Build
from core.heat.coarse_builds import Followed
from core.heat.compare_heat import HeatComparison, compare_heat
from core.heat.heat_checkpoint import build_fingerprint, load_checkpoint, save_checkpoint
from core.heat.heat_choice import HeatChoice
from core.heat.materials import alloy
from core.heat.quick_look import QuickAnswer, quick_answer
from core.progress import GoesOn, never_stop
from core.refusal import Refusal
from core.write_whole import could_not_write

USUAL = HeatChoice()
SAVE_EVERY = 10
"""Layers of cells between two saved states."""


def run_heat(
    result: JobResult, choice: HeatChoice = USUAL, goes_on: GoesOn = never_stop, *, half_done: Path | None = None
) -> HeatComparison:
    """Compare the build of a finished job with and without its sinks.

    half_done: folder in which the state is kept while it runs; a later run with the same job goes on from there.
    Raises Refusal when there is no sink, the memory isn't enough or the card is lost, Stopped when goes_on says so.
    """
    keep = None if half_done is None else _Keeper(half_done)
    kept = "" if half_done is None else " What was saved on the way is kept."
    try:
        return compare_heat(_followed(result, choice), goes_on, keep=keep)
    except MemoryError:
        raise Refusal(f"The memory ran out while the build was followed.{kept} "
                      "Set larger cells or close other programs.") from None  # fmt: skip
    except RuntimeError as fault:  # what CuPy raises for a card that was lost or reset
        if choice.machine != "card":
            raise
        raise Refusal(f"The card stopped answering while the build was followed ({type(fault).__name__}).{kept} "
                      "Start again, or follow the build on the processor.") from fault  # fmt: skip


def run_quick_look(result: JobResult, choice: HeatChoice = USUAL, goes_on: GoesOn = never_stop) -> QuickAnswer:
    """The quick look at every patch of a finished job that has a sink, with it and without.

    Raises Refusal when there is no sink, Stopped when goes_on says so.
    """
    return quick_answer(_followed(result, choice), goes_on)


def _followed(result: JobResult, choice: HeatChoice) -> Followed:
    if not result.sinks:
        reason = next((f" {f.text}" for f in result.findings if f.level == "stop"), "")
        raise Refusal(f"There is no sink to compare with; build one first.{reason}")
    built = {number for sink in result.sinks for number in sink.patches}
    return Followed(
        part=result.part,
        sinks_mm=np.concatenate([sink.vertices_mm[sink.triangles] for sink in result.sinks]),
        patches=tuple(patch for patch in result.picked if patch.id in built),
        alloy=alloy(result.job.metal),
        laser=result.job.laser,
        powder=result.job.powder,
        choice=choice,
    )


class _Keeper:
    """Saves builds now and then, and puts saved ones back at the start; each build may be in a thread of its own."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._marks: dict[str, str] = {}

    def take_up(self, name: str, build: Build) -> None:
        self._marks[name] = build_fingerprint(build.grid, build.tables, build.laser, build.choice)
        if load_checkpoint(self._path(name), build.state, self._marks[name]):
            build.resume()

    def save(self, name: str, build: Build, *, at_once: bool) -> None:
        if (at_once or build.state.layer % SAVE_EVERY == 0) and build.state.layer > 0:
            try:
                self._folder.mkdir(parents=True, exist_ok=True)
            except OSError as problem:
                raise could_not_write(self._folder, problem) from problem
            save_checkpoint(self._path(name), build.state, self._marks[name])

    def _path(self, name: str) -> Path:
        return self._folder / f"{name.replace(' ', '-')}.half"
