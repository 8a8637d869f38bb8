"""Read a table of point pairs strictly: every column named, every value a finite number."""

import csv
import math
from pathlib import Path

import numpy as np

from core.refusal import Refusal
from core.units import FloatArray

MOST_BYTES = 1_000_000
LARGEST = 1e6


def read_points(path: Path | str, columns: tuple[str, ...]) -> tuple[FloatArray, bool]:
    """The named columns of a CSV file as (n, len(columns)), and whether it has a column 'mark' beside them.

    Commas or semicolons part the values; further columns are left alone. Raises Refusal with file and row.
    """
    path = Path(path)
    name = f"'{path.name}'"
    try:
        if not path.is_file():
            raise Refusal(f"There is no file '{path}' with point pairs; check the name.")
        if path.stat().st_size > MOST_BYTES:
            raise Refusal(f"{name} is larger than {MOST_BYTES // 1_000_000} MB, too large for a table of point pairs.")
        text = path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError:
        raise Refusal(f"{name} is no UTF-8 text; save the table of point pairs as CSV.") from None
    except OSError as fault:
        raise Refusal(f"{name} can't be read: {(fault.strerror or 'unknown reason').lower()}.") from None
    if "\0" in text:
        raise Refusal(f"{name} is no text; save the table of point pairs as CSV.")
    lines = text.splitlines()
    divider = ";" if lines and ";" in lines[0] else ","
    try:
        rows = list(csv.reader(lines, delimiter=divider, strict=True))
    except csv.Error as fault:
        raise Refusal(f"{name} is no CSV table: {fault}; save it again.") from None
    head = [word.strip().lower() for word in rows[0]] if rows else []
    for column in columns:
        if head.count(column) != 1:
            raise Refusal(f"{name} row 1 must name the columns {', '.join(columns)}, each once; '{column}' isn't.")
    at = [head.index(column) for column in columns]
    points = [
        [_number(name, k, head, row, i) for i in at]
        for k, row in enumerate(rows[1:], start=2)
        if any(map(str.strip, row))
    ]
    return np.array(points, dtype=np.float64).reshape(-1, len(columns)), "mark" in head


def _number(name: str, row_number: int, head: list[str], row: list[str], i: int) -> float:
    word = row[i].strip() if i < len(row) else ""
    try:
        value = float(word)
    except ValueError:
        value = math.nan
    if not abs(value) <= LARGEST:
        clean = "".join(c if c.isprintable() else "?" for c in word[:24])
        raise Refusal(f"{name} row {row_number} has '{clean}' as {head[i]}, where a number is needed; correct it.")
    return value
