"""The command line inside a test, the bracket, and invented images of it."""

import signal
from collections.abc import Callable, Iterator

import pytest
import trimesh

from app.cli import main
from core.part.load_part import load_part
from core.part.part import Part
from tests.trial_images.invented import BRACKET, Stack, camera, draw_stack

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture(scope="session")
def bracket() -> Part:
    return load_part(BRACKET)


@pytest.fixture(scope="session")
def stack(bracket: Part) -> Stack:
    """A turned, mirrored view of the bracket."""
    middle = (bracket.low_mm + bracket.high_mm)[:2] / 2
    seen_by = camera(31.0, 0.32, mirrored=True, middle_mm=middle)
    return draw_stack(trimesh.load(BRACKET), seen_by, 70)


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Iterator[Run]:
    """run("images", …) gives (exit code, stdout, stderr)."""
    before = signal.getsignal(signal.SIGINT)

    def run_it(*arguments: object) -> tuple[int, str, str]:
        capsys.readouterr()
        code = main([str(argument) for argument in arguments])
        out, err = capsys.readouterr()
        return code, out, err

    yield run_it
    signal.signal(signal.SIGINT, before)
