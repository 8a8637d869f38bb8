"""The command line inside a test, and two of the sample parts."""

import signal
from collections.abc import Callable, Iterator

import pytest

from app.cli import main
from core.part.load_part import load_part
from core.part.part import Part
from tests.trial_scan.invented import BRACKET, SHROUD

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture(scope="session")
def bracket() -> Part:
    return load_part(BRACKET)


@pytest.fixture(scope="session")
def shroud() -> Part:
    return load_part(SHROUD)


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Iterator[Run]:
    """run("scan", …) gives (exit code, stdout, stderr)."""
    before = signal.getsignal(signal.SIGINT)

    def run_it(*arguments: object) -> tuple[int, str, str]:
        capsys.readouterr()
        code = main([str(argument) for argument in arguments])
        out, err = capsys.readouterr()
        return code, out, err

    yield run_it
    signal.signal(signal.SIGINT, before)
