"""A sweep: every combination once, finished cases kept, a lost worker made good, here and on a Dask cluster."""

import csv
import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import distributed
import pyarrow.parquet
import pytest

from core.job import Job
from core.job_file import new_job
from core.progress import Stopped
from core.refusal import Refusal
from core.run_job import run_job
from core.run_sweep import SweepChoice, cases_of, run_sweep, table_rows, write_sweep
from core.sweep_case import Case, CaseValues, job_of, run_case
from core.sweep_workers import DaskWorkers, LocalWorkers

ROOT = Path(__file__).parents[2]
BRACKET = ROOT / "sample_parts" / "sensor-bracket.stl"


class Here:
    """Runs cases in this process and counts them."""

    def __init__(self) -> None:
        self.ran: list[int] = []

    def run(self, cases: list[Case], goes_on: Callable[[], bool]) -> Iterator[tuple[Case, CaseValues]]:
        for case in cases:
            if not goes_on():
                raise Stopped
            self.ran.append(case.number)
            yield case, run_case(case)


def bracket() -> Job:
    return new_job(BRACKET)


def test_every_combination_is_one_case_and_sets_its_job() -> None:
    choice = SweepChoice(gap_mm=(0.2, 0.3), kind=("fins", "plate"), power_w=(200.0, 250.0, 300.0),
                         rotate_deg=((0.0, 0.0, 0.0), (0.0, 0.0, 45.0)))  # fmt: skip
    cases = cases_of(bracket(), choice)
    assert [case.number for case in cases] == list(range(1, 25))
    assert len({case.key for case in cases}) == 24
    jobs = [job_of(case) for case in cases]
    assert {(j.gap.gap_mm, j.sink.kind, j.laser.power_w, j.pose.rotate_deg[2]) for j in jobs} == {
        (gap, kind, power, turn)
        for gap in (0.2, 0.3) for kind in ("fins", "plate") for power in (200, 250, 300) for turn in (0, 45)
    }  # fmt: skip


def test_too_many_cases_and_none_are_refused_with_their_number() -> None:
    with pytest.raises(Refusal, match="2001 cases, at most 2000"):
        cases_of(bracket(), SweepChoice(gap_mm=tuple(0.2 + i * 1e-4 for i in range(2001))))
    with pytest.raises(Refusal, match="Nothing varies"):
        cases_of(bracket(), SweepChoice())


def test_a_case_says_what_a_job_run_by_hand_says_and_mass_is_volume_times_density() -> None:
    case = cases_of(bracket(), SweepChoice(gap_mm=(0.4,), kind=("block",)))[0]
    values = run_case(case)
    by_hand = run_job(job_of(case), all_patches=True)
    assert values["sinks"] == len(by_hand.sinks)
    # 316L at room temperature 7.957 g/cm³ (Mills 2002, as the physics sheet gives it)
    assert values["mass_g"] == pytest.approx(7.957e-3 * sum(sink.volume_mm3 for sink in by_hand.sinks), rel=0.01)
    for row, estimate in zip(values["patches"], by_hand.estimates, strict=True):
        assert row["estimate_with_k"] == pytest.approx(estimate.rise_with_k.nominal, rel=1e-4)
        assert 0 < row["quick_with_k"] < row["quick_without_k"]
        assert row["min_clearance_mm"] >= 0.4


def test_wider_gaps_cool_less_and_a_gap_that_cannot_be_is_a_row_not_an_end(tmp_path: Path) -> None:
    cases = cases_of(bracket(), SweepChoice(gap_mm=(0.05, 0.2, 0.4, 0.8), kind=("block",)))
    found = run_sweep(cases, tmp_path, Here())
    assert "two layers" in found[0]["refused"]
    for patch in (0, 1):
        for name in ("quick_with_k", "estimate_with_k"):
            rises = [values["patches"][patch][name] for values in found[1:]]
            assert rises == sorted(rises) and rises[0] < rises[-1]
    files = write_sweep(found, tmp_path)
    with open(tmp_path / "sweep.csv", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["gap_mm"] for row in rows] == ["0.05", "0.2", "0.2", "0.4", "0.4", "0.8", "0.8"]
    table = pyarrow.parquet.read_table(tmp_path / "sweep.parquet").to_pylist()
    assert table == table_rows(found)
    assert set(files) == {"sweep.csv", "sweep.parquet", "sweep.png", "sweep.svg"}
    assert "powder gap, mm" in (tmp_path / "sweep.svg").read_text()


def test_a_stopped_sweep_goes_on_and_runs_only_what_is_left(tmp_path: Path) -> None:
    cases = cases_of(bracket(), SweepChoice(gap_mm=(0.2, 0.3, 0.4), kind=("block",)))
    first, second = Here(), Here()
    with pytest.raises(Stopped):
        run_sweep(cases, tmp_path, first, lambda share: share < 0.5)
    assert first.ran == [1, 2]
    (tmp_path / "cases" / f"{cases[0].key}.json").write_text('{"key": "cut sho')
    found = run_sweep(cases, tmp_path, second)
    assert second.ran == [1, 3]
    assert [values["case"] for values in found] == [1, 2, 3]
    assert found == tuple(run_case(case) for case in cases)
    other = cases_of(replace(bracket(), alloy="Ti-6Al-4V"), SweepChoice(gap_mm=(0.3,), kind=("block",)))
    third = Here()
    run_sweep(other, tmp_path, third)
    assert third.ran == [1]  # another alloy is another case


def children() -> set[int]:
    """Processes started by this one, as Linux lists them."""
    return {int(word) for word in Path(f"/proc/self/task/{os.getpid()}/children").read_text().split()}


def test_a_local_worker_killed_midway_costs_nothing_but_time(tmp_path: Path) -> None:
    cases = cases_of(bracket(), SweepChoice(gap_mm=(0.25, 0.35), kind=("block",)))
    before, killed = children(), []

    def kill_one(share: float) -> bool:
        running = [pid for pid in children() - before if b"spawn_main" in Path(f"/proc/{pid}/cmdline").read_bytes()]
        if not killed and running:
            time.sleep(0.5)
            os.kill(running[-1], signal.SIGKILL)
            killed.append(running[-1])
        return True

    found = run_sweep(cases, tmp_path, LocalWorkers(2), kill_one)
    assert killed
    assert found == tuple(run_case(case) for case in cases)
    assert len(list((tmp_path / "cases").glob("*.json"))) == 2


def test_a_case_that_loses_every_process_is_given_up_and_not_kept(tmp_path: Path) -> None:
    cases = cases_of(bracket(), SweepChoice(gap_mm=(0.3,), kind=("block",)))
    before, killed = children(), set()

    def kill_all(share: float) -> bool:
        for pid in children() - before - killed:
            if b"spawn_main" in Path(f"/proc/{pid}/cmdline").read_bytes():
                os.kill(pid, signal.SIGKILL)
                killed.add(pid)
        return True

    found = run_sweep(cases, tmp_path, LocalWorkers(1), kill_all)
    assert len(killed) == 2 and found[0]["lost"] and "ended by itself 2 times" in found[0]["refused"]
    assert not list((tmp_path / "cases").glob("*.json"))
    assert write_sweep(found, tmp_path)


@pytest.mark.slow
def test_a_dask_cluster_gives_the_same_and_a_worker_killed_midway_is_made_good(tmp_path: Path) -> None:
    cases = cases_of(bracket(), SweepChoice(gap_mm=(0.25, 0.35, 0.45), kind=("block",)))
    with distributed.LocalCluster(n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None) as cluster:
        killed: list[int] = []

        def kill_one(share: float) -> bool:
            if not killed and 0 < share < 1:  # one case is done, the others are on their way
                killed.extend(worker.process.pid for worker in list(cluster.workers.values())[:1])
                os.kill(killed[0], signal.SIGKILL)
            return True

        found = run_sweep(cases, tmp_path, DaskWorkers(cluster.scheduler_address), kill_one)
    assert killed
    assert found == tuple(run_case(case) for case in cases)


def test_no_scheduler_is_one_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("core.sweep_workers.ANSWER_S", 1.0)
    for address in ("tcp://127.0.0.1:9", "nonsense"):
        with pytest.raises(Refusal, match="No Dask scheduler answers"):
            DaskWorkers(address)
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(Refusal, match="pip install"):
        DaskWorkers("tcp://127.0.0.1:9")


@pytest.mark.slow
def test_a_killed_command_leaves_no_process_behind_and_goes_on(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "app.cli", "sweep", str(BRACKET), "--gap", "0.2:0.4:0.1", "--kind", "block",
               "--workers", "1", "--out", str(tmp_path / "out"), "--json"]  # fmt: skip
    work = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    kept = tmp_path / "out" / "cases"
    for _ in range(12000):
        if list(kept.glob("*.json")) or work.poll() is not None:
            break
        time.sleep(0.01)
    workers = {int(pid) for pid in Path(f"/proc/{work.pid}/task/{work.pid}/children").read_text().split()}
    work.kill()
    assert "3 cases." in work.communicate()[1]
    assert workers
    for _ in range(500):
        if not any(Path(f"/proc/{pid}").exists() for pid in workers):
            break
        time.sleep(0.02)
    assert not [pid for pid in workers if Path(f"/proc/{pid}").exists()]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0 and "of them finished earlier" in done.stderr
    values = json.loads(done.stdout)
    assert (values["cases"], values["refused"], values["lost"]) == (3, 0, 0)
    assert {p.name for p in (tmp_path / "out").iterdir()} == {"cases", *values["files"]}


@pytest.mark.slow
def test_ctrl_c_keeps_the_finished_cases_and_says_so(tmp_path: Path) -> None:
    """130 is 128 + SIGINT, as shells count it (POSIX); the key goes to the whole process group, as in a terminal."""
    command = [sys.executable, "-m", "app.cli", "sweep", str(BRACKET), "--gap", "0.2:0.6:0.05", "--kind", "block",
               "--workers", "2", "--out", str(tmp_path / "out")]  # fmt: skip
    work = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
                            start_new_session=True)  # fmt: skip
    kept = tmp_path / "out" / "cases"
    for _ in range(12000):
        if list(kept.glob("*.json")) or work.poll() is not None:
            break
        time.sleep(0.01)
    os.killpg(work.pid, signal.SIGINT)
    out, err = work.communicate(timeout=60)
    assert (work.returncode, out) == (130, "")
    assert err == "9 cases.\nStopped; the finished cases are kept; run again to go on.\n"
    assert list(kept.glob("*.json")) and [p.name for p in (tmp_path / "out").iterdir()] == ["cases"]
