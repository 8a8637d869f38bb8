"""The bracket, and invented images of it."""

import pytest
import trimesh

from core.part.load_part import load_part
from core.part.part import Part
from tests.trial_images.invented import BRACKET, Stack, camera, draw_stack


@pytest.fixture(scope="session")
def bracket() -> Part:
    return load_part(BRACKET)


@pytest.fixture(scope="session")
def stack(bracket: Part) -> Stack:
    """A turned, mirrored view of the bracket."""
    middle = (bracket.low_mm + bracket.high_mm)[:2] / 2
    seen_by = camera(31.0, 0.32, mirrored=True, middle_mm=middle)
    return draw_stack(trimesh.load(BRACKET), seen_by, 70)
