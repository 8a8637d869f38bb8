"""Two of the sample parts."""

import pytest

from core.part.load_part import load_part
from core.part.part import Part
from tests.trial_scan.invented import BRACKET, SHROUD


@pytest.fixture(scope="session")
def bracket() -> Part:
    return load_part(BRACKET)


@pytest.fixture(scope="session")
def shroud() -> Part:
    return load_part(SHROUD)
