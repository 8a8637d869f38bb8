"""The sample parts' sinks, written and read back, keep every promise by python-fcl, manifold3d, VTK and trimesh."""

import json
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from core.part.downskin import find_patches
from core.part.load_part import load_part
from core.part.part import Part
from core.part.patch import Patch
from core.refusal import Refusal
from core.sink.build_sink import build_sink
from core.sink.sink import Sink
from core.sink.sink_choice import KINDS, SinkChoice
from tests.sink.promises import ROUNDING_MM, broken, measured
from tests.sink.solid_as_read import Solid, fcl_distance_mm, reread

FOLDER = Path(__file__).resolve().parents[2] / "sample_parts"
ANSWERS = json.loads((FOLDER / "known_answers.json").read_text(encoding="utf-8"))
SAMPLES = tuple(sorted(name[:-4] for name in ANSWERS if name.endswith(".stl")))
WITH_ROOM = tuple(name for name in SAMPLES if ANSWERS[f"{name}.stl"]["sink_possible"])
IN_MID_AIR = ("sensor-bracket",)
"""Parts with a patch that starts on powder; the others start at their own wall and get no edge sink."""
QUICKEST = "sensor-bracket"
GAP_MM = 0.3
LEAST_AREA_MM2 = 1.0


@cache
def sample(name: str) -> tuple[Part, tuple[Patch, ...]]:
    part = load_part(FOLDER / f"{name}.stl")
    return part, tuple(patch for patch in find_patches(part, 45.0, 0.04) if patch.area_mm2 >= LEAST_AREA_MM2)


@cache
def sinks_of(name: str, kind: str, gap_mm: float) -> tuple[tuple[Patch, tuple[Sink, ...]], ...]:
    """Patch by patch the sinks it gets; none where there is no room."""
    part, patches = sample(name)
    made = []
    for patch in patches:
        try:
            sinks = build_sink(
                part, patch.faces, SinkChoice(kind=kind), gap_mm, name="sink", patch_ids=(patch.id,), layer_mm=0.04
            )
        except Refusal:
            continue
        made.append((patch, sinks))
    return tuple(made)


def is_slow(name: str, kind: str) -> bool:
    """The largest part, and parts where nothing can stand, are tried with fins only in the quick suite."""
    return kind != "fins" and (name == "impeller-shroud" or name not in WITH_ROOM)


CASES = [
    pytest.param(name, kind, marks=pytest.mark.slow if is_slow(name, kind) else ())
    for name in SAMPLES
    for kind in KINDS
]


@pytest.mark.parametrize(("name", "kind"), CASES)
def test_the_written_sinks_of_a_sample_part_keep_the_gap_by_fcl(name: str, kind: str, tmp_path: Path) -> None:
    part, _ = sample(name)
    solid = Solid(vertices_mm=part.vertices_mm, triangles=part.triangles)
    made = sinks_of(name, kind, GAP_MM)
    assert made or name not in (IN_MID_AIR if kind == "edge" else WITH_ROOM)
    for _, sinks in made:
        for sink in sinks:
            distance = fcl_distance_mm(solid, reread(sink, tmp_path)[0])
            assert distance >= GAP_MM - ROUNDING_MM
            assert distance == pytest.approx(sink.min_clearance_mm, abs=1e-6)


@pytest.mark.parametrize("gap_mm", [GAP_MM, pytest.param(0.1, marks=pytest.mark.slow)])
@pytest.mark.parametrize("kind", ["fins", *(pytest.param(kind, marks=pytest.mark.slow) for kind in KINDS[1:])])
@pytest.mark.parametrize("name", WITH_ROOM)
def test_the_written_sinks_of_a_sample_part_keep_every_promise(
    name: str, kind: str, gap_mm: float, tmp_path: Path
) -> None:
    part, _ = sample(name)
    solid = Solid(vertices_mm=part.vertices_mm, triangles=part.triangles)
    for patch, sinks in sinks_of(name, kind, gap_mm):
        found = [measured(solid, patch.faces, sink, gap_mm, tmp_path) for sink in sinks]
        said = broken(sinks, found, gap_mm)
        assert not said, "\n".join([f"patch {patch.id}", *said])


@pytest.mark.parametrize(
    "name", [name if name == QUICKEST else pytest.param(name, marks=pytest.mark.slow) for name in WITH_ROOM]
)
def test_two_builds_of_a_sample_part_are_the_same_to_the_last_bit(name: str) -> None:
    part, _ = sample(name)
    first_patch, sinks = sinks_of(name, "fins", GAP_MM)[0]
    again = build_sink(
        part, first_patch.faces, SinkChoice(kind="fins"), GAP_MM,
        name="sink", patch_ids=(first_patch.id,), layer_mm=0.04,
    )  # fmt: skip
    assert len(again) == len(sinks)
    for first, second in zip(sinks, again, strict=True):
        assert np.array_equal(first.vertices_mm, second.vertices_mm)
        assert np.array_equal(first.triangles, second.triangles)
