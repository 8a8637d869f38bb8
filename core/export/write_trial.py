"""What a fit of trials gave, as files: values, two tables, and the drawing."""

import csv
import io
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from core.export.result_json import json_text
from core.export.trial_drawing import trial_drawing
from core.refusal import Refusal
from core.trial.trial_curves import FreeCurve
from core.trial.trial_fit import TrialFit
from core.trial.trial_log import TrialLog
from core.write_whole import write_together

RESULT, CURVES, CELLS, PNG, SVG = "fit.json", "fit-curves.csv", "fit-cells.csv", "fit.png", "fit.svg"


def write_trial(
    log: TrialLog, fit: TrialFit, curves: tuple[FreeCurve, ...], values: dict[str, Any], folder: Path
) -> tuple[str, ...]:
    """Write fit.json, the curves and the cells as tables (CSV) and a drawing (PNG, SVG).

    Returns the names of the files; fit.json is written last. Raises Refusal when the folder can't be written to.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise Refusal(f"The folder '{folder}' can't be made ({problem.strerror}); choose another one.") from problem
    png, svg = trial_drawing(log, fit, curves)
    along = (
        (f"{curve.angle_deg:g}", *(f"{value:.5f}" for value in row))
        for curve in curves
        for row in zip(curve.gap_mm, curve.share, curve.low, curve.high, strict=True)
    )
    cells = (
        [t.cell, _text(t.gap_mm), _text(t.angle_deg), t.result, _text(t.ra_um), _text(t.sa_um)] for t in log.trials
    )
    write_together(
        folder,
        {
            PNG: png,
            SVG: svg,
            CURVES: _table(("angle_deg", "gap_mm", "free", "free_low", "free_high"), along),
            CELLS: _table(("cell", "gap_mm", "angle_deg", "result", "ra_um", "sa_um"), cells),
            RESULT: json_text(values).encode(),
        },
    )
    return RESULT, CURVES, CELLS, PNG, SVG


def _text(value: float | None) -> str:
    return "" if value is None else f"{value:g}"


def _table(heads: tuple[str, ...], rows: Iterable[Iterable[str]]) -> bytes:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(heads)
    writer.writerows(rows)
    return out.getvalue().encode()
