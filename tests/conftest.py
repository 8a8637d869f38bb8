"""Give every worker a screen and a library of its own, and run the command line inside a test."""

import os
import signal
from collections.abc import Callable, Iterator

import pytest

Run = Callable[..., tuple[int, str, str]]

if os.environ.get("TEST_SCREENS") and os.environ.get("PYTEST_XDIST_WORKER"):
    screens = os.environ["TEST_SCREENS"].split()
    os.environ["DISPLAY"] = screens[int(os.environ["PYTEST_XDIST_WORKER"].removeprefix("gw")) % len(screens)]


@pytest.fixture(scope="session", autouse=True)
def _empty_library(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Trials and alloys of whoever runs the tests are neither read nor touched."""
    os.environ["XDG_DATA_HOME"] = str(tmp_path_factory.mktemp("data"))


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
