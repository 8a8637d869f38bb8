"""A sample of the corpus through `underfin-cli faces FILE --json` in a process: exit code 2 and one line, or a part."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.files.cases import LONGEST_SENTENCE, Case
from tests.files.test_corpus import OWN

ROOT = Path(__file__).resolve().parents[2]
REFUSED = [case for case in OWN if case.refused is not None]
LOADED = [case for case in OWN if case.refused is None and case.buildable]
SAMPLE = [*REFUSED[:: len(REFUSED) // 40], *LOADED[:: len(LOADED) // 10]]


def run(path: Path) -> subprocess.CompletedProcess[str]:
    """The command in a process of its own."""
    code = "import sys; from app.cli import main; sys.exit(main(sys.argv[1:]))"
    command = [sys.executable, "-c", code, "faces", str(path), "--json"]
    return subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=60, check=False)


@pytest.mark.parametrize(
    "case",
    [pytest.param(c, marks=[] if k % 17 == 0 else pytest.mark.slow) for k, c in enumerate(SAMPLE)],
    ids=lambda case: f"{case.kind}: {case.name}"[:70],
)
def test_the_command_line_refuses_in_one_line_or_lists_the_faces(case: Case, tmp_path: Path) -> None:
    path = tmp_path / case.file
    path.write_bytes(case.data)
    done = run(path)
    if case.refused is None:
        assert done.returncode == 0 and isinstance(json.loads(done.stdout), dict)
        return
    assert done.returncode == 2 and done.stdout == ""
    lines = done.stderr.splitlines()
    assert len(lines) == 1 and len(lines[0]) <= LONGEST_SENTENCE and case.refused in lines[0]
