"""Two part files: a shelf with one flat ceiling, and a post."""

from pathlib import Path

import pytest

from core.export.write_stl import write_stl
from tests.sink.simple_parts import box, part_of, shelf


@pytest.fixture
def shelf_file(tmp_path: Path) -> Path:
    """A 30 × 30 mm ceiling at z = 35 mm, from x = 10 to 40 mm, beside a wall."""
    part = shelf()
    return write_stl(tmp_path / "shelf.stl", part.vertices_mm, part.triangles)


@pytest.fixture
def post_file(tmp_path: Path) -> Path:
    """4 × 40 mm in plan and 20 mm high, its low corner at the origin."""
    part = part_of(box(4, 40, 20))
    return write_stl(tmp_path / "post.stl", part.vertices_mm, part.triangles)
