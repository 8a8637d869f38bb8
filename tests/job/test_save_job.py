"""A save is whole or not at all: full disk, a write cut short, a kill at any step, a link."""

import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from core import write_whole as write_whole_module
from core.job import Job
from core.job_file import save_job
from core.refusal import Refusal

JOB = Job(part_file="/parts/valve.stl", part_sha256="ab" * 32)


def test_a_full_disk_keeps_the_old_job_and_leaves_no_temporary_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    save_job(JOB, tmp_path / "a.underfin")
    old = (tmp_path / "a.underfin").read_bytes()

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(write_whole_module.os, "fsync", full)
    with pytest.raises(Refusal, match="No space left on device"):
        save_job(replace(JOB, max_angle_deg=30.0), tmp_path / "a.underfin")
    assert (tmp_path / "a.underfin").read_bytes() == old
    assert [path.name for path in tmp_path.iterdir()] == ["a.underfin"]


def test_a_write_the_system_cuts_short_is_said_and_keeps_the_old_job(tmp_path: Path) -> None:
    """A real limit of the operating system on the file size, not a simulated one."""
    code = (
        "import resource, signal, sys\nfrom pathlib import Path\nfrom core.refusal import Refusal\n"
        "from core.write_whole import write_whole\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\nresource.setrlimit(resource.RLIMIT_FSIZE, (5000, 5000))\n"
        "try:\n    write_whole(Path(sys.argv[1]), b'n' * 100000)\nexcept Refusal as refusal:\n    print(refusal)\n"
    )
    (tmp_path / "a.underfin").write_bytes(b"old")
    done = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path / "a.underfin")], capture_output=True, text=True, check=True
    )
    assert "Could not write" in done.stdout
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == [("a.underfin", b"old")]


@pytest.mark.parametrize("step", ["open", "write", "fsync", "read", "replace", "after"])
def test_a_kill_at_any_step_leaves_the_old_or_the_new_job_whole(tmp_path: Path, step: str) -> None:
    """The process kills itself with SIGKILL inside the save; one temporary file at most may stay."""
    code = (
        "import os, signal, sys\nfrom pathlib import Path\nfrom core import write_whole as w\n"
        "def die(*a, **k):\n    os.kill(os.getpid(), signal.SIGKILL)\n"
        "step, file = sys.argv[1], Path(sys.argv[2])\n"
        "if step == 'open': w.open = die\n"
        "def half(p, m):\n    f = open(p, m); f.write(b'ne'); f.flush(); die()\n"
        "if step == 'write': w.open = half\n"
        "if step == 'fsync': w.os.fsync = die\n"
        "if step == 'read': Path.read_bytes = die\n"
        "if step == 'replace': w.os.replace = die\n"
        "if step == 'after': w.flush_folder = die\n"
        "w.write_whole(file, b'new')\n"
    )
    (tmp_path / "a.underfin").write_bytes(b"old")
    done = subprocess.run([sys.executable, "-c", code, step, str(tmp_path / "a.underfin")], check=False)
    assert done.returncode == -9
    assert (tmp_path / "a.underfin").read_bytes() == (b"new" if step == "after" else b"old")
    assert len(list(tmp_path.iterdir())) <= 2
    write_whole_module.write_whole(tmp_path / "a.underfin", b"newer")
    assert [path.name for path in tmp_path.iterdir()] == ["a.underfin"]


def test_a_save_through_a_link_changes_the_file_and_keeps_the_link(tmp_path: Path) -> None:
    (tmp_path / "real.underfin").write_bytes(b"old")
    (tmp_path / "link.underfin").symlink_to(tmp_path / "real.underfin")
    write_whole_module.write_whole(tmp_path / "link.underfin", b"new")
    assert (tmp_path / "link.underfin").is_symlink()
    assert (tmp_path / "real.underfin").read_bytes() == b"new"
