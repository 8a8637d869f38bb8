"""Put a file in place whole or not at all: a kill or a full disk leaves the old one."""

import contextlib
import os
from pathlib import Path

from core.refusal import Refusal

TEMPORARY_ENDING = ".underfin-part"
"""One fixed name per document, so that kills never pile up leftovers."""


def temporary_name(path: Path) -> Path:
    """The one temporary path of a document or folder, beside it."""
    return path.with_name("." + path.name + TEMPORARY_ENDING)


def write_whole(path: Path, data: bytes) -> None:
    """Write beside the target, flush to the disk, read back, compare, then take the target's place.

    A link is followed, so that the file it points to is replaced and the link stays. Raises Refusal with the
    reason when the disk is full or the folder is not writable; the old file then stands as it was.
    Promises nothing about power loss.
    """
    try:
        target = path.resolve()
        if target.exists() and not target.is_file():
            raise Refusal(f"'{path}' is not a file that can be replaced; choose another name.")
        temporary = temporary_name(target)
        try:
            write_and_check(temporary, data)
            if target.exists():
                os.chmod(temporary, target.stat().st_mode & 0o7777)
            os.replace(temporary, target)
        finally:
            with contextlib.suppress(OSError):
                temporary.unlink(missing_ok=True)
        flush_folder(target.parent)
    except OSError as problem:
        raise could_not_write(path, problem) from problem


def write_and_check(path: Path, data: bytes) -> None:
    """Write, flush to the disk, read back and compare. Raises OSError or Refusal."""
    with open(path, "wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())
    if path.read_bytes() != data:
        raise Refusal(f"'{path.name}' did not read back as it was written; check the disk and save again.")


def flush_file(path: Path) -> None:
    """Make sure what another library wrote has reached the disk."""
    with open(path, "rb+") as file:
        os.fsync(file.fileno())


def flush_folder(folder: Path) -> None:
    """Make the renaming itself reach the disk, where the system lets folders be opened."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    except OSError:
        pass  # some network folders refuse this; the file itself is already flushed
    finally:
        os.close(handle)


def could_not_write(path: Path, problem: OSError) -> Refusal:
    """The sentence for a failed write: where and why."""
    reason = problem.strerror or type(problem).__name__
    return Refusal(f"Could not write '{path}': {reason}. Nothing was changed; free space or choose another folder.")
