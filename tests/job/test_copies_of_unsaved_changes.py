"""What a crash leaves is found and offered until it was brought back; a second crash takes nothing from the first."""

import os
import stat
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QObject

from app import autosave as autosave_module
from app.autosave import Autosave
from app.job_state import JobState
from core.job import Job
from core.job_file import open_job
from core.refusal import Refusal

JOB = Job(part_file="/parts/valve.stl", part_sha256="ab" * 32)


@pytest.fixture
def owner(qapp: QObject) -> Iterator[QObject]:
    held = QObject()
    yield held
    held.deleteLater()


def window(folder: Path, owner: QObject) -> tuple[JobState, Autosave]:
    state = JobState(owner)
    return state, Autosave(state, folder, owner)


def edited(state: JobState, angle_deg: float) -> None:
    if not state.job.part_file:
        state.open(JOB, None)
    state.set(replace(state.job, max_angle_deg=angle_deg), "Set low-angle limit")


def crash(copies: Autosave) -> None:
    """As the system does when the process dies: the lock goes, the files stay."""
    assert copies._lock is not None
    copies._timer.stop()
    copies._lock.unlock()


def crash_with(folder: Path, owner: QObject, angle_deg: float) -> None:
    state, copies = window(folder, owner)
    edited(state, angle_deg)
    copies.write()
    crash(copies)


def angles(folder: Path) -> set[float]:
    return {open_job(copy).max_angle_deg for copy in folder.glob("left-*.underfin")}


def test_a_crash_before_the_changes_were_brought_back_keeps_them(tmp_path: Path, owner: QObject) -> None:
    crash_with(tmp_path, owner, 31.0)
    _, second = window(tmp_path, owner)
    assert second.left_over is not None
    crash(second)  # at once, before anything was clicked
    _, third = window(tmp_path, owner)
    assert third.left_over is not None and open_job(third.left_over).max_angle_deg == 31.0
    third.close()


def test_two_crashes_leave_two_copies_and_the_newest_is_offered(tmp_path: Path, owner: QObject) -> None:
    crash_with(tmp_path, owner, 31.0)
    crash_with(tmp_path, owner, 32.0)
    _, after = window(tmp_path, owner)
    assert angles(tmp_path) == {31.0, 32.0}
    assert after.left_over is not None and open_job(after.left_over).max_angle_deg == 32.0
    after.close()


def test_two_windows_that_crash_together_lose_neither(tmp_path: Path, owner: QObject) -> None:
    windows = [window(tmp_path, owner) for _ in range(2)]
    for number, (state, copies) in enumerate(windows):
        edited(state, 31.0 + number)
        copies.write()
    for _, copies in windows:
        crash(copies)
    _, after = window(tmp_path, owner)
    assert angles(tmp_path) == {31.0, 32.0}
    after.close()


def test_the_copy_of_a_window_that_still_runs_is_left_alone(tmp_path: Path, owner: QObject) -> None:
    state, running = window(tmp_path, owner)
    edited(state, 31.0)
    running.write()
    _, other = window(tmp_path, owner)
    assert other.left_over is None and (tmp_path / "job-1.underfin").exists()
    other.close()
    assert (tmp_path / "job-1.underfin").exists()
    running.close()


def test_a_copy_goes_only_when_its_changes_are_kept_anew(tmp_path: Path, owner: QObject) -> None:
    crash_with(tmp_path, owner, 31.0)
    state, copies = window(tmp_path, owner)
    left = copies.left_over
    assert left is not None
    edited(state, 40.0)
    copies.write()
    assert left.exists()  # other work, the copy was not opened
    state.open(open_job(left), None, saved=False)
    copies.bring_back(left)
    assert left.exists()
    copies.write()
    assert not left.exists() and open_job(tmp_path / "job-1.underfin").max_angle_deg == 31.0
    copies.close()
    assert not list(tmp_path.glob("*.underfin"))


def test_one_who_never_rests_is_saved_all_the_same(tmp_path: Path, owner: QObject, qtbot: object) -> None:
    state, copies = window(tmp_path, owner)
    copies._timer.setInterval(200)
    for step in range(12):  # an edit every 50 ms
        edited(state, 30.0 + step)
        qtbot.wait(50)
    assert (tmp_path / "job-1.underfin").exists()
    copies.close()


def test_copies_are_private_and_a_leftover_of_a_kill_is_cleared_at_the_start(tmp_path: Path, owner: QObject) -> None:
    folder = tmp_path / "unsaved"
    folder.mkdir(mode=0o755)
    (folder / ".job-1.underfin.underfin-part").write_bytes(b"half a j")
    (folder / ".job-3.underfin.underfin-part").write_bytes(b"half a j")
    _, copies = window(folder, owner)
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert not list(folder.glob(".*"))
    copies.close()


def test_old_copies_and_more_than_twenty_are_let_go(tmp_path: Path, owner: QObject) -> None:
    for number in range(1, 26):
        crash_with(tmp_path, owner, 30.0 + 0.5 * number)
        os.utime(tmp_path / "job-1.underfin", (1.7e9 + number, autosave_module.time.time() - 3600 + number))
    _, after = window(tmp_path, owner)
    after.close()
    _, after = window(tmp_path, owner)
    after.close()
    assert angles(tmp_path) == {30.0 + 0.5 * number for number in range(6, 26)}
    os.utime(next(tmp_path.glob("left-*.underfin")), (1e9, 1e9))
    _, after = window(tmp_path, owner)
    after.close()
    assert len(angles(tmp_path)) == 19


def test_a_copy_that_cannot_be_written_is_said_once(
    tmp_path: Path, owner: QObject, monkeypatch: pytest.MonkeyPatch
) -> None:
    state, copies = window(tmp_path, owner)
    said: list[tuple[str, str, str]] = []
    copies.said.connect(lambda *words: said.append(words))

    def full(job: Job, path: Path) -> None:
        raise Refusal("Could not write 'x': No space left on device.")

    edited(state, 31.0)
    monkeypatch.setattr(autosave_module, "save_job", full)
    copies.write()
    copies.write()
    assert len(said) == 1 and said[0][0] == "note" and "save the job yourself" in said[0][1]
    monkeypatch.undo()
    copies.write()
    monkeypatch.setattr(autosave_module, "save_job", full)
    copies.write()
    assert len(said) == 2
    copies.close()
