"""The measurement itself: a sink that is spoilt on purpose must be found out."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from core.sink.build_sink import build_sink
from core.sink.sink import Sink
from core.sink.sink_choice import SinkChoice
from core.units import FloatArray
from tests.sink.promises import broken_promises
from tests.sink.simple_parts import low_faces, wedge
from tests.sink.solid_as_read import Solid

GAP_MM = 0.3


def moved(change: Callable[[FloatArray], FloatArray]) -> Callable[[Sink], Sink]:
    """Spoil a sink by changing its corners, rounded to float32 as a builder would."""
    return lambda sink: replace(sink, vertices_mm=change(sink.vertices_mm).astype(np.float32).astype(np.float64))


def top_raised(mm: float) -> Callable[[Sink], Sink]:
    return moved(lambda v: v + np.array([0.0, 0.0, mm]) * (v[:, 2:] > 1.0))


SPOILT: dict[str, tuple[Callable[[Sink], Sink], str]] = {
    "a top 4 µm too high": (top_raised(0.004), "from the part"),
    "a top 20 µm too low": (top_raised(-0.020), "gap error"),
    "lifted off the plate": (moved(lambda v: v + [0.0, 0.0, -1e-3] * (v[:, 2:] == 0.0)), "lowest point"),
    "inside out": (lambda sink: replace(sink, triangles=sink.triangles[:, ::-1].copy()), "inside out"),
    "a triangle missing": (lambda sink: replace(sink, triangles=sink.triangles[1:]), "not watertight"),
    "overstated cover": (lambda sink: replace(sink, covered_area_mm2=1.1 * sink.covered_area_mm2), "covers"),
    "overstated clearance": (lambda sink: replace(sink, min_clearance_mm=0.31), "says 0.31"),
    "moved into the part": (moved(lambda v: v + [-3.0, 0.0, 0.0]), "from the part"),
    "two pieces": (
        lambda sink: replace(
            sink,
            vertices_mm=np.concatenate([sink.vertices_mm, sink.vertices_mm + [0.0, 400.0, 0.0]]),
            triangles=np.concatenate([sink.triangles, sink.triangles + len(sink.vertices_mm)]),
        ),
        "2 pieces",
    ),
    "a foot that hangs over": (moved(lambda v: np.where(v[:, 2:] == 0.0, v * [1.0, 0.3, 1.0], v)), "hang"),
}


@pytest.mark.parametrize("what", ["as built", *SPOILT])
def test_a_spoilt_sink_is_found_out_and_a_sound_one_is_not(what: str, tmp_path: Path) -> None:
    part = wedge(20.0)
    faces = low_faces(part)
    (sink,) = build_sink(part, faces, SinkChoice(kind="block"), GAP_MM, name="sink")
    solid = Solid(vertices_mm=part.vertices_mm, triangles=part.triangles)
    if what == "as built":
        assert broken_promises(solid, faces, [sink], GAP_MM, tmp_path) == []
        return
    spoil, word = SPOILT[what]
    said = broken_promises(solid, faces, [spoil(sink)], GAP_MM, tmp_path)
    assert any(word in text for text in said), said
