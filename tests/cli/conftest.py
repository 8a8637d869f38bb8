"""The sample parts."""

from pathlib import Path

import pytest

SAMPLES = Path(__file__).parents[2] / "sample_parts"


@pytest.fixture
def samples() -> Path:
    return SAMPLES
