"""The sample parts against their known answers; the answers are formulas of plane and solid geometry.

Each formula stands with its derivation in the part's own module under sample_parts.
"""

import json
import subprocess
import sys
from functools import cache
from pathlib import Path
from typing import Any

import manifold3d
import numpy as np
import pytest

from core.part.downskin import find_patches
from core.part.load_part import load_part
from core.part.part import Part

FOLDER = Path(__file__).resolve().parents[2] / "sample_parts"
ANSWERS: dict[str, dict[str, Any]] = json.loads((FOLDER / "known_answers.json").read_text(encoding="utf-8"))
MESHES = sorted(name for name in ANSWERS if not name.endswith(".step"))


@cache
def loaded(name: str) -> Part:
    return load_part(FOLDER / name)


@pytest.fixture(scope="module", params=sorted(ANSWERS))
def sample(request: pytest.FixtureRequest) -> tuple[Part, dict[str, Any]]:
    if request.param.endswith(".step"):
        pytest.importorskip("OCP", reason="STEP needs the extra `step`")
    return loaded(request.param), ANSWERS[request.param]


def test_a_sample_has_the_patches_worked_out_by_hand(sample: tuple[Part, dict[str, Any]]) -> None:
    part, answers = sample
    found = sorted(find_patches(part, 45.0, 0.04), key=lambda patch: -patch.area_mm2)
    wanted = sorted(answers["patches"], key=lambda patch: -patch["area_mm2"])
    assert len(found) == len(wanted)
    for patch, want in zip(found, wanted, strict=True):
        assert patch.area_mm2 == pytest.approx(want["area_mm2"], abs=want["area_allowed_mm2"])
        assert patch.lowest_angle_deg == pytest.approx(want["lowest_angle_deg"], abs=want["lowest_angle_allowed_deg"])


def test_a_sample_can_be_built_on_and_stands_on_the_plate(sample: tuple[Part, dict[str, Any]]) -> None:
    part, answers = sample
    assert part.health.watertight and part.health.buildable and part.health.bodies == 1
    assert part.low_mm[2] == pytest.approx(0.0, abs=1e-9)
    assert part.size_mm == pytest.approx(answers["size_mm"], abs=1e-4)


@pytest.mark.parametrize("name", MESHES)
def test_manifold3d_takes_a_sample_as_one_closed_solid_of_the_known_volume(name: str) -> None:
    part = loaded(name)
    mesh = manifold3d.Mesh64(np.ascontiguousarray(part.vertices_mm), part.triangles.astype(np.uint64))
    solid = manifold3d.Manifold(mesh)
    assert solid.status() == manifold3d.Error.NoError
    assert len(solid.decompose()) == 1
    assert solid.volume() == pytest.approx(ANSWERS[name]["volume_mm3"], rel=1e-7)


def test_the_bracket_as_triangles_is_near_its_volume_by_hand() -> None:
    """Rounds have 256 sides: less than (2 pi / 256)^2 / 6 = 1e-4 of the rounded pieces, themselves a part of all."""
    answers = ANSWERS["sensor-bracket.stl"]
    assert answers["volume_mm3"] == pytest.approx(answers["true_volume_mm3"], rel=1e-5)


def test_the_impeller_is_large_enough_for_timing() -> None:
    assert 190_000 <= ANSWERS["impeller-shroud.stl"]["triangles"] <= 200_000


@pytest.mark.slow
def test_making_the_samples_again_gives_the_same_bytes(tmp_path: Path) -> None:
    """With the library versions of requirements.lock; another manifold3d may cut triangles otherwise."""
    pytest.importorskip("OCP", reason="the STEP file needs the extra `step`")
    subprocess.run([sys.executable, str(FOLDER / "make_sample_parts.py"), str(tmp_path)], check=True, timeout=300)
    made = sorted(path.name for path in tmp_path.iterdir())
    assert made == sorted([*ANSWERS, "known_answers.json"])
    for name in made:
        assert (tmp_path / name).read_bytes() == (FOLDER / name).read_bytes(), name
