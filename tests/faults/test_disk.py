"""A full disk at every single write, and folders without rights: what was there stays, and one sentence says why."""

import itertools
import resource
import signal
from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest

from core.export import write_job
from core.export.result import JobResult
from core.export.write_heat import write_heat
from core.export.write_job import write_result
from core.heat.compare_heat import HeatComparison
from core.job import Job
from core.job_file import open_job, save_job
from core.refusal import Refusal
from tests.faults.full_disk import FullDisk

Run = Callable[..., tuple[int, str, str]]
Sentence = Callable[[str], str]
NoRights = Callable[[Path], AbstractContextManager[None]]


def held(folder: Path) -> dict[str, bytes]:
    """Every file in a folder, hidden ones too."""
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def at_every_write(act: Callable[[], object], unchanged: Callable[[], bool], sentence: Sentence) -> int:
    """Fill the disk at the first write, then at the second, until all writes fit; returns how many there are."""
    for full_from in itertools.count(1):
        with pytest.MonkeyPatch.context() as monkeypatch:
            disk = FullDisk(monkeypatch, full_from)
            try:
                act()
            except Refusal as refusal:
                said = sentence(str(refusal))
            else:
                return disk.written
        assert "No space left on device" in said and "Nothing was changed" in said
        assert unchanged(), f"something changed when the disk was full at write {full_from}"
    raise AssertionError


def test_a_save_on_a_disk_full_at_any_write_keeps_the_old_job(tmp_path: Path, job: Job, sentence: Sentence) -> None:
    save_job(job, tmp_path / "a.underfin")
    before, new = held(tmp_path), replace(job, max_angle_deg=30.0)
    writes = at_every_write(lambda: save_job(new, tmp_path / "a.underfin"), lambda: held(tmp_path) == before, sentence)
    assert writes >= 1 and open_job(tmp_path / "a.underfin") == new


def _once(made: dict[object, object], make: Callable[..., object], *facts: object) -> object:
    if make not in made:
        made[make] = make(*facts)
    return made[make]


@pytest.fixture
def reports_made_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Drawing takes most of an export's time; its bytes are the same every time, and here only writing counts."""
    made: dict[object, object] = {}
    for name in ("job_report", "report_html", "report_pdf"):
        make = getattr(write_job, name)
        monkeypatch.setattr(write_job, name, partial(_once, made, make))


@pytest.mark.usefixtures("reports_made_once")
def test_an_export_into_a_new_folder_appears_whole_or_not_at_all(
    tmp_path: Path, result: JobResult, sentence: Sentence
) -> None:
    writes = at_every_write(
        lambda: write_result(result, tmp_path / "a" / "out"), lambda: not list(tmp_path.iterdir()), sentence
    )
    print(f"disk full at each of {writes} writes of an export: nothing left of it")
    assert writes >= 10 and (tmp_path / "a" / "out" / "result.json").exists()


@pytest.mark.usefixtures("reports_made_once")
def test_an_export_over_an_earlier_one_keeps_that_whole(tmp_path: Path, result: JobResult, sentence: Sentence) -> None:
    write_result(result, tmp_path)
    (tmp_path / "notes.txt").write_text("of the engineer")
    before = held(tmp_path)
    at_every_write(lambda: write_result(result, tmp_path), lambda: held(tmp_path) == before, sentence)
    assert set(held(tmp_path)) == set(before)


def test_values_of_the_heat_are_all_new_or_all_old(
    tmp_path: Path, result: JobResult, comparison: HeatComparison, sentence: Sentence
) -> None:
    (tmp_path / "heat.json").write_bytes(b"old")
    (tmp_path / "heat.png").write_bytes(b"old")
    before = held(tmp_path)
    writes = at_every_write(
        lambda: write_heat(comparison, result, tmp_path), lambda: held(tmp_path) == before, sentence
    )
    assert writes >= 5 and len(held(tmp_path)) == 5


@pytest.mark.usefixtures("reports_made_once")
@pytest.mark.parametrize("most_bytes", [0, 1, 4096, 20_000])
def test_the_systems_own_limit_on_files_is_said_too(
    tmp_path: Path, result: JobResult, sentence: Sentence, most_bytes: int
) -> None:
    """Not simulated: RLIMIT_FSIZE of setrlimit(2) ends the write as a full disk does."""
    usual = resource.getrlimit(resource.RLIMIT_FSIZE)
    ignored = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (most_bytes, usual[1]))
    try:
        with pytest.raises(Refusal, match="File too large") as refusal:
            write_result(result, tmp_path / "out")
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, usual)
        signal.signal(signal.SIGXFSZ, ignored)
    sentence(str(refusal.value))
    assert not list(tmp_path.iterdir())


def test_a_folder_that_may_not_be_written_to_is_refused_and_stays(
    tmp_path: Path, job: Job, result: JobResult, sentence: Sentence, without_rights: NoRights
) -> None:
    folder = tmp_path / "readable"
    folder.mkdir()
    save_job(job, folder / "a.underfin")
    before = held(folder)
    for act in (
        lambda: write_result(result, folder),
        lambda: write_result(result, folder / "out"),
        lambda: save_job(replace(job, max_angle_deg=30.0), folder / "a.underfin"),
        lambda: save_job(job, folder / "b.underfin"),
    ):
        with without_rights(folder), pytest.raises(Refusal) as refusal:
            act()
        assert "Permission denied" in sentence(str(refusal.value)) or "can't be written to" in str(refusal.value)
    assert held(folder) == before


def test_a_folder_that_may_not_be_looked_into_is_one_sentence(
    tmp_path: Path, job: Job, run: Run, sentence: Sentence, without_rights: NoRights
) -> None:
    closed = tmp_path / "closed"
    closed.mkdir(mode=0)
    with without_rights(tmp_path):
        code, out, err = run("build", job.part_file, "--out", closed / "deep" / "out")
    closed.chmod(0o700)
    assert (code, out) == (2, "") and "closed" in sentence(err) and "Permission denied" in err


def test_nothing_is_written_through_a_link_planted_under_the_temporary_name(tmp_path: Path, job: Job) -> None:
    (tmp_path / "victim").write_bytes(b"precious")
    (tmp_path / ".a.underfin.underfin-part").symlink_to(tmp_path / "victim")
    save_job(job, tmp_path / "a.underfin")
    assert (tmp_path / "victim").read_bytes() == b"precious"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.underfin", "victim"]
