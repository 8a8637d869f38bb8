"""Follow the build of a job with its sinks and without: the comparison, its files, and going on after a stop."""

import csv
import io
import math
from dataclasses import asdict
from pathlib import Path
from typing import Any

import numpy as np

from core.export.heat_drawing import layer_drawing
from core.export.result import JobResult
from core.export.result_json import ESTIMATE_WORDS, json_text, number
from core.heat.build_3d import Build
from core.heat.compare_heat import HeatComparison, compare_heat
from core.heat.estimate import Band
from core.heat.estimate_notes import ALWAYS
from core.heat.heat_checkpoint import build_fingerprint, load_checkpoint, save_checkpoint
from core.heat.heat_choice import HeatChoice
from core.heat.heat_result import HeatRun
from core.heat.materials import alloy
from core.progress import GoesOn, never_stop
from core.refusal import Refusal
from core.sink.sink_choice import SinkChoice
from core.version import PROGRAM, VERSION
from core.write_whole import could_not_write, write_whole

RESULT, LAYERS, FACES, PNG, SVG = "heat.json", "heat-layers.csv", "heat-faces.npz", "heat.png", "heat.svg"
USUAL = HeatChoice()
LIMITS = ALWAYS[1:]
"""What the sinks don't do; that it is an estimate is said beside it."""
SAVE_EVERY = 10
"""Layers of cells between two saved states."""


def run_heat(
    result: JobResult, choice: HeatChoice = USUAL, goes_on: GoesOn = never_stop, *, half_done: Path | None = None
) -> HeatComparison:
    """Compare the build of a finished job with and without its sinks.

    half_done: folder in which the state is kept while it runs; a later run with the same job goes on from there.
    Raises Refusal when there is no sink, Stopped when goes_on says so.
    """
    if not result.sinks:
        reason = next((f" {f.text}" for f in result.findings if f.level == "stop"), "")
        raise Refusal(f"There is no sink to compare with; build one first.{reason}")
    sinks = np.concatenate([sink.vertices_mm[sink.triangles] for sink in result.sinks])
    built = {number for sink in result.sinks for number in sink.patches}
    return compare_heat(
        result.part,
        sinks,
        tuple(patch for patch in result.picked if patch.id in built),
        alloy=alloy(result.job.alloy),
        laser=result.job.laser,
        powder=result.job.powder,
        choice=choice,
        goes_on=goes_on,
        keep=None if half_done is None else _Keeper(half_done),
    )


class _Keeper:
    """Saves a build now and then, and puts a saved one back at the start."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._mark = ""

    def take_up(self, name: str, build: Build) -> None:
        self._mark = build_fingerprint(build.grid, build.tables, build.laser, build.choice)
        if load_checkpoint(self._path(name), build.state, self._mark):
            build.resume()

    def save(self, name: str, build: Build, *, at_once: bool) -> None:
        if (at_once or build.state.layer % SAVE_EVERY == 0) and build.state.layer > 0:
            try:
                self._folder.mkdir(parents=True, exist_ok=True)
            except OSError as problem:
                raise could_not_write(self._folder, problem) from problem
            save_checkpoint(self._path(name), build.state, self._mark)

    def _path(self, name: str) -> Path:
        return self._folder / f"{name.replace(' ', '-')}.half"


def heat_values(comparison: HeatComparison, result: JobResult) -> dict[str, Any]:
    """What `heat --json` prints; temperatures in °C, every band low, nominal, high."""
    return {
        "program": PROGRAM,
        "version": VERSION,
        "job_sha256": result.hash,
        "words": ESTIMATE_WORDS,
        "cell_mm": number(comparison.cell_mm, 6),
        "cells": comparison.n_cells,
        "patches": [
            {
                "patch": p.patch,
                "with_sinks_c": _band(p.with_c),
                "without_c": _band(p.without_c),
                "cooler_by_k": number(p.cooler_by_k, 5),
                "hottest_with_c": number(p.hottest_with_c, 5),
                "hottest_without_c": number(p.hottest_without_c, 5),
                "peak_with_c": number(p.peak_with_c, 5),
                "peak_without_c": number(p.peak_without_c, 5),
                "cooling_with_k_s": number(p.cooling_with_k_s, 4),
                "cooling_without_k_s": number(p.cooling_without_k_s, 4),
                "through_gap_w_m2": number(p.through_gap_w_m2, 4),
            }
            for p in comparison.patches
        ],
        "notes": [*_cell_notes(result.job.sink, comparison.cell_mm), *LIMITS],
        "with_sinks": _run_values(comparison.with_sinks),
        "without": _run_values(comparison.without),
    }


def _cell_notes(sink: SinkChoice, cell_mm: float) -> list[str]:
    """A warning when the sinks' walls are thinner than a cell; powder is mixed into them then."""
    if sink.kind == "block":
        return []
    wall_mm = sink.edge_width_mm if sink.kind == "edge" else min(sink.fin_thickness_mm, sink.skin_mm)
    if cell_mm <= wall_mm:
        return []
    return [f"Cells of {cell_mm:g} mm are larger than the sink's thinnest walls of {wall_mm:g} mm, so the sink looks "
            f"poorer than it is; use cells of at most {wall_mm:g} mm for numbers to rely on."]  # fmt: skip


def _band(band: Band) -> dict[str, float | None]:
    return {name: number(value, 5) for name, value in asdict(band).items()}


def _run_values(run: HeatRun) -> dict[str, Any]:
    return {
        "heat_put_in_j": number(run.put_in_j),
        "heat_lost_j": number(run.lost_j),
        "imbalance": number(run.imbalance, 3),
        "build_time_h": number(run.build_time_s / 3600.0, 5),
        "iterations": run.iterations,
    }


def write_heat(comparison: HeatComparison, result: JobResult, folder: Path) -> tuple[str, ...]:
    """Write heat.json, a table of the layers (CSV), the temperatures of all faces (npz) and a drawing (PNG, SVG).

    Returns the names of the files; heat.json is written last.
    Raises Refusal when the folder can't be written to.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise Refusal(f"The folder '{folder}' can't be made ({problem.strerror}); choose another one.") from problem
    with_sinks, without = comparison.with_sinks, comparison.without
    table = io.StringIO()
    rows = csv.writer(table, lineterminator="\n")
    rows.writerow(["z_mm", "with_mean_c", "with_max_c", "without_mean_c", "without_max_c"])
    for row in zip(with_sinks.z_mm, with_sinks.layer_mean_c, with_sinks.layer_max_c, without.layer_mean_c,
                   without.layer_max_c, strict=True):  # fmt: skip
        rows.writerow(["" if math.isnan(value) else f"{value:.3f}" for value in row])
    faces = io.BytesIO()
    np.savez(
        faces,
        with_sinks_c=with_sinks.face_between_c.astype(np.float32),
        without_c=without.face_between_c.astype(np.float32),
    )
    png, svg = layer_drawing(comparison, result.picked)
    write_whole(folder / PNG, png)
    write_whole(folder / SVG, svg)
    write_whole(folder / LAYERS, table.getvalue().encode())
    write_whole(folder / FACES, faces.getvalue())
    write_whole(folder / RESULT, json_text(heat_values(comparison, result)).encode())
    return RESULT, LAYERS, FACES, PNG, SVG
