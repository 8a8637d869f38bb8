"""Kills a process that saves two jobs in turn, again and again, and counts what it left.

`python tests/job/kill_saves.py save|autosave KILLS FOLDER [SEED]` prints the counts as JSON. What is saved is made
before, so that the kills fall into the writing. A kill proves nothing about a power cut.
"""

import itertools
import json
import os
import random
import signal
import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from app.autosave import Autosave
from app.job_state import JobState
from core import job_file
from core.job import Job, Pick
from core.write_whole import TEMPORARY_ENDING

N_RUNS = 20_000
"""Of picked faces in each job, which makes its text 220 kB: several writes of the system."""
JOBS = tuple(
    Job(part_file="/parts/valve.stl", part_sha256=letter * 64, picks=(Pick(runs=runs),))
    for letter in "ab"
    for runs in [tuple((first, first + 1) for first in range(ord(letter), 3 * N_RUNS, 3))]
)
TEXTS = {job.part_sha256: job_file.job_text(job, Path("/parts")) for job in JOBS}
WHOLE = {text.encode() for text in TEXTS.values()}
Save = Callable[[Job], None]


def prepared(job: Job, folder: Path) -> str:
    """Stands in for job_text: the time is to be spent in writing."""
    return TEXTS[job.part_sha256]


job_file.job_text = prepared


def saver(folder: Path) -> Save:
    """Saving as the menu does it."""
    return lambda job: job_file.save_job(job, folder / "a.underfin")


def autosaver(folder: Path) -> Save:
    """The copy of unsaved changes, in a slot of its own; what an earlier kill left has been moved aside."""
    state = JobState()
    copies = Autosave(state, folder)
    state.changed.disconnect(copies._changed)  # no timer here: it is written at once

    def save(job: Job) -> None:
        state.open(job, None, saved=False)
        copies.write()

    return save


def saves_until_killed(make: Callable[[Path], Save], folder: Path, wait_s: float) -> None:
    """In a child that is killed some time after its first whole save."""
    read_end, write_end = os.pipe()
    child = os.fork()
    if child == 0:
        save = make(folder)
        for number, job in enumerate(itertools.cycle(JOBS)):
            save(job)
            if number == 0:
                os.write(write_end, b".")
    os.close(write_end)
    started = os.read(read_end, 1)
    os.close(read_end)
    time.sleep(wait_s)
    os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    assert started and os.WTERMSIG(status) == signal.SIGKILL, "the child ended before it was killed"


def count(way: str, kills: int, folder: Path, seed: int = 0) -> dict[str, float]:
    """lost: kills after which no whole job was there. hit: kills in the middle of a write, known by the leftover."""
    make = {"save": saver, "autosave": autosaver}[way]
    dice = random.Random(seed)
    found = {"kills": kills, "hit": 0, "lost": 0, "corrupt": 0, "most_temporary": 0, "most_files": 0}
    save = make(folder)
    start = time.perf_counter()
    for job in JOBS * 5:
        save(job)
    one_s = (time.perf_counter() - start) / 10
    del save
    for _ in range(kills):
        saves_until_killed(make, folder, dice.uniform(0.0, 4.0 * one_s))
        files = [path for path in folder.iterdir() if path.suffix != ".lock"]
        temporary = [path for path in files if path.name.endswith(TEMPORARY_ENDING)]
        jobs = [path for path in files if path.suffix == ".underfin"]
        found["hit"] += bool(temporary)
        found["lost"] += not jobs
        found["corrupt"] += any(path.read_bytes() not in WHOLE for path in jobs)
        found["most_temporary"] = max(found["most_temporary"], len(temporary))
        found["most_files"] = max(found["most_files"], len(files))
        for left in folder.glob("left-*.underfin"):
            left.unlink()  # as one who has brought it back
    return found | {"save_ms": round(1e3 * one_s, 2)}


if __name__ == "__main__":
    words = sys.argv[1:]
    print(json.dumps(count(words[0], int(words[1]), Path(words[2]), int((words[3:] or ["0"])[0]))))
