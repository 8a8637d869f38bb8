"""Open and save a job as JSON; reading is strict and a save is whole or not at all."""

import dataclasses
import hashlib
import json
import os
import re
from collections.abc import Callable
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import Any

from core.gap.gap_choice import GapChoice
from core.heat.melt_zone import ZoneChoice
from core.job import SCHEMA, Job, Pick
from core.refusal import Refusal
from core.sink.sink_choice import SinkChoice
from core.strict_json import parse_object, plain, printable, read_as, shown
from core.version import VERSION
from core.write_whole import write_whole

MAX_BYTES = 64_000_000
ADDED = {
    "plate.blade_deg": 2,
    "sink.edge_width_mm": 2,
    "sink.foot_mm": 2,
    "sink.neck_mm": 2,
    "sink.drain_pitch_mm": 2,
    "sink.drain_mm": 2,
    "plate.apart_mm": 3,
    "zone": 4,
    "picks.zone": 5,
    "never_downskin": 6,
    "more_parts": 6,
    "own_alloy": 7,
    "machine": 7,
}
"""Keys that files of a lower schema may lack; they then take their default. What a pick has of its own may always."""
OWN = {"gap": GapChoice, "sink": SinkChoice, "zone": ZoneChoice}
"""What a pick may hold of its own."""
RUN = re.compile(r"(\d{1,10})(?:-(\d{1,10}))?")


def new_job(part_path: Path | str, units: str | None = None) -> Job:
    """A job with default settings for a part file. Raises Refusal when the file can't be read."""
    path = Path(part_path)
    return Job(part_file=str(path.absolute()), part_sha256=file_sha256(path), units=units)


def file_sha256(path: Path) -> str:
    """SHA-256 of a file's bytes, as 64 hex digits. Raises Refusal when it can't be read."""
    try:
        if path.is_dir():
            raise Refusal(f"'{path.name}' is a folder; give a part file.")
        if path.exists() and not path.is_file():
            raise Refusal(f"'{path.name}' is not a regular file; give a part file.")
        with open(path, "rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except FileNotFoundError:
        raise Refusal(f"There is no file '{path}'; check the name and the folder.") from None
    except OSError as problem:
        raise Refusal(f"'{path}' can't be read: {problem.strerror or problem}.") from problem
    except ValueError as problem:
        if isinstance(problem, Refusal):
            raise
        raise Refusal("The name of the file holds a character no file name can have.") from problem


def job_hash(job: Job) -> str:
    """SHA-256 over every setting and the part's own hash; the same wherever the files lie."""
    values = _plain(with_files(job, lambda file: Path(file).name))
    return hashlib.sha256(json.dumps(values, sort_keys=True, separators=(",", ":")).encode()).hexdigest()


def job_text(job: Job, folder: Path) -> str:
    """The job as JSON text, the parts' paths relative to the folder the file will lie in, where that is possible."""
    values = _plain(with_files(job, lambda file: _relative(file, folder)))
    return json.dumps({"made_by": f"Underfin {VERSION}", **values}, indent=1, ensure_ascii=False) + "\n"


def with_files(job: Job, renamed: Callable[[str], str]) -> Job:
    """The job with the path of every part file changed."""
    more = tuple(dataclasses.replace(one, part_file=renamed(one.part_file)) for one in job.more_parts)
    return dataclasses.replace(job, part_file=renamed(job.part_file), more_parts=more)


def save_job(job: Job, path: Path | str) -> None:
    """Save a job; a failure leaves the old file as it was and raises Refusal."""
    target = Path(path)
    if not target.parent.is_dir():
        raise Refusal(f"There is no folder '{target.parent}' to save the job in.")
    write_whole(target, job_text(job, target.resolve().parent).encode())


def open_job(path: Path | str) -> Job:
    """Read a job file. The paths of its parts become absolute. Raises Refusal on anything that isn't exactly a job."""
    source = Path(path)
    name = source.name
    try:
        if not source.is_file():
            raise Refusal(f"There is no job file '{path}'.")
        with open(source, "rb") as file:
            data = file.read(MAX_BYTES + 1)
    except OSError as problem:
        raise Refusal(f"The job '{name}' can't be read: {problem.strerror or problem}.") from problem
    values = parse_object(data, name, "an Underfin job", MAX_BYTES)
    schema = values.get("schema")
    if not isinstance(schema, int) or isinstance(schema, bool) or schema < 1:
        raise Refusal(f"'{name}' is not an Underfin job: it has no schema number.")
    if schema > SCHEMA:
        raise Refusal(f"The job '{name}' was saved by a newer Underfin (schema {schema}); update to open it.")
    made_by = values.pop("made_by", "")
    if not isinstance(made_by, str):
        raise Refusal(f"In the job '{name}', 'made_by' must be text.")
    try:
        job: Job = read_as(Job, _brought_up(values, schema), "", {Pick: _read_pick})
    except Refusal as problem:
        raise Refusal(f"The job '{name}' can't be used: {printable(str(problem))}") from None
    sums = (job.part_sha256, *(one.part_sha256 for one in job.more_parts))
    if not all(re.fullmatch(r"([0-9a-f]{64})?", sha256) for sha256 in sums):
        raise Refusal(f"The job '{name}' can't be used: 'part_sha256' is not a SHA-256 in hex.")
    if not job.part_file or not job.part_file.isprintable():
        raise Refusal(f"The job '{name}' can't be used: it names no part file.")
    return with_files(job, lambda file: _absolute(file, source.resolve().parent))


def _brought_up(values: dict[str, Any], schema: int) -> dict[str, Any]:
    """The values of an older file with the keys added since at their defaults."""
    default = _plain(Job())
    for key, since in ADDED.items():
        group, _, name = key.partition(".")
        if schema < since and not name:
            values.setdefault(group, default[group])
        elif schema < since and isinstance(values.get(group), dict):
            values[group].setdefault(name, default[group][name])
    return values | {"schema": SCHEMA}


def _relative(part_file: str, folder: Path) -> str:
    """The part's path seen from a folder, with forward slashes; absolute when it lies on another drive."""
    if not part_file:
        return ""
    try:
        return Path(os.path.relpath(Path(part_file).absolute(), folder)).as_posix()
    except ValueError:
        return Path(part_file).absolute().as_posix()


def _absolute(part_file: str, folder: Path) -> str:
    """The opposite of _relative; a file of another system that names a drive is taken as it stands."""
    if PurePosixPath(part_file).is_absolute() or PureWindowsPath(part_file).is_absolute():
        return part_file
    return os.path.normpath(folder / part_file)


def _plain(value: Any) -> Any:
    """A job as dicts, lists, numbers and text."""
    return plain(value, {Pick: _plain_pick})


def _plain_pick(pick: Pick) -> dict[str, Any]:
    """Its faces become the text "0-3 7"."""
    faces = " ".join(f"{a}-{b}" if b > a else str(a) for a, b in pick.runs)
    return {"faces": faces} | {name: plain(own) for name in OWN if (own := getattr(pick, name)) is not None}


def _read_pick(value: Any, where: str) -> Pick:
    if not isinstance(value, dict) or not {"faces"} <= set(value) <= {"faces", *OWN}:
        raise Refusal(f'\'{where}\' must hold picks like {{"faces": "0-3 7"}}, with "gap", "sink", "zone" or without.')
    if not isinstance(value["faces"], str):
        raise Refusal(f"'{where}.faces' must be text.")
    runs = []
    for word in value["faces"].split():
        match = RUN.fullmatch(word)
        if match is None:
            raise Refusal(f"'{where}' holds '{shown(word)}', which is not a run of faces.")
        runs.append((int(match[1]), int(match[2] or match[1])))
    own = {name: read_as(kind, value[name], f"{where}.{name}") for name, kind in OWN.items() if name in value}
    return Pick(runs=tuple(runs), **own)
