"""Put a file in place whole or not at all: a kill or a full disk leaves the old one."""

import contextlib
import os
from pathlib import Path

from core.refusal import Refusal

TEMPORARY_ENDING = ".underfin-part"
"""One fixed name per document, so that kills never pile up leftovers."""

PRIVATE = 0o600


def _usual_mode() -> int:
    """Who may read a new file on this system; the mask can only be read by setting it."""
    mask = os.umask(0o077)
    os.umask(mask)
    return 0o666 & ~mask


USUAL = _usual_mode()


def temporary_name(path: Path) -> Path:
    """The one temporary path of a document or folder, beside it."""
    return path.with_name("." + path.name + TEMPORARY_ENDING)


def write_whole(path: Path, data: bytes) -> None:
    """Write beside the target, flush to the disk, read back, compare, then take the target's place.

    A link is followed, so that the file it points to is replaced and the link stays. Until it takes its place only
    its owner can read what is written. Raises Refusal with the reason when the disk is full or the folder is not
    writable; the old file then stands as it was. Promises nothing about power loss.
    """
    try:
        target = path.resolve()
        if target.exists() and not target.is_file():
            raise Refusal(f"'{path}' is not a file that can be replaced; choose another name.")
        temporary = temporary_name(target)
        try:
            written = write_and_check(temporary, data, PRIVATE)
            os.chmod(temporary, target.stat().st_mode & 0o7777 if target.exists() else USUAL)
            if not os.path.samestat(written, os.stat(temporary)):
                raise Refusal(f"Another program saves '{path}' too; nothing was changed, save again.")
            os.replace(temporary, target)
        finally:
            with contextlib.suppress(OSError):
                temporary.unlink(missing_ok=True)
        flush_folder(target.parent)
    except OSError as problem:
        raise could_not_write(path, problem) from problem


def write_together(folder: Path, files: dict[str, bytes]) -> None:
    """Write several files into a folder: on a full disk none of them changes.

    All are written beside their targets first. The last one is the one that says the folder is finished: it is
    removed before the others take their places and takes its own at the end. Raises Refusal as write_whole.
    """
    targets = {folder / name: data for name, data in files.items()}
    last = list(targets)[-1]
    try:
        if taken := next((target for target in targets if target.is_dir()), None):
            raise Refusal(f"'{taken}' is a folder in the place of a result; remove it or choose another folder.")
        try:
            for target, data in targets.items():
                write_and_check(temporary_name(target), data)
            last.unlink(missing_ok=True)
            for target in targets:
                os.replace(temporary_name(target), target)
        finally:
            for target in targets:
                with contextlib.suppress(OSError):
                    temporary_name(target).unlink(missing_ok=True)
        flush_folder(folder)
    except OSError as problem:
        raise could_not_write(folder, problem) from problem


def write_and_check(path: Path, data: bytes, mode: int = 0o666) -> os.stat_result:
    """Write a new file, flush it to the disk, read it back and compare; returns the facts of the file written.

    A leftover or link of that name is removed first and never written through. mode: who may read it.
    Raises OSError or Refusal.
    """
    path.unlink(missing_ok=True)
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), mode)
    with open(handle, "wb") as file:
        file.write(data)
        file.flush()
        os.fsync(handle)
        written = os.fstat(handle)
    if path.read_bytes() != data:
        raise Refusal(f"'{path.name}' did not read back as it was written; check the disk and save again.")
    return written


def flush_file(path: Path) -> None:
    """Make sure what another library wrote has reached the disk."""
    with open(path, "rb+") as file:
        os.fsync(file.fileno())


def flush_folder(folder: Path) -> None:
    """Make the renaming itself reach the disk, where the system lets folders be opened."""
    if os.name == "nt":
        return
    with contextlib.suppress(OSError):  # some network folders refuse this; the file itself is already flushed
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def could_not_write(path: Path, problem: OSError) -> Refusal:
    """The sentence for a failed write: where and why."""
    reason = problem.strerror or type(problem).__name__
    return Refusal(f"Could not write '{path}': {reason}. Nothing was changed; free space or choose another folder.")
