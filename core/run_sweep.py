"""Many jobs that differ in a few settings: every combination is one case, kept as it is finished, and one table."""

import csv
import io
import itertools
import json
from collections.abc import Iterator
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any

from core.export.result_json import ESTIMATE_WORDS, json_text
from core.export.sweep_drawing import sweep_drawing
from core.job import Job
from core.progress import GoesOn, never_stop, report
from core.refusal import Refusal
from core.sweep_case import Case, CaseValues
from core.sweep_workers import Workers
from core.version import PROGRAM, VERSION
from core.write_whole import could_not_write, write_together, write_whole

MOST_CASES = 2000
CASES, CSV, PARQUET, PNG, SVG = "cases", "sweep.csv", "sweep.parquet", "sweep.png", "sweep.svg"


@dataclass(frozen=True, kw_only=True)
class SweepChoice:
    """Values to combine; an empty one leaves the job's own. Lengths mm, W, mm/s, degrees.

    heat: follow every case in 3-D as well, in cells of cell_mm (0 chooses).
    """

    gap_mm: tuple[float, ...] = ()
    kind: tuple[str, ...] = ()
    thickness_mm: tuple[float, ...] = ()
    pitch_mm: tuple[float, ...] = ()
    power_w: tuple[float, ...] = ()
    speed_mm_s: tuple[float, ...] = ()
    rotate_deg: tuple[tuple[float, float, float], ...] = ()
    heat: bool = False
    cell_mm: float = 0.0

    @property
    def varied(self) -> dict[str, tuple[Any, ...]]:
        """The settings that were given, with their values."""
        names = (f.name for f in fields(self) if f.name not in ("heat", "cell_mm"))
        return {name: getattr(self, name) for name in names if getattr(self, name)}


def cases_of(job: Job, choice: SweepChoice) -> tuple[Case, ...]:
    """Every combination, the last setting changing fastest.

    Raises Refusal when nothing varies or there are more than 2,000.
    """
    varied = choice.varied
    n = 1
    for values in varied.values():
        n *= len(values)
    if not varied:
        raise Refusal("Nothing varies; give at least one of the settings, such as a range of gaps.")
    if n > MOST_CASES:
        raise Refusal(f"That makes {n} cases, at most {MOST_CASES} are run at once; use fewer values or larger steps.")
    return tuple(
        Case(number=number, job=job, settings=tuple(zip(varied, values, strict=True)), heat=choice.heat,
             cell_mm=choice.cell_mm)
        for number, values in enumerate(itertools.product(*varied.values()), start=1)
    )  # fmt: skip


def run_sweep(
    cases: tuple[Case, ...], folder: Path, workers: Workers, goes_on: GoesOn = never_stop
) -> tuple[CaseValues, ...]:
    """Run the cases that aren't finished yet and return all in order.

    Every finished case is a file of its own in the folder's 'cases', so a sweep that was stopped or killed goes on
    there. Raises Stopped when goes_on says so, and Refusal when the folder can't be written to.
    """
    kept = folder / CASES
    try:
        kept.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise could_not_write(kept, problem) from problem
    found = {case.number: values for case in cases if (values := _kept_values(kept, case)) is not None}
    left = [case for case in cases if case.number not in found]
    report(goes_on, len(found) / len(cases))
    for case, values in workers.run(left, lambda: goes_on(len(found) / len(cases))):
        if not values.get("lost"):
            write_whole(_case_file(kept, case), json_text(values).encode())
        found[case.number] = values
        report(goes_on, len(found) / len(cases))
    return tuple(found[case.number] for case in cases)


def finished_cases(cases: tuple[Case, ...], folder: Path) -> int:
    """How many were finished by an earlier run in this folder."""
    return sum(_kept_values(folder / CASES, case) is not None for case in cases)


def _case_file(kept: Path, case: Case) -> Path:
    return kept / f"{case.key}.json"


def _kept_values(kept: Path, case: Case) -> CaseValues | None:
    """What a finished case gave, under this sweep's number; None when it has to be run."""
    try:
        values = json.loads(_case_file(kept, case).read_bytes())
    except (OSError, ValueError):
        return None
    return values | {"case": case.number} if isinstance(values, dict) and values.get("key") == case.key else None


def table_rows(found: tuple[CaseValues, ...]) -> list[dict[str, Any]]:
    """One row per case and patch, all with the same columns in the same order; a case without patches has one row."""
    rows = []
    for values in found:
        settings = {
            name: " ".join(f"{v:g}" for v in value) if isinstance(value, list) else value
            for name, value in values["settings"].items()
        }
        about = {"case": values["case"], **settings}
        whole = {name: values.get(name) for name in ("sinks", "mass_g", "scan_h", "stops", "notes", "refused")}
        rows += [about | whole | patch for patch in values["patches"] or [{}]]
    columns = list(dict.fromkeys(name for row in rows for name in row))
    return [{name: row.get(name) for name in columns} for row in rows]


def write_sweep(found: tuple[CaseValues, ...], folder: Path) -> tuple[str, ...]:
    """Write the table (CSV, and Parquet where pyarrow is installed) and the drawing; returns the names."""
    rows = table_rows(found)
    text = io.StringIO()
    table = csv.DictWriter(text, list(rows[0]), lineterminator="\n")
    table.writeheader()
    table.writerows(rows)
    png, svg = sweep_drawing(found)
    files = {CSV: text.getvalue().encode(), PNG: png, SVG: svg} | dict(_parquet(rows))
    write_together(folder, files)
    return tuple(files)


def _parquet(rows: list[dict[str, Any]]) -> Iterator[tuple[str, bytes]]:
    try:
        import pyarrow
        import pyarrow.parquet
    except ImportError:
        return
    held = io.BytesIO()
    pyarrow.parquet.write_table(pyarrow.Table.from_pylist(rows), held)
    yield PARQUET, held.getvalue()


def sweep_values(found: tuple[CaseValues, ...], files: tuple[str, ...]) -> dict[str, Any]:
    """What `sweep --json` prints."""
    return {
        "program": PROGRAM,
        "version": VERSION,
        "job_sha256": found[0]["job_sha256"],
        "words": ESTIMATE_WORDS,
        "cases": len(found),
        "refused": sum(bool(values["refused"]) for values in found),
        "lost": sum(bool(values.get("lost")) for values in found),
        "rows": table_rows(found),
        "files": list(files),
    }
