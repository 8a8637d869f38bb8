"""The command 'library': the user's own alloys and machine settings, listed, shown, copied, taken in and given out."""

import argparse
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.cli_commands import DONE, JOB_ENDING, print_result
from app.cli_tables import table
from core.heat.library_file import LibraryFile, Revision
from core.heat.machine_setting import MachineSetting, setting_of
from core.heat.materials import Alloy, alloy, alloy_names, built_in, copy_of
from core.heat.own_alloy import OwnAlloy
from core.heat.user_library import found, give_out, keep_new, listing, metal_named, take_in
from core.heat.value_rows import value_rows
from core.job_file import open_job
from core.refusal import Refusal
from core.where_from import NAMES, UNITS

if TYPE_CHECKING:
    from app.cli import StopKey


def library(options: argparse.Namespace, stop_key: "StopKey") -> int:
    """Run one of the five actions; each prints what the library holds afterwards."""
    action = {"list": _list, "show": _show, "export": _export, "import": _import, "copy": _copy}[options.action]
    action(options)
    return DONE


def _list(options: argparse.Namespace) -> None:
    held = listing()
    values = {
        "built_in": list(alloy_names()),
        "own": [_entry(file) for file in held.files],
        "problems": list(held.problems),
    }
    print_result(values, options.json, _list_text)


def _show(options: argparse.Namespace) -> None:
    if built_in(options.name) is not None:
        metal = alloy(options.name)
        values: dict[str, Any] = {"kind": "alloy", "name": metal.name, "built_in": True, "revision": None}
        values |= {"values": _values(metal)}
    else:
        file = _file(options.name)
        revision = _revision(file, options.revision)
        values = _entry(file) | {"built_in": False, "revision": revision.held.revision}
        values |= {"saved_on": revision.saved_on, "note": revision.note, "values": _values(revision.held)}
    print_result(values, options.json, _show_text)


def _export(options: argparse.Namespace) -> None:
    if built_in(options.name) is not None:
        raise Refusal(f"{built_in(options.name)} is built in; copy it under a name of your own, then export that.")
    file = _file(options.name)
    give_out(file, Path(options.out))
    values = _entry(file) | {"said": f"{file.name} is written to {options.out}, with all its revisions."}
    print_result(values, options.json, lambda v: f"{v['said']}\n")


def _import(options: argparse.Namespace) -> None:
    file, said = take_in(Path(options.file), date.today())
    print_result(_entry(file) | {"said": said}, options.json, lambda v: f"{v['said']}\n")


def _copy(options: argparse.Namespace) -> None:
    new = options.new_name
    if options.name.lower().endswith(JOB_ENDING):
        job = open_job(options.name)
        own: OwnAlloy | MachineSetting = setting_of(
            new, job.laser, job.plate, job.powder, f"job {Path(options.name).name}"[:200]
        )
    elif (file := found(options.name)) is not None and isinstance(file.newest, MachineSetting):
        raise Refusal(f"'{file.name}' is a machine setting; export it, edit it, import it, or copy from a job.")
    else:
        own = copy_of(alloy(metal_named(options.name)), new)
    kept = keep_new(own, date.today())
    said = f"{kept.name} is in the library now, revision {kept.newest.revision}."
    print_result(_entry(kept) | {"said": said}, options.json, lambda v: f"{v['said']}\n")


def _file(name: str) -> LibraryFile:
    file = found(name)
    if file is None:
        raise Refusal(f"Nothing in the library is called '{name[:60]}'; `underfin-cli library list` has the names.")
    return file


def _revision(file: LibraryFile, number: int | None) -> Revision:
    for revision in file.revisions:
        if number in (None, revision.held.revision):
            return revision
    raise Refusal(f"{file.name} has revisions 1 to {len(file.revisions)}, not {number}.")


def _entry(file: LibraryFile) -> dict[str, Any]:
    return {
        "kind": file.kind,
        "name": file.name,
        "revision": file.newest.revision,
        "saved_on": file.revisions[0].saved_on,
        "revisions": [
            {"revision": r.held.revision, "saved_on": r.saved_on, "note": r.note} for r in file.revisions
        ],
    }


def _values(held: Alloy | OwnAlloy | MachineSetting) -> list[dict[str, Any]]:
    """Every value with its unit, temperature, flag and source, in the order of the file."""
    own = copy_of(held, f"{held.name} as built in") if isinstance(held, Alloy) else held
    return [
        {"key": row.key, "temperature_k": row.temperature_k, "value": row.value, "unit": UNITS.get(row.key, ""),
         "flag": row.flag, "source": row.source}
        for row in value_rows(own)
    ]  # fmt: skip


def _list_text(values: dict[str, Any]) -> str:
    lines = [f"Built-in alloys: {', '.join(values['built_in'])}"]
    rows = [[own["name"], own["kind"], str(own["revision"]), own["saved_on"]] for own in values["own"]]
    lines.append(table(["own", "kind", "revision", "saved on"], rows) if rows else "Own: none yet.")
    return "\n".join([*lines, *(f"Warning: {problem}" for problem in values["problems"])]) + "\n"


def _show_text(values: dict[str, Any]) -> str:
    what = "built in" if values["built_in"] else f"revision {values['revision']} of {values['saved_on']}"
    note = f"; {values['note']}" if values.get("note") else ""
    rows = [
        [
            NAMES[row["key"]],
            "" if row["temperature_k"] is None else f"{row['temperature_k']:g}",
            row["value"] if isinstance(row["value"], str) else f"{row['value']:g}",
            row["unit"],
            row["flag"],
        ]
        for row in values["values"]
    ]
    lines = table(["quantity", "at K", "value", "unit", "flag"], rows).split("\n")
    sources = ["source", *(row["source"] for row in values["values"])]
    told = [f"{line}  {source}" for line, source in zip(lines, sources, strict=True)]
    return "\n".join([f"{values['name']}, {what}{note}", *told]) + "\n"
