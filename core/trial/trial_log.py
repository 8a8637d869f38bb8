"""Read a filled trial sheet: strict about every row, lenient about what spreadsheets do to a CSV file."""

import csv
import hashlib
import io
import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from core.refusal import Refusal
from core.trial.trial_columns import NEEDED, RESULTS, SETTINGS

MOST_BYTES, MOST_ROWS = 20_000_000, 100_000
SHOWN = 3
"""Bad rows told in full in one sentence."""
MOST_RUNS = 12
"""Runs of numbers of further bad rows, such as 7 to 9, in one sentence."""
RANGES = {
    "gap_mm": (0.01, 5.0),
    "angle_deg": (0.0, 89.0),
    "force_n": (0.0, 1e6),
    "ra_um": (0.01, 5000.0),
    "sa_um": (0.01, 5000.0),
    "swelling_mm": (-20.0, 20.0),
}


class BadRows(Refusal):
    """A sheet with rows that can't be used; its text names all by number and says of the first three what to do.

    rows: a sentence for every one of them.
    """

    def __init__(self, name: str, rows: dict[int, str]) -> None:
        self.rows = tuple(rows.values())
        others = list(rows)[SHOWN:]
        told = "; ".join(self.rows[:SHOWN])
        more = f"; also row{'s' if len(others) > 1 else ''} {_runs(others)}" if others else ""
        super().__init__(f"'{name}' has rows that can't be used: {told}{more}. Correct them and read it again.")


@dataclass(frozen=True, kw_only=True)
class Trial:
    """What came out of one cell. gap_mm is None without a sink, result '' while it isn't judged."""

    row: int
    cell: str
    gap_mm: float | None
    angle_deg: float
    result: str
    force_n: float | None = None
    ra_um: float | None = None
    sa_um: float | None = None
    swelling_mm: float | None = None


@dataclass(frozen=True, kw_only=True)
class TrialLog:
    """A whole sheet. settings: alloy and laser as far as the sheet says them; built_on: the latest date in it."""

    name: str
    sha256: str
    trials: tuple[Trial, ...]
    settings: dict[str, str | float]
    built_on: date | None = None

    @property
    def judged(self) -> tuple[Trial, ...]:
        """Cells with a sink that came free or stuck."""
        return tuple(t for t in self.trials if t.gap_mm is not None and t.result in ("free", "stuck"))

    def count(self, result: str) -> int:
        """Cells with a sink and this result; '' counts those not judged yet."""
        return sum(t.gap_mm is not None and t.result == result for t in self.trials)


def read_trials(path: Path) -> TrialLog:
    """The trials of a sheet; separated by commas, semicolons (then decimal commas are allowed) or tabs.

    Raises Refusal that names the file's fault, BadRows where rows can't be used.
    """
    data = _bytes_of(path)
    head, rows, comma = _rows_of(path, data)
    problems: dict[int, str] = {}
    trials: list[Trial] = []
    settings: dict[str, str | float] = {}
    built_on: date | None = None
    for number, texts in rows:
        values = dict(zip(head, (text.strip() for text in texts), strict=False))
        where = f"row {number}" + (f" ({values['cell'][:20]})" if values.get("cell") else "")
        try:
            trials.append(_trial(number, values, comma))
            _same_settings(settings, values, comma)
            built_on = max(filter(None, (built_on, _day(values.get("built_on", "")))), default=None)
        except Refusal as reason:
            problems[number] = f"{where}: {reason}"
    if problems:
        raise BadRows(path.name, problems)
    if not trials:
        raise Refusal(f"'{path.name}' holds no trials; fill in the sheet that the coupon wrote.")
    return TrialLog(
        name=path.name,
        sha256=hashlib.sha256(data).hexdigest(),
        trials=tuple(trials),
        settings=settings,
        built_on=built_on,
    )


def _runs(numbers: list[int]) -> str:
    """5, 7 to 9 and 12: ascending numbers in few words."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][1] + 1:
            runs[-1][1] = number
        else:
            runs.append([number, number])
    words = [f"{a}" if a == b else f"{a} to {b}" if b > a + 1 else f"{a}, {b}" for a, b in runs]
    if len(words) > MOST_RUNS:
        words = [*words[:MOST_RUNS], "and more"]
    return ", ".join(words)


def _bytes_of(path: Path) -> bytes:
    try:
        if path.is_dir():
            raise Refusal(f"'{path.name}' is a folder; give the filled trial sheet.")
        with open(path, "rb") as file:
            data = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        raise Refusal(f"There is no file '{path}'; check the name and the folder.") from None
    except (OSError, ValueError) as problem:
        if isinstance(problem, Refusal):
            raise
        raise Refusal(f"'{path}' can't be read: {getattr(problem, 'strerror', None) or problem}.") from problem
    if len(data) > MOST_BYTES:
        raise Refusal(f"'{path.name}' is larger than {MOST_BYTES // 1_000_000} MB; that is no trial sheet.")
    return data


def _rows_of(path: Path, data: bytes) -> tuple[list[str], list[tuple[int, list[str]]], bool]:
    """Column names, numbered rows with something in them, and whether a comma is a decimal mark."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("cp1252", "replace")  # what older spreadsheets save
    if "\0" in text:
        raise Refusal(f"'{path.name}' is no CSV text; save the sheet as CSV.")
    first = text.split("\n", 1)[0]
    separator = max(",;\t", key=first.count)
    try:
        rows = list(_numbered(csv.reader(io.StringIO(text, newline=""), delimiter=separator)))
    except csv.Error as problem:
        raise Refusal(f"'{path.name}' can't be read as CSV ({problem}); save the sheet as CSV.") from problem
    if not rows:
        raise Refusal(f"'{path.name}' is empty; give the filled trial sheet.")
    head = [name.strip().lower() for name in rows[0][1]]
    missing = [name for name in NEEDED if name not in head]
    if missing:
        raise Refusal(
            f"'{path.name}' has no column {' and no '.join(missing)}; its first row must name the columns, as in the "
            "sheet that the coupon wrote."
        )
    twice = [name for name in head if name and head.count(name) > 1]
    if twice:
        raise Refusal(f"'{path.name}' has the column {twice[0]} twice; leave one.")
    return head, rows[1:], separator != ","


def _numbered(reader: Iterator[list[str]]) -> Iterator[tuple[int, list[str]]]:
    for number, row in enumerate(reader, start=1):
        if number > MOST_ROWS:
            raise Refusal(f"The trial sheet has more than {MOST_ROWS} rows; split it.")
        if any(text.strip() for text in row):
            yield number, row


def _trial(number: int, values: dict[str, str], comma: bool) -> Trial:
    found = {name: _number(name, values.get(name, ""), comma) for name in RANGES}
    angle_deg, result = found.pop("angle_deg"), values.get("result", "").lower()
    if angle_deg is None:
        raise Refusal("angle_deg is empty, give the cell's angle")
    if result not in ("", *RESULTS):
        raise Refusal(f"result '{result[:20]}' isn't free, stuck or lost, write one of these")
    if found["gap_mm"] is None and result in ("free", "stuck"):
        raise Refusal(f"there is no gap, so no sink that could be {result}, give gap_mm or leave result empty")
    return Trial(row=number, cell=values.get("cell", ""), angle_deg=angle_deg, result=result, **found)


def _number(name: str, text: str, comma: bool) -> float | None:
    if not text:
        return None
    low, high = RANGES.get(name, (-math.inf, math.inf))
    try:
        value = float(text.replace(",", ".") if comma else text)
    except ValueError:
        raise Refusal(f"{name} '{text[:20]}' is not a number, write it like 0.25") from None
    if not (math.isfinite(value) and low <= value <= high):
        raise Refusal(f"{name} {text[:20]} is out of range, {low:g} to {high:g}")
    return value


def _same_settings(settings: dict[str, str | float], values: dict[str, str], comma: bool) -> None:
    """Take over what this row says of alloy and laser, or refuse it when an earlier row said otherwise."""
    for name in SETTINGS:
        text = values.get(name, "")
        if not text:
            continue
        value = text if name == "alloy" else _number(name, text, comma)
        if value is not None and settings.setdefault(name, value) != value:
            raise Refusal(f"{name} {text[:20]} differs from {settings[name]} above; fit one setting at a time")


def _day(text: str) -> date | None:
    if not text:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise Refusal(f"built_on '{text[:20]}' is no date, write it such as 2026-11-26") from None
