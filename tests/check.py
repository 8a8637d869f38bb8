"""Checks of the source itself: style, types, import directions, file lengths, names; exit code 0 when all is well."""

import subprocess
import sys
import sysconfig
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
SOURCES = ("app", "core", "tests", "sample_parts")
MOST_LINES = 300
TOP_LEVEL = {"README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", "requirements.lock", *SOURCES}
MADE_HERE = {"build", "dist", "out"}
"""What building and running leaves behind; git ignores these."""


def run_tool(*command: str) -> str:
    """What a tool says when it finds fault; empty when it finds none."""
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    return "" if done.returncode == 0 else (done.stdout + done.stderr).strip() or f"exit code {done.returncode}"


def ruff_finds_nothing() -> str:
    """Style, likely bugs and the security rules named in pyproject.toml."""
    return run_tool(sys.executable, "-m", "ruff", "check", ".")


def types_of_core_hold() -> str:
    """mypy --strict over core."""
    return run_tool(sys.executable, "-m", "mypy")


def imports_run_downwards() -> str:
    """The layers and the forbidden imports named in pyproject.toml."""
    name = "lint-imports.exe" if sys.platform == "win32" else "lint-imports"
    return run_tool(str(Path(sysconfig.get_path("scripts")) / name), "--no-cache")


def source_files() -> list[Path]:
    """Every Python file of the project."""
    return [path for folder in SOURCES for path in sorted((ROOT / folder).rglob("*.py"))]


def files_are_short_and_say_their_job() -> str:
    """At most 300 lines, and a docstring in the first line."""
    faults = []
    for path in source_files():
        lines = path.read_text(encoding="utf-8").splitlines()
        if len(lines) > MOST_LINES:
            faults.append(f"{path.relative_to(ROOT)} has {len(lines)} lines, at most {MOST_LINES}.")
        if lines and not lines[0].startswith(('"""', 'r"""', "#!")):
            faults.append(f"{path.relative_to(ROOT)} does not say its job in the first line.")
    return "\n".join(faults)


def top_level_holds_only_what_belongs() -> str:
    """Nothing but the agreed names and dot files beside them."""
    names = {path.name for path in ROOT.iterdir() if not path.name.endswith(".egg-info")}
    strangers = sorted(name for name in names - TOP_LEVEL - MADE_HERE if not name.startswith("."))
    return "" if not strangers else "Doesn't belong at the top level: " + ", ".join(strangers)


def tests_are_no_package() -> str:
    """An __init__.py under tests would shadow the packages app and core."""
    found = [str(path.relative_to(ROOT)) for path in (ROOT / "tests").rglob("__init__.py")]
    return "" if not found else "Remove " + ", ".join(found)


CHECKS: tuple[Callable[[], str], ...] = (
    ruff_finds_nothing,
    types_of_core_hold,
    imports_run_downwards,
    files_are_short_and_say_their_job,
    top_level_holds_only_what_belongs,
    tests_are_no_package,
)


def main() -> int:
    """Run every check, a line each; the faults follow their line."""
    green = True
    for check in CHECKS:
        start = time.perf_counter()
        fault = check()
        took = time.perf_counter() - start
        green = green and not fault
        print(f"{'FAULT' if fault else 'ok':5}  {check.__name__.replace('_', ' ')}  {took:.1f} s")
        if fault:
            print(fault)
    sys.stdout.flush()
    return 0 if green else 1


if __name__ == "__main__":
    sys.exit(main())
