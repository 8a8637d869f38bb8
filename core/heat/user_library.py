"""The user's own library of alloys and machine settings: found by name, kept as new revisions, taken in, given out."""

from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import platformdirs

from core.heat.library_file import (
    Held,
    LibraryFile,
    file_name,
    first_revision,
    kind_of,
    read_library_file,
    write_library_file,
)
from core.heat.library_name import name_key
from core.heat.machine_setting import MachineSetting
from core.heat.materials import alloy_names, built_in
from core.heat.own_alloy import OwnAlloy
from core.refusal import Refusal


@dataclass(frozen=True, kw_only=True)
class Listing:
    """files: by kind and name. problems: a sentence for each file that can't be used."""

    files: tuple[LibraryFile, ...] = ()
    problems: tuple[str, ...] = ()

    def of_kind(self, kind: str) -> tuple[LibraryFile, ...]:
        """'alloy' or 'machine'."""
        return tuple(file for file in self.files if file.kind == kind)


def own_folder() -> Path:
    """Where the library lies: in the user's data folder, beside the kept trials."""
    return Path(platformdirs.user_data_dir("underfin", appauthor=False)) / "own"


def listing(folder: Path | None = None) -> Listing:
    """Everything in the library; a file that can't be used doesn't hide the others."""
    files, problems = [], []
    folder = own_folder() if folder is None else folder
    try:
        paths = sorted(folder.glob("*.json")) if folder.is_dir() else []
    except OSError as problem:
        return Listing(problems=(f"The library '{folder}' can't be read: {problem.strerror or problem}.",))
    for path in paths:
        try:
            files.append(_read(path))
        except Refusal as refusal:
            problems.append(str(refusal))
    return Listing(files=tuple(sorted(files, key=lambda f: (f.kind, f.name.casefold()))), problems=tuple(problems))


def found(name: str, folder: Path | None = None) -> LibraryFile | None:
    """The file of that name, None when there is none. Raises Refusal when it can't be used."""
    path = (own_folder() if folder is None else folder) / file_name(name)
    return _read(path) if path.exists() else None


def metal_named(name: str, folder: Path | None = None) -> str | OwnAlloy:
    """What `alloy` is asked for: a built-in alloy's name, or the newest values of one of the user's own.

    Raises Refusal with all names when there is none.
    """
    known = built_in(name)
    if known is not None:
        return known
    file = found(name, folder)
    if file is not None and isinstance(file.newest, OwnAlloy):
        return file.newest
    own = [own.name for own in listing(folder).of_kind("alloy")]
    raise Refusal(f"There is no alloy '{name[:60]}'; choose one of {', '.join([*alloy_names(), *own])}.")


def setting_named(name: str, folder: Path | None = None) -> MachineSetting:
    """The newest values of a machine setting. Raises Refusal with all names when there is none."""
    file = found(name, folder)
    if file is not None and isinstance(file.newest, MachineSetting):
        return file.newest
    names = [own.name for own in listing(folder).of_kind("machine")]
    told = f"choose one of {', '.join(names)}" if names else "the library holds none yet"
    raise Refusal(f"There is no machine setting '{name[:60]}'; {told}.")


def keep(held: Held, today: date, note: str = "", folder: Path | None = None) -> LibraryFile:
    """Save as a new revision, the first under a new name. Nothing is written when the newest says the same.

    Raises Refusal when the name belongs to something else, or the file can't be read or written; it is then as it was.
    """
    before = found(held.name, folder)
    if before is None:
        return _written(first_revision(held, today, note), folder)
    _check_kind(before, held)
    after = before.with_revision(held, today, note)
    return before if after is before else _written(after, folder)


def keep_new(held: Held, today: date, note: str = "", folder: Path | None = None) -> LibraryFile:
    """Save under a name that is not in use. Raises Refusal."""
    if found(held.name, folder) is not None:
        raise Refusal(f"'{held.name}' is in the library already; choose another name.")
    return keep(held, today, note, folder)


def take_in(path: Path, today: date, folder: Path | None = None) -> tuple[LibraryFile, str]:
    """Import a file: the file as it is in the library now, and a sentence on what was done.

    A file that goes on from the library's revisions is taken with all of its own; one that differs gives a new
    revision. Raises Refusal for a file that can't be used; the library is then as it was.
    """
    given = read_library_file(path)
    before = found(given.name, folder)
    if before is None:
        return _written(given, folder), f"{given.name} is in the library now, revision {given.newest.revision}."
    _check_kind(before, given.newest)
    if replace(given.newest, revision=before.newest.revision, name=before.name) == before.newest:
        return before, f"{before.name} is in the library already, as revision {before.newest.revision}."
    length = len(before.revisions)
    if given.revisions[-length:] == before.revisions:
        after = given
    else:
        after = before.with_revision(given.newest, today, f"imported from {path.name}"[:200])
    return _written(after, folder), f"{after.name} has revision {after.newest.revision} now; the older ones are kept."


def give_out(file: LibraryFile, path: Path, *, replacing: bool = False) -> None:
    """Export a file with all its revisions. Raises Refusal when it can't be written, or is there and not replacing."""
    if path.exists() and not replacing:
        raise Refusal(f"There is a file '{path}' already; choose another name.")
    if not path.resolve().parent.is_dir():
        raise Refusal(f"There is no folder '{path.parent}' to export to.")
    write_library_file(file, path)


def _check_kind(before: LibraryFile, held: Held) -> None:
    if before.kind != kind_of(held):
        what = {"alloy": "an alloy", "machine": "a machine setting"}[before.kind]
        raise Refusal(f"'{held.name}' is {what} in the library; choose another name.")


def _read(path: Path) -> LibraryFile:
    file = read_library_file(path)
    if name_key(file.name) and path.name != file_name(file.name):
        raise Refusal(f"The library file '{path.name}' holds '{file.name}', which is not its name; import it instead.")
    return file


def _written(file: LibraryFile, folder: Path | None) -> LibraryFile:
    folder = own_folder() if folder is None else folder
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise Refusal(f"The library '{folder}' can't be made: {problem.strerror or problem}.") from problem
    write_library_file(file, folder / file_name(file.name))
    return file
