"""Faults while something runs: the part goes, memory or card fail, a child is killed. Each ends in one sentence."""

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from core.export.result import JobResult
from core.export.write_job import write_result
from core.heat import build_3d, compare_heat
from core.heat.compare_heat import HeatComparison
from core.heat.free_memory import free_bytes
from core.heat.heat_choice import HeatChoice
from core.heat.machine import PROCESSOR, Machine
from core.job import Job
from core.job_file import job_hash, new_job, save_job
from core.part.step_child import read_step_in_child
from core.refusal import Refusal
from core.run_heat import run_heat
from core.run_job import load_placed_part, run_job

ROOT = Path(__file__).resolve().parents[2]
Run = Callable[..., tuple[int, str, str]]
Sentence = Callable[[str], str]


# The part's file --------------------------------------------------------------------------------------------------


def test_a_part_removed_after_it_was_saved_is_one_sentence(tmp_path: Path, run: Run, sentence: Sentence) -> None:
    part = tmp_path / "tee.stl"
    part.write_bytes((ROOT / "sample_parts" / "sensor-bracket.stl").read_bytes())
    save_job(new_job(part), tmp_path / "a.underfin")
    before = (tmp_path / "a.underfin").read_bytes()
    part.unlink()
    for command in ("build", "heat"):
        code, out, err = run(command, tmp_path / "a.underfin", "--out", tmp_path / "out")
        assert (code, out) == (2, "") and "tee.stl" in sentence(err)
    assert (tmp_path / "a.underfin").read_bytes() == before and not (tmp_path / "out").exists()


def test_a_part_removed_while_it_is_open_is_exported_as_it_was_read(tmp_path: Path, job: Job) -> None:
    path = tmp_path / "tee.stl"
    path.write_bytes(Path(job.part_file).read_bytes())
    here = new_job(path)
    part = load_placed_part(here)
    path.unlink()
    result = run_job(here, part=part, all_patches=True)
    write_result(result, tmp_path / "out")
    assert result.job.part_sha256 == here.part_sha256 and (tmp_path / "out" / "sinks.stl").exists()


# Memory -----------------------------------------------------------------------------------------------------------


def test_a_build_too_large_for_the_memory_is_refused_before_it_starts_with_its_size(
    result: JobResult, sentence: Sentence
) -> None:
    """By hand: 0.01 mm cells over at least 50 x 20 x 16 mm are 1.6e10 cells, and a cell takes more than 50 bytes."""
    start = time.perf_counter()
    with pytest.raises(Refusal) as refusal:
        run_heat(result, HeatChoice(cell_mm=0.01))
    assert time.perf_counter() - start < 1.0
    text = sentence(str(refusal.value))
    asked_gb = float(text.split("would take ")[1].split(" GB")[0])
    assert asked_gb > 1.6e10 * 50 / 1e9 and "set at least" in text


@pytest.mark.parametrize(
    ("files", "free"),
    [
        ({}, float("inf")),
        ({"proc/meminfo": "MemTotal: 32000 kB\nMemAvailable:    20000 kB\n"}, 20_480_000),
        (
            {
                "proc/meminfo": "MemAvailable: 20000 kB\n",
                "sys/fs/cgroup/memory.max": "9000000\n",
                "sys/fs/cgroup/memory.current": "6000000\n",
                "sys/fs/cgroup/memory.stat": "anon 4000000\ninactive_file 1000000\n",
            },
            4_000_000,
        ),
        (
            {
                "proc/meminfo": "MemAvailable: 20000 kB\n",
                "sys/fs/cgroup/memory.max": "max\n",
                "sys/fs/cgroup/memory.current": "5\n",
            },
            20_480_000,
        ),
        (
            {
                "sys/fs/cgroup/memory/memory.limit_in_bytes": "7000000\n",
                "sys/fs/cgroup/memory/memory.usage_in_bytes": "9000000\n",
            },
            0,
        ),
    ],
    ids=["unknown", "machine", "container", "container without limit", "container of version 1, over its limit"],
)
def test_free_memory_counts_other_programs_and_the_containers_limit(
    tmp_path: Path, files: dict[str, str], free: float
) -> None:
    """By hand from the texts: 9 MB allowed - 6 MB used + 1 MB of cached files = 4 MB."""
    for name, text in files.items():
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text(text)
    assert free_bytes(tmp_path) == free


def test_a_machine_filled_by_other_programs_refuses_what_it_could_hold_alone(
    result: JobResult, monkeypatch: pytest.MonkeyPatch, sentence: Sentence
) -> None:
    monkeypatch.setattr(compare_heat, "free_bytes", lambda: 1e6)
    with pytest.raises(Refusal, match=r"0\.0009 GB may be used"):
        run_heat(result, HeatChoice(cell_mm=0.5))


def test_memory_that_runs_out_midway_is_one_sentence_and_the_job_can_go_on(
    tmp_path: Path, result: JobResult, comparison: HeatComparison, monkeypatch: pytest.MonkeyPatch, sentence: Sentence
) -> None:
    whole, layers = build_3d.Build.add_layer, [0]

    def add_layer(build: build_3d.Build) -> None:
        layers[0] += 1
        if layers[0] > 20:
            raise MemoryError
        whole(build)

    monkeypatch.setattr(build_3d.Build, "add_layer", add_layer)
    with pytest.raises(Refusal, match="larger cells") as refusal:
        run_heat(result, HeatChoice(cell_mm=3.0), half_done=tmp_path)
    sentence(str(refusal.value))
    monkeypatch.undo()
    again = run_heat(result, HeatChoice(cell_mm=3.0), half_done=tmp_path)
    assert np.array_equal(again.with_sinks.face_between_c, comparison.with_sinks.face_between_c)


# The card ---------------------------------------------------------------------------------------------------------


class CUDARuntimeError(RuntimeError):
    """As in CuPy, where it is a RuntimeError too (cupy_backends/cuda/api/runtime.pyx)."""


class CardThatIsLost:
    """numpy under the name of a card; its loops work until the n-th call and then answer as a lost card does."""

    def __init__(self, works_for: int) -> None:
        self.left = works_for
        self.cuda = SimpleNamespace(runtime=SimpleNamespace(memGetInfo=lambda: (8 << 30, 8 << 30)))

    def __getattr__(self, name: str) -> Any:
        return getattr(np, name)

    def machine(self) -> Machine:
        loops = {name: self._counted(loop) for name, loop in vars(PROCESSOR.loops).items()}
        return Machine(name="card", xp=self, loops=SimpleNamespace(**loops))

    def _counted(self, loop: Callable[..., Any]) -> Callable[..., Any]:
        def call(*arguments: Any) -> Any:
            self.left -= 1
            if self.left < 0:
                raise CUDARuntimeError("cudaErrorDeviceUninitialized: unspecified launch failure")
            return loop(*arguments)

        return call


@pytest.mark.parametrize("works_for", [0, 1, 300, 3000])
def test_a_card_that_is_lost_at_any_moment_is_one_sentence(
    tmp_path: Path, result: JobResult, monkeypatch: pytest.MonkeyPatch, sentence: Sentence, works_for: int
) -> None:
    before = job_hash(result.job)
    monkeypatch.setattr(compare_heat, "card", CardThatIsLost(works_for).machine)
    with pytest.raises(Refusal, match="card stopped answering") as refusal:
        run_heat(result, HeatChoice(cell_mm=3.0, machine="card"), half_done=tmp_path)
    assert "on the processor" in sentence(str(refusal.value))
    assert job_hash(result.job) == before


def test_a_fault_of_our_own_on_the_processor_is_not_taken_for_a_lost_card(
    result: JobResult, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(build: build_3d.Build) -> None:
        raise RuntimeError("ours")

    monkeypatch.setattr(build_3d.Build, "add_layer", broken)
    with pytest.raises(RuntimeError, match="ours"):
        run_heat(result, HeatChoice(cell_mm=3.0))


# Children ---------------------------------------------------------------------------------------------------------


def children() -> set[int]:
    """Processes whose parent is this one (proc(5))."""
    found = set()
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            words = stat.read_text().rpartition(")")[2].split()
        except OSError:
            continue
        if int(words[1]) == os.getpid():
            found.add(int(stat.parent.name))
    return found


def test_a_step_reader_that_is_killed_is_one_sentence(sentence: Sentence) -> None:
    before, refused = children(), []

    def read() -> None:
        try:
            read_step_in_child((ROOT / "sample_parts" / "sensor-bracket.step").read_bytes())
        except Refusal as refusal:
            refused.append(str(refusal))

    reading = threading.Thread(target=read)
    reading.start()
    while reading.is_alive():
        if new := children() - before:
            time.sleep(0.1)
            os.kill(new.pop(), signal.SIGKILL)
            break
        time.sleep(0.005)
    reading.join(60)
    assert len(refused) == 1 and "broke off" in sentence(refused[0])


# The cache of compiled loops --------------------------------------------------------------------------------------


@pytest.mark.parametrize("place", ["/proc/nothing", "file", "open to others"])
def test_without_a_cache_of_compiled_loops_all_works_and_it_is_said_once(
    tmp_path: Path, sentence: Sentence, place: str
) -> None:
    cache = Path(place) if place.startswith("/") else tmp_path / "cache"
    if place == "file":
        cache.write_bytes(b"")
    among_sources = set((ROOT / "core").rglob("*.nbi"))
    settings = dict(os.environ) | {"XDG_CACHE_HOME": str(cache)}
    command = [sys.executable, "-m", "app.cli", "window", "--alloy", "316L", "--json"]
    if place == "open to others":
        subprocess.run(command, cwd=ROOT, env=settings, capture_output=True, check=True)
        next((cache / "underfin").iterdir()).chmod(0o777)
    done = subprocess.run(command, cwd=ROOT, env=settings, capture_output=True, text=True, check=False)
    assert done.returncode == 0 and done.stdout.startswith("{")
    assert "compiled loops can't be kept" in sentence(done.stderr)
    assert set((ROOT / "core").rglob("*.nbi")) == among_sources
