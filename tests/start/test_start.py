"""Starting the window, and what the installed program carries with it."""

import subprocess
import sys
import tomllib
from pathlib import Path

from app.start import why_not_to_start
from core.version import VERSION

ROOT = Path(__file__).resolve().parents[2]


def test_it_starts_with_its_own_core() -> None:
    assert why_not_to_start() is None


def test_a_foreign_core_on_the_path_is_refused_in_one_plain_line(tmp_path: Path) -> None:
    foreign = tmp_path / "core"
    foreign.mkdir()
    (foreign / "__init__.py").write_text("", encoding="utf-8")
    script = (
        f"import sys; sys.path[:0] = [{str(tmp_path)!r}, {str(ROOT)!r}]\n"
        "from app.start import main\nsys.exit(main([]))\n"
    )
    done = subprocess.run([sys.executable, "-I", "-c", script], capture_output=True, text=True, timeout=60, check=False)
    assert done.returncode == 2
    assert done.stdout == ""
    assert len(done.stderr.splitlines()) == 1
    assert str(foreign) in done.stderr and "Traceback" not in done.stderr


def test_the_version_is_the_same_everywhere() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert project["version"] == VERSION


def test_the_readme_gives_the_test_command_that_is_run_for_us() -> None:
    lines = [line.strip() for line in (ROOT / "README.md").read_text(encoding="utf-8").splitlines()]
    assert sum("python tests/run_tests.py" in line for line in lines) == 1
    assert sum("underfin-cli build sample_parts/" in line for line in lines) == 1


def test_the_lock_file_names_no_place_to_download_from() -> None:
    """Names, versions and hashes only: no index, no folder, no host (pip's requirements format)."""
    for line in (ROOT / "requirements.lock").read_text(encoding="utf-8").splitlines():
        assert line.startswith(("#", "    --hash=sha256:")) or "==" in line
        assert "://" not in line and "@" not in line
