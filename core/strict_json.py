"""JSON to frozen values and back; reading is strict and every refusal names the key."""

import dataclasses
import json
import math
import types
from collections.abc import Callable, Mapping
from typing import Any, Union, get_args, get_origin, get_type_hints

from core.refusal import Refusal

MAX_BRACKETS = 100_000
MAX_ITEMS = 500_000

Writers = Mapping[type, Callable[[Any], Any]]
Readers = Mapping[type, Callable[[Any, str], Any]]


def parse_object(data: bytes, name: str, what: str, most_bytes: int) -> dict[str, Any]:
    """JSON to one object; bounded before anything is built in memory.

    name: of the file; what: it should be, with its article in front, as 'an Underfin job'. Raises Refusal.
    """
    the = f"The {what.split()[-1]} '{name}'"
    if len(data) > most_bytes:
        raise Refusal(f"'{name}' is larger than {most_bytes // 1_000_000} MB, too large for {what}.")
    brackets = data.count(b"[") + data.count(b"{")
    if not data.lstrip().startswith(b"{") or brackets > MAX_BRACKETS or data.count(b",") > MAX_ITEMS:
        raise Refusal(f"'{name}' is not {what}.")
    try:
        values = json.loads(data.decode("utf-8"), parse_constant=_no_constant, object_pairs_hook=_no_doubles)
    except Refusal as problem:
        raise Refusal(f"{the} can't be used: {problem}") from None
    except UnicodeDecodeError:
        raise Refusal(f"'{name}' is not {what}: it is not UTF-8 text.") from None
    except json.JSONDecodeError as problem:
        raise Refusal(f"{the} is damaged at line {problem.lineno}: it is not whole JSON.") from None
    except (RecursionError, ValueError):
        raise Refusal(f"'{name}' is not {what}.") from None
    return dict(values)


def _no_constant(text: str) -> float:
    raise Refusal(f"it holds {text}, which is not a number.")


def _no_doubles(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    values = dict(pairs)
    if len(values) < len(pairs):
        raise Refusal("it holds the same key twice.")
    return values


def plain(value: Any, writers: Writers | None = None) -> Any:
    """A frozen value as dicts, lists, numbers and text. writers: for types that are written in a way of their own."""
    writers = writers or {}
    if type(value) in writers:
        return writers[type(value)](value)
    if dataclasses.is_dataclass(value):
        return {f.name: plain(getattr(value, f.name), writers) for f in dataclasses.fields(value)}
    if isinstance(value, tuple):
        return [plain(item, writers) for item in value]
    return value


def read_as(kind: Any, value: Any, where: str, readers: Readers | None = None) -> Any:
    """A value of the declared type from what JSON gave; `where` is the key path for the sentence.

    readers: for types that are written in a way of their own. Raises Refusal for anything that isn't exactly that.
    """
    readers = readers or {}
    if kind in readers:
        return readers[kind](value, where)
    if dataclasses.is_dataclass(kind):
        return _read_record(kind, value, where, readers)
    if get_origin(kind) in (Union, types.UnionType):
        if value is None and type(None) in get_args(kind):
            return None
        return read_as(next(k for k in get_args(kind) if k is not type(None)), value, where, readers)
    if get_origin(kind) is tuple:
        return _read_tuple(get_args(kind), value, where, readers)
    right = isinstance(value, kind) and isinstance(value, bool) == (kind is bool)
    if kind is float and isinstance(value, int | float) and not isinstance(value, bool):
        if abs(value) <= 1e300 and math.isfinite(value):
            return float(value)
        raise Refusal(f"'{where}' must be a finite number.")
    if not right:
        words = {float: "a number", int: "a whole number", bool: "true or false", str: "text"}
        raise Refusal(f"'{where}' must be {words[kind]}.")
    return value


def _read_record(kind: Any, value: Any, where: str, readers: Readers) -> Any:
    if not isinstance(value, dict):
        raise Refusal(f"'{where}' must be a group of settings.")
    hints = get_type_hints(kind)
    names = [f.name for f in dataclasses.fields(kind)]
    for key in value:
        if key not in names:
            raise Refusal(f"it holds the unknown key '{where}{'.' if where else ''}{shown(key)}'.")
    for key in names:
        if key not in value:
            raise Refusal(f"the key '{where}{'.' if where else ''}{key}' is missing.")
    return kind(**{key: read_as(hints[key], value[key], f"{where}.{key}" if where else key, readers) for key in names})


def _read_tuple(kinds: tuple[Any, ...], value: Any, where: str, readers: Readers) -> tuple[Any, ...]:
    if not isinstance(value, list):
        raise Refusal(f"'{where}' must be a list.")
    if len(kinds) == 2 and kinds[1] is Ellipsis:
        return tuple(read_as(kinds[0], item, where, readers) for item in value)
    if len(value) != len(kinds):
        raise Refusal(f"'{where}' must hold {len(kinds)} values.")
    return tuple(read_as(kind, item, where, readers) for kind, item in zip(kinds, value, strict=True))


def shown(text: str) -> str:
    """A short, printable piece of what a file holds."""
    return printable(text[:40])


def printable(text: str) -> str:
    """The text with a question mark for every character that can't be shown."""
    return "".join(c if c.isprintable() else "?" for c in text)
