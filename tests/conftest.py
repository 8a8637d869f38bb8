"""Run the command line inside a test: arguments in; exit code, stdout and stderr out."""

import signal
from collections.abc import Callable, Iterator

import pytest

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Iterator[Run]:
    """run("faces", path) gives (exit code, stdout, stderr)."""
    from app.cli import main  # not needed by most tests

    before = signal.getsignal(signal.SIGINT)

    def run_it(*arguments: object) -> tuple[int, str, str]:
        capsys.readouterr()
        code = main([str(argument) for argument in arguments])
        out, err = capsys.readouterr()
        return code, out, err

    yield run_it
    signal.signal(signal.SIGINT, before)
