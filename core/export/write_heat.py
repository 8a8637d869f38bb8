"""What following a build or looking at it quickly gave, as values and files."""

import csv
import io
import json
import math
from dataclasses import asdict
from pathlib import Path
from typing import Any

import numpy as np

from core.export.heat_drawing import layer_drawing
from core.export.result import JobResult
from core.export.result_json import ESTIMATE_WORDS, json_text, number
from core.heat.compare_heat import HeatComparison
from core.heat.estimate import Band
from core.heat.estimate_notes import ALWAYS
from core.heat.heat_notes import DEPTHS, FULL, QUICK, cell_notes
from core.heat.heat_result import CellError, HeatRun
from core.heat.quick_look import QuickAnswer, QuickHeat
from core.job_file import job_text
from core.refusal import Refusal
from core.version import PROGRAM, VERSION
from core.write_whole import write_together, write_whole

RESULT, LAYERS, FACES, PNG, SVG = "heat.json", "heat-layers.csv", "heat-faces.npz", "heat.png", "heat.svg"
QUICK_RESULT = "heat-quick.json"
LIMITS = ALWAYS[1:]
"""What the sinks don't do; that it is an estimate is said beside it."""


def heat_values(comparison: HeatComparison, result: JobResult) -> dict[str, Any]:
    """What `heat --json` prints; temperatures in °C, every band low, nominal, high."""
    return _shared_values(comparison, result, FULL) | {
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
                **_cell_values(p.cells),
            }
            for p in comparison.patches
        ],
        "notes": _notes(comparison, result, FULL),
        "with_sinks": _run_values(comparison.with_sinks),
        "without": _run_values(comparison.without),
    }


def _shared_values(answer: HeatComparison | QuickAnswer, result: JobResult, depth: str) -> dict[str, Any]:
    """What both depths begin with."""
    return {
        "program": PROGRAM,
        "version": VERSION,
        "job_sha256": result.hash,
        "words": ESTIMATE_WORDS,
        "depth": depth,
        "cell_mm": number(answer.cell_mm, 6),
        "cells": answer.n_cells,
        "settings": json.loads(job_text(result.job, Path(result.job.part_file).parent)),
        "heat_settings": asdict(answer.choice),
    }


def _notes(answer: HeatComparison | QuickAnswer, result: JobResult, depth: str) -> list[str]:
    cells = cell_notes(answer.patches, answer.cell_mm, [s.choice for s in result.sinks], result.job.laser.preheat_c)
    return [DEPTHS[depth], *cells, *LIMITS]


def _cell_values(cells: CellError) -> dict[str, float | None]:
    """How far the answer moves on larger cells."""
    return {f"cell_error_{name}": number(value, 4) for name, value in asdict(cells).items()}


def quick_values(answer: QuickAnswer, result: JobResult) -> dict[str, Any]:
    """What `heat --quick --json` prints; temperatures in °C, every band low, nominal, high."""
    live = {estimate.patch: estimate for estimate in result.estimates}
    preheat_c = result.job.laser.preheat_c

    def patch_values(p: QuickHeat) -> dict[str, Any]:
        return {
            "patch": p.patch,
            "with_sinks_c": _band(p.with_c),
            "without_c": _band(p.without_c),
            "cooler_by_k": number(p.cooler_by_k, 5),
            **_cell_values(p.cells),
            "estimate_with_c": number(preheat_c + live[p.patch].rise_with_k.nominal, 5),
            "estimate_without_c": number(preheat_c + live[p.patch].rise_without_k.nominal, 5),
        }

    return _shared_values(answer, result, QUICK) | {
        "patches": [patch_values(p) for p in answer.patches],
        "notes": _notes(answer, result, QUICK),
    }


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
    _make(folder)
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
    values = json_text(heat_values(comparison, result)).encode()
    write_together(
        folder, {PNG: png, SVG: svg, LAYERS: table.getvalue().encode(), FACES: faces.getvalue(), RESULT: values}
    )
    return RESULT, LAYERS, FACES, PNG, SVG


def write_quick(answer: QuickAnswer, result: JobResult, folder: Path) -> tuple[str, ...]:
    """Write heat-quick.json; returns its name. Raises Refusal when the folder can't be written to."""
    _make(folder)
    write_whole(folder / QUICK_RESULT, json_text(quick_values(answer, result)).encode())
    return (QUICK_RESULT,)


def _make(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise Refusal(f"The folder '{folder}' can't be made ({problem.strerror}); choose another one.") from problem
