"""One file of the user's library: an alloy or a machine setting with all its revisions, the newest first."""

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from hashlib import sha256
from pathlib import Path
from typing import Any

from core.heat.library_name import name_key
from core.heat.machine_setting import MachineSetting
from core.heat.materials import alloy
from core.heat.own_alloy import OwnAlloy
from core.refusal import Refusal
from core.strict_json import parse_object, plain, printable, read_as, shown
from core.write_whole import write_whole

SCHEMA = 1
MOST_BYTES = 2_000_000
KINDS: Mapping[str, type] = {"alloy": OwnAlloy, "machine": MachineSetting}
WHAT = "an Underfin library file"
LONGEST_NOTE = 200

Held = OwnAlloy | MachineSetting


@dataclass(frozen=True, kw_only=True)
class Revision:
    """held: the values, with their revision number. saved_on: a day as 2026-11-26. note: what changed, may be empty."""

    saved_on: str
    note: str
    held: Held

    def __post_init__(self) -> None:
        try:
            date.fromisoformat(self.saved_on)
        except ValueError:
            raise Refusal("'saved_on' must be a day such as 2026-11-26.") from None
        if not self.note.isprintable() or len(self.note) > LONGEST_NOTE:
            raise Refusal(f"'note' must be at most {LONGEST_NOTE} printable characters.")
        if isinstance(self.held, OwnAlloy):
            alloy(self.held)  # refuses the name of a built-in one


@dataclass(frozen=True, kw_only=True)
class LibraryFile:
    """All revisions of one thing, the newest first, numbered down to 1."""

    revisions: tuple[Revision, ...]

    def __post_init__(self) -> None:
        numbers = [revision.held.revision for revision in self.revisions]
        if not numbers or numbers != list(range(len(numbers), 0, -1)):
            raise Refusal("'revisions' must be numbered without a gap, the newest first, down to 1.")
        if len({name_key(revision.held.name) for revision in self.revisions}) > 1:
            raise Refusal("'revisions' hold different names; one file is for one name.")

    @property
    def newest(self) -> Held:
        return self.revisions[0].held

    @property
    def name(self) -> str:
        return self.newest.name

    @property
    def kind(self) -> str:
        return kind_of(self.newest)

    def with_revision(self, held: Held, today: date, note: str = "") -> "LibraryFile":
        """The file with these values as its newest revision; the same file when they are what the newest holds."""
        numbered = replace(held, revision=len(self.revisions) + 1, name=self.name)
        if replace(numbered, revision=self.newest.revision) == self.newest:
            return self
        newest = Revision(saved_on=today.isoformat(), note=note, held=numbered)
        return LibraryFile(revisions=(newest, *self.revisions))


def kind_of(held: Held) -> str:
    """'alloy' or 'machine'."""
    return "alloy" if isinstance(held, OwnAlloy) else "machine"


def first_revision(held: Held, today: date, note: str = "") -> LibraryFile:
    """A new file with one revision."""
    newest = Revision(saved_on=today.isoformat(), note=note, held=replace(held, revision=1))
    return LibraryFile(revisions=(newest,))


def file_name(name: str) -> str:
    """Readable, safe on every file system, and the same for names that don't differ."""
    word = re.sub(r"[^a-z0-9]+", "-", name_key(name)).strip("-")[:40]
    return f"{word or 'own'}-{sha256(name_key(name).encode()).hexdigest()[:8]}.json"


def library_text(file: LibraryFile) -> str:
    """The file as JSON text, laid out to be read and edited by hand."""
    revisions = [
        {"saved_on": revision.saved_on, "note": revision.note, file.kind: plain(revision.held)}
        for revision in file.revisions
    ]
    values = {"schema": SCHEMA, "kind": file.kind, "revisions": revisions}
    text = json.dumps(values, indent=1, ensure_ascii=False, allow_nan=False)
    # a value with its source is one line
    return re.sub(r"\{\n\s+([^{}\[\]]*?)\n\s+\}", lambda m: "{" + re.sub(r"\n\s+", " ", m[1]) + "}", text) + "\n"


def read_library_file(path: Path) -> LibraryFile:
    """Read strictly. Raises Refusal with one sentence that names file and key for anything else than such a file."""
    name = printable(path.name)
    try:
        if not path.is_file():
            raise Refusal(f"There is no file '{path}'.")
        with open(path, "rb") as opened:
            data = opened.read(MOST_BYTES + 1)
    except OSError as problem:
        raise Refusal(f"'{path}' can't be read: {problem.strerror or problem}.") from problem
    except ValueError as problem:
        if isinstance(problem, Refusal):
            raise
        raise Refusal("The name of the file holds a character no file name can have.") from problem
    values = parse_object(data, name, WHAT, MOST_BYTES)
    schema = values.get("schema")
    if not isinstance(schema, int) or isinstance(schema, bool) or schema < 1:
        raise Refusal(f"'{name}' is not {WHAT}: it has no 'schema' number.")
    if schema > SCHEMA:
        raise Refusal(f"'{name}' was written by a newer Underfin ('schema' {schema}); update to read it.")
    try:
        return _read_values(values)
    except Refusal as problem:
        raise Refusal(f"The library file '{name}' can't be used: {printable(str(problem))}") from None


def _read_values(values: dict[str, Any]) -> LibraryFile:
    kind = values.get("kind")
    if not isinstance(kind, str) or kind not in KINDS:
        raise Refusal(f"'kind' must be {' or '.join(KINDS)}.")
    _check_keys(values, {"schema", "kind", "revisions"}, "")
    if not isinstance(values["revisions"], list):
        raise Refusal("'revisions' must be a list.")
    revisions = []
    for number, entry in enumerate(values["revisions"]):
        where = f"revisions[{number}]"
        if not isinstance(entry, dict):
            raise Refusal(f"'{where}' must be a group of values.")
        _check_keys(entry, {"saved_on", "note", kind}, f"{where}.")
        saved_on = read_as(str, entry["saved_on"], f"{where}.saved_on")
        note = read_as(str, entry["note"], f"{where}.note")
        try:
            held = read_as(KINDS[kind], entry[kind], "")
            revisions.append(Revision(saved_on=saved_on, note=note, held=held))
        except Refusal as problem:
            raise Refusal(f"{where}: {problem}") from None
    return LibraryFile(revisions=tuple(revisions))


def _check_keys(values: dict[str, Any], wanted: set[str], where: str) -> None:
    for key in values:
        if key not in wanted:
            raise Refusal(f"it holds the unknown key '{where}{shown(key)}'.")
    for key in sorted(wanted):
        if key not in values:
            raise Refusal(f"the key '{where}{key}' is missing.")


def write_library_file(file: LibraryFile, path: Path) -> None:
    """Whole or not at all. Raises Refusal."""
    data = library_text(file).encode()
    if len(data) > MOST_BYTES:
        raise Refusal(
            f"'{path.name}' would grow beyond {MOST_BYTES // 1_000_000} MB; go on under another name, as a copy."
        )
    write_whole(path, data)
