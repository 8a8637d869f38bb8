"""The gap numbers of each patch in result.json, by hand on two boxes with a slot between them."""

import json
import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from core.export.result import JobResult
from core.export.result_json import json_text, result_values

Make = Callable[..., JobResult]


def test_each_patch_tells_its_least_median_99_percent_and_widest_gap(make_result: Make, tmp_path: Path) -> None:
    """0.3 mm under a 20 mm ceiling but for a slot of 0.5 mm: in it the way is sqrt(0.3² + x²), x from its edge.

    The slot is 2.5 % of the area, so the widest 1 % is the 0.2 mm in its middle, from x = 0.15 mm on.
    """
    told = json.loads(json_text(result_values(make_result(), (), tmp_path)))["gaps"]
    assert [gap["patch"] for gap in told] == [1]
    assert told[0]["min_mm"] == pytest.approx(0.3, abs=1e-6) and told[0]["p50_mm"] == pytest.approx(0.3, abs=1e-6)
    assert told[0]["p99_mm"] == pytest.approx(math.hypot(0.3, 0.15), abs=0.01)
    assert told[0]["max_mm"] == pytest.approx(math.hypot(0.3, 0.25), abs=0.005)
    assert told[0]["covered_share"] == 1.0


def test_what_no_sink_covers_is_null_and_without_sinks_there_is_no_entry(make_result: Make, tmp_path: Path) -> None:
    result = make_result()
    low = tuple(replace(sink, vertices_mm=sink.vertices_mm * [1, 1, 0.5]) for sink in result.sinks)
    (gap,) = json.loads(json_text(result_values(make_result(sinks=low), (), tmp_path)))["gaps"]
    assert gap["p50_mm"] is None and gap["p99_mm"] is None and gap["max_mm"] is None and gap["covered_share"] == 0.0
    assert gap["min_mm"] == pytest.approx(10.0 - 4.85, abs=1e-6)
    assert json.loads(json_text(result_values(make_result(sinks=()), (), tmp_path)))["gaps"] == []
