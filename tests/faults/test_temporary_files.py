"""Temporary files are for their owner's eyes only, are gone afterwards, and those a kill left are cleared."""

import os
import stat
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from app.cli import fault_place
from app.safe_keeping import clear_left_folders
from core import write_whole as write_whole_module
from core.export import write_job
from core.export.result import JobResult
from core.export.write_job import write_result
from core.part import step_child
from core.refusal import Refusal
from core.write_whole import TEMPORARY_ENDING, USUAL, write_whole

STEP = Path(__file__).resolve().parents[2] / "sample_parts" / "sensor-bracket.step"


def mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def test_a_file_being_saved_is_private_and_the_saved_one_is_as_usual(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[int] = []

    def read_bytes(path: Path) -> bytes:
        seen.append(mode(path))
        return open(path, "rb").read()

    monkeypatch.setattr(Path, "read_bytes", read_bytes)
    write_whole(tmp_path / "a.underfin", b"new")
    assert seen == [0o600] and mode(tmp_path / "a.underfin") == USUAL
    (tmp_path / "a.underfin").chmod(0o640)
    write_whole(tmp_path / "a.underfin", b"newer")
    assert mode(tmp_path / "a.underfin") == 0o640 and len(list(tmp_path.iterdir())) == 1


@pytest.mark.parametrize("there", [False, True], ids=["new folder", "old folder"])
def test_an_export_under_way_is_private_and_leaves_nothing(
    tmp_path: Path, result: JobResult, monkeypatch: pytest.MonkeyPatch, there: bool
) -> None:
    seen: list[int] = []
    check = write_job.check_3mf

    def look(path: Path, bodies: list[object]) -> None:
        seen.append(mode(path.parent))
        check(path, bodies)

    monkeypatch.setattr(write_job, "check_3mf", look)
    if there:
        (tmp_path / "out").mkdir()
    usual = mode(tmp_path / "out") if there else 0o777 & ~(0o666 & ~USUAL)
    write_result(result, tmp_path / "out")
    assert seen == [0o700]
    assert mode(tmp_path / "out") == usual and mode(tmp_path / "out" / "result.json") == USUAL
    assert not [path for path in tmp_path.rglob("*") if TEMPORARY_ENDING in path.name]


def test_a_step_file_being_read_is_private_and_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    seen: list[int] = []
    run = step_child.subprocess.run

    def look(command: list[str], **more: object) -> object:
        seen.append(mode(Path(command[-1])))
        return run(command, **more)

    monkeypatch.setattr(step_child.subprocess, "run", look)
    step_child.read_step_in_child(STEP.read_bytes())
    with pytest.raises(Refusal):
        step_child.read_step_in_child(b"ISO-10303-21; nothing")
    assert seen == [0o700, 0o700] and not list(tmp_path.iterdir())


def test_what_is_written_about_a_fault_is_private(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    said = fault_place()
    (written,) = tmp_path.iterdir()
    assert mode(written) == 0o600 and str(written) in said
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "none"))
    assert fault_place() == "details could not be written"


def test_what_a_kill_left_days_ago_is_cleared_and_nothing_else(tmp_path: Path) -> None:
    old, new, other = (tmp_path / name for name in ("underfin-heat-a", "underfin-heat-b", "somebody-else"))
    for folder in (old, new, other):
        folder.mkdir()
        (folder / "state.half").write_bytes(b"x")
    (tmp_path / "underfin-fault-x.txt").write_text("old")
    (tmp_path / "underfin-link").symlink_to(other)
    days_ago = time.time() - 4 * 86400
    for path in (old, other, tmp_path / "underfin-fault-x.txt"):
        os.utime(path, (days_ago, days_ago))
    os.utime(tmp_path / "underfin-link", (days_ago, days_ago), follow_symlinks=False)
    clear_left_folders(tmp_path)
    assert {path.name for path in tmp_path.iterdir()} == {"underfin-heat-b", "somebody-else", "underfin-link"}
    assert (other / "state.half").exists()


def test_a_save_by_two_programs_at_once_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The other one writes the same temporary name just before ours takes its place."""
    target = tmp_path / "a.underfin"
    target.write_bytes(b"old")
    chmod: Callable[..., None] = os.chmod

    def other_program(path: Path, mode: int) -> None:
        held = Path(path)
        held.rename(tmp_path / "away")
        held.write_bytes(b"of the other")
        chmod(path, mode)

    monkeypatch.setattr(write_whole_module.os, "chmod", other_program)
    with pytest.raises(Refusal, match="Another program saves"):
        write_whole(target, b"new")
    assert target.read_bytes() == b"old"
