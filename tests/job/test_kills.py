"""No kill loses a job: processes that save are killed at random moments of the writing."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

SCRIPT = Path(__file__).with_name("kill_saves.py")


def kill(way: str, kills: int, folder: Path) -> None:
    done = subprocess.run(
        [sys.executable, str(SCRIPT), way, str(kills), str(folder)], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    print(f"{way}: {found}")
    assert found["lost"] == found["corrupt"] == 0 and found["most_temporary"] <= 1
    assert found["kills"] == kills and found["hit"] >= 0.1 * kills  # else the kills missed what they were aimed at


@pytest.mark.parametrize("way", ["save", "autosave"])
def test_thirty_kills_lose_no_job_and_leave_one_temporary_file_at_most(tmp_path: Path, way: str) -> None:
    kill(way, 30, tmp_path)


@pytest.mark.slow
@pytest.mark.parametrize("way", ["save", "autosave"])
def test_a_thousand_kills_lose_no_job_and_leave_one_temporary_file_at_most(tmp_path: Path, way: str) -> None:
    kill(way, 1000, tmp_path)
