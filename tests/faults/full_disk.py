"""A disk that is full from a certain write on: every file opened by Python for writing fails there."""

import builtins
import errno
import io
from typing import Any

import pytest

_open = io.open


class FullDisk:
    """The k-th write of the system and all after it fail as on a full disk; `written` counts those before."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, full_from: int) -> None:
        self.written, self._full_from = 0, full_from
        monkeypatch.setattr(builtins, "open", self.open)
        monkeypatch.setattr(io, "open", self.open)

    def count(self) -> None:
        if self.written + 1 >= self._full_from:
            raise OSError(errno.ENOSPC, "No space left on device")
        self.written += 1

    def open(
        self, file: Any, mode: str = "r", buffering: int = -1, *text: Any, closefd: bool = True, **more: Any
    ) -> Any:
        """As the built-in, with counted writes; `text` and what is left of `more` is encoding, errors, newline."""
        if not set(mode) & set("wax+"):
            return _open(file, mode, buffering, *text, closefd=closefd, **more)
        raw = _CountedFile(file, mode.replace("b", "").replace("t", ""), closefd, more.pop("opener", None))
        raw.disk = self
        held = io.BufferedRandom(raw) if "+" in mode else io.BufferedWriter(raw)
        return held if "b" in mode else io.TextIOWrapper(held, *text, **more)


class _CountedFile(io.FileIO):
    disk: FullDisk

    def write(self, data: Any) -> int:
        self.disk.count()
        return super().write(data)
