"""Whatever was done to a job file, it opens as a job or is refused in one sentence that names it."""

import copy
import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from core.gap.gap_choice import GapChoice
from core.job import Job, Pick
from core.job_file import job_text, open_job
from core.refusal import Refusal
from core.sink.sink_choice import SinkChoice

JOB = Job(
    part_file="/parts/valve.stl",
    part_sha256="ab" * 32,
    picks=(Pick(runs=((0, 3), (7, 7)), gap=GapChoice(gap_mm=0.4), sink=SinkChoice(kind="block")), Pick(runs=((9, 9),))),
)
TEXT = job_text(JOB, Path("/parts"))
WHOLE = json.loads(TEXT)
JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda below: st.lists(below, max_size=4) | st.dictionaries(st.text(max_size=8), below, max_size=4),
    max_leaves=12,
)


def opened(folder: Path, data: bytes) -> Job | None:
    """The job, or None after one plain sentence; any other outcome fails the test."""
    file = folder / "damaged.underfin"
    file.write_bytes(data)
    try:
        return open_job(file)
    except Refusal as refusal:
        text = str(refusal)
        assert text.isprintable() and len(text) <= 400 and text.endswith((".", "?")), text
        return None


def places(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """The path of every value, groups and lists included, the whole first."""
    below = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [path, *(place for key, v in below for place in places(v, (*path, key)))]


PLACES = places(WHOLE)


def put(values: Any, place: tuple[Any, ...], new: Any) -> Any:
    """The document with another value in one place."""
    if not place:
        return new
    held = copy.deepcopy(values)
    at = held
    for key in place[:-1]:
        at = at[key]
    at[place[-1]] = new
    return held


def test_cut_short_at_every_byte_it_is_refused(tmp_path: Path) -> None:
    data = TEXT.encode()
    whole = opened(tmp_path, data)
    assert whole is not None and opened(tmp_path, data[:-1]) == whole  # the last byte is the end of the line
    assert [end for end in range(len(data) - 1) if opened(tmp_path, data[:end]) is not None] == []


@settings(max_examples=400, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@example(place=("powder", "gas"), new="\x1f")
@given(place=st.sampled_from(PLACES), new=JSON)
def test_any_json_in_any_place_is_a_job_or_a_sentence(tmp_path: Path, place: tuple[Any, ...], new: Any) -> None:
    job = opened(tmp_path, json.dumps(put(WHOLE, place, new)).encode())
    if job is not None:  # what it opens as is saved and opened again as the same
        assert opened(tmp_path, job_text(job, tmp_path).encode()) == job


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(one=st.sampled_from(PLACES[1:]), other=st.sampled_from(PLACES[1:]))
def test_two_values_swapped_are_a_job_or_a_sentence(
    tmp_path: Path, one: tuple[Any, ...], other: tuple[Any, ...]
) -> None:
    def at(place: tuple[Any, ...]) -> Any:
        value: Any = WHOLE
        for key in place:
            value = value[key]
        return value

    if one[: len(other)] == other or other[: len(one)] == one:
        return  # one lies in the other
    opened(tmp_path, json.dumps(put(put(WHOLE, one, at(other)), other, at(one))).encode())


@pytest.mark.parametrize("place", [p for p in PLACES if isinstance(put(WHOLE, p, 0), dict | int)], ids=str)
def test_an_unknown_key_in_any_group_is_refused(tmp_path: Path, place: tuple[Any, ...]) -> None:
    group: Any = WHOLE
    for key in place:
        group = group[key]
    if isinstance(group, dict):
        assert opened(tmp_path, json.dumps(put(WHOLE, place, group | {"unheard_of": 1})).encode()) is None


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.binary(max_size=300) | st.text(max_size=300).map(lambda text: text.encode("utf-8", "surrogatepass")))
def test_bytes_of_any_kind_are_refused(tmp_path: Path, data: bytes) -> None:
    assert opened(tmp_path, data) is None


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(at=st.integers(0, len(TEXT)), n=st.integers(0, 40), new=st.binary(max_size=20))
def test_a_piece_taken_out_or_put_in_is_a_job_or_a_sentence(tmp_path: Path, at: int, n: int, new: bytes) -> None:
    data = TEXT.encode()
    opened(tmp_path, data[:at] + new + data[at + n :])
