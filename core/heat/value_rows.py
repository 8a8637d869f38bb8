"""An own alloy or machine setting as one list of values, and that list edited row by row."""

from dataclasses import dataclass, fields, replace
from typing import Any

from core.heat.library_file import Held
from core.heat.own_alloy import OVER_TEMPERATURE
from core.heat.sourced import Sourced, SourcedAt, SourcedWord
from core.refusal import Refusal


@dataclass(frozen=True, kw_only=True)
class ValueRow:
    """One value. key: as in the file; number: its row in a table over temperature, None for a value without one."""

    key: str
    number: int | None
    temperature_k: float | None
    value: float | str
    flag: str
    source: str


def value_rows(held: Held) -> tuple[ValueRow, ...]:
    """Every value, in the order of the file."""
    rows = []
    for field in fields(held):
        value = getattr(held, field.name)
        table = isinstance(value, tuple)
        for number, row in enumerate(value if isinstance(value, tuple) else (value,)):
            if isinstance(row, Sourced | SourcedAt | SourcedWord):
                at_k = row.temperature_k if isinstance(row, SourcedAt) else None
                rows.append(ValueRow(key=field.name, number=number if table else None, temperature_k=at_k,
                                     value=row.value, flag=row.flag, source=row.source))  # fmt: skip
    return tuple(rows)


def with_row(held: Held, old: ValueRow, new: ValueRow) -> Held:
    """With one value changed. Raises Refusal for one out of range, or a new value that still names the old source."""
    if (new.value, new.temperature_k) != (old.value, old.temperature_k) and new.source.strip() == old.source:
        raise Refusal("Say where the new value comes from: the source is still that of the old one.")
    if old.number is None:
        if isinstance(new.value, str):
            return _put(held, old.key, SourcedWord(value=new.value, source=new.source.strip(), flag=new.flag))
        return _put(held, old.key, Sourced(value=new.value, source=new.source.strip(), flag=new.flag))
    rows = list(getattr(held, old.key))
    rows[old.number] = _row(new)
    return _put(held, old.key, _sorted(rows))


def with_row_added(held: Held, new: ValueRow) -> Held:
    """With one more row in a table over temperature, put in its place. Raises Refusal as with_row."""
    if new.key not in OVER_TEMPERATURE:
        raise Refusal("Only tables over temperature take more rows; choose density, heat capacity or conductivity.")
    return _put(held, new.key, _sorted([*getattr(held, new.key), _row(new)]))


def without_row(held: Held, old: ValueRow) -> Held:
    """With one row of a table taken out. Raises Refusal for the last one, or a value without a table."""
    if old.number is None:
        raise Refusal("This value can be changed but not taken out; only rows of a table can.")
    rows = getattr(held, old.key)
    return _put(held, old.key, rows[: old.number] + rows[old.number + 1 :])


def _row(row: ValueRow) -> SourcedAt:
    if row.temperature_k is None or isinstance(row.value, str):
        raise Refusal("A row of a table needs a temperature and a number.")
    return SourcedAt(temperature_k=row.temperature_k, value=row.value, source=row.source.strip(), flag=row.flag)


def _sorted(rows: list[SourcedAt]) -> tuple[SourcedAt, ...]:
    """By temperature; two rows of one temperature, a jump, stay in the order given."""
    return tuple(sorted(rows, key=lambda row: row.temperature_k))


def _put(held: Held, key: str, value: Any) -> Held:
    changed: dict[str, Any] = {key: value}
    return replace(held, **changed)
