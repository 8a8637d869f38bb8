"""A job file opens as the same job or is refused in one sentence; older files open too."""

import copy
import hashlib
import json
import math
import resource
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.heat.melt_zone import ZoneChoice
from core.job import Job, Pick, faces_of, pick_of, with_alloy
from core.job_file import file_sha256, job_hash, job_text, new_job, open_job, save_job
from core.part.place_on_plate import Plate, Pose
from core.refusal import Refusal

OLD_JOBS = Path(__file__).parent / "old_jobs"
JOB = Job(
    part_file="/parts/valve.stl",
    part_sha256="ab" * 32,
    units="in",
    pose=Pose(rotate_deg=(90.0, 0.0, -45.0), drop=True),
    plate=Plate(part_at_mm=(10.0, -3.5)),
    picks=(
        replace(
            pick_of(np.array([0, 1, 2, 7])),
            zone=ZoneChoice(layers=6, power_w=150.0, speed_mm_s=700.0, hatch_mm=0.09, spot_mm=0.09, passes=3),
        ),
        pick_of(np.array([9])),
    ),
    zone=ZoneChoice(layers=3, power_w=200.0, speed_mm_s=900.0, hatch_mm=0.1, spot_mm=0.08, passes=2),
)


@given(st.sets(st.integers(0, 300), min_size=1))
def test_a_pick_gives_back_exactly_its_faces(faces: set[int]) -> None:
    pick = pick_of(np.array(list(faces)))
    assert faces_of(pick).tolist() == sorted(faces)
    assert faces_of(pick).dtype == np.int32
    assert pick.n_faces == len(faces) and pick.last_face == max(faces)


@pytest.mark.parametrize(
    "runs", [(), ((3, 2),), ((-1, 2),), ((0, 3), (3, 5)), ((0, 3), (4, 5)), ((5, 6), (0, 1)), ((0, 2**31),)]
)
def test_a_pick_out_of_order_or_range_is_refused(runs: tuple[tuple[int, int], ...]) -> None:
    with pytest.raises(Refusal):
        Pick(runs=runs)


def test_a_saved_job_opens_as_the_same_job(tmp_path: Path) -> None:
    job = replace(JOB, part_file=str(tmp_path / "parts" / "valve.stl"))
    save_job(job, tmp_path / "a.underfin")
    assert open_job(tmp_path / "a.underfin") == job


@pytest.mark.parametrize("name", ["schema-1", "schema-1-with-feet"])
def test_a_job_saved_by_an_older_program_opens_with_what_it_says_and_defaults_for_the_rest(name: str) -> None:
    """Both files were written by earlier versions: one before sinks had feet, both before the plate had a blade."""
    job = open_job(OLD_JOBS / f"{name}.underfin")
    assert (job.alloy, job.units, job.gap.gap_mm, job.sink.kind, job.sink.fin_pitch_mm) == (
        "AlSi10Mg", "in", 0.42, "plate", 5.0,
    )  # fmt: skip
    assert (job.plate.size_mm, job.plate.border_mm, job.plate.part_at_mm) == ((280.0, 280.0), 5.0, (10.0, -3.5))
    assert job.pose == Pose(rotate_deg=(90.0, 0.0, -45.0), drop=True) and job.max_angle_deg == 40.0
    assert job.picks == (Pick(runs=((0, 2), (7, 7))), Pick(runs=((9, 9),)))
    assert (job.plate.blade_deg, job.sink.foot_mm, job.sink.edge_width_mm) == (90.0, 0.0, 2.0)
    assert job.schema == Job().schema


def test_a_job_of_schema_2_opens_with_the_distance_of_sinks_at_its_default() -> None:
    """Written before the distance between sinks could be set."""
    job = open_job(OLD_JOBS / "schema-2.underfin")
    assert (job.alloy, job.gap.gap_mm, job.sink.neck_mm, job.sink.drain_pitch_mm) == ("Ti-6Al-4V", 0.42, 0.8, 6.0)
    assert job.plate.apart_mm == 0.2 and job.schema == Job().schema


def test_a_job_of_schema_3_opens_with_gap_and_sink_of_a_pick() -> None:
    """Written when schema 3 was new: a key added or renamed since needs a new schema and a way up to it."""
    job = open_job(OLD_JOBS / "schema-3.underfin")
    assert (job.alloy, job.units, job.max_angle_deg, job.plate.apart_mm) == ("IN718", "in", 40.0, 0.35)
    first, second = job.picks
    assert first.gap is not None and (first.gap.gap_mm, first.sink) == (0.42, None)
    assert second.sink is not None and (second.gap, second.sink.kind) == (None, "plate")


def test_a_job_of_schema_4_opens_with_the_settings_of_its_zones() -> None:
    """Written when schema 4 was new."""
    job = open_job(OLD_JOBS / "schema-4.underfin")
    assert (job.alloy, job.zone.layers, job.zone.power_w, job.zone.passes) == ("AlSi10Mg", 6, 180.0, 2)
    assert job.zone.speed_mm_s is None and job.picks[0].n_faces == 3


def test_a_job_of_schema_5_opens_with_a_zone_for_each_pick() -> None:
    """Written when schema 5 was new: a zone of its own, the job's, and none at all."""
    job = open_job(OLD_JOBS / "schema-5.underfin")
    zones = [job.for_pick(pick).zone for pick in job.picks]
    assert [(zone.layers, zone.power_w) for zone in zones] == [(8, 150.0), (6, 180.0), (0, None)]
    assert job.for_pick(job.picks[0]).downskin_laser.hatch_mm == 0.08
    assert [job.for_pick(pick).gap.gap_mm for pick in job.picks] == [0.3, 0.3, 0.42]
    assert [pick.has_own for pick in job.picks] == [False, False, True]


def test_an_old_job_is_saved_as_a_new_one(tmp_path: Path) -> None:
    job = open_job(OLD_JOBS / "schema-1.underfin")
    save_job(job, tmp_path / "a.underfin")
    assert open_job(tmp_path / "a.underfin") == job
    assert json.loads((tmp_path / "a.underfin").read_text())["plate"]["blade_deg"] == 90.0


def test_only_keys_added_later_may_be_missing_and_only_in_old_files(tmp_path: Path) -> None:
    old = json.loads((OLD_JOBS / "schema-1.underfin").read_text())
    for group, key in (("plate", "border_mm"), ("sink", "roof_deg"), ("gap", "gap_mm")):
        less = copy.deepcopy(old)
        del less[group][key]
        assert f"'{group}.{key}' is missing" in refused(tmp_path, json.dumps(less))
    assert "'plate.blade_deg' is missing" in refused(tmp_path, json.dumps(old | {"schema": 2}))


def test_a_job_moved_together_with_its_part_still_finds_it(tmp_path: Path) -> None:
    (tmp_path / "here" / "parts").mkdir(parents=True)
    (tmp_path / "here" / "parts" / "valve.stl").write_bytes(b"solid")
    save_job(new_job(tmp_path / "here" / "parts" / "valve.stl"), tmp_path / "here" / "a.underfin")
    (tmp_path / "here").rename(tmp_path / "there")
    job = open_job(tmp_path / "there" / "a.underfin")
    assert Path(job.part_file) == tmp_path / "there" / "parts" / "valve.stl"
    assert job.part_sha256 == hashlib.sha256(b"solid").hexdigest() == file_sha256(Path(job.part_file))


def test_the_job_hash_knows_every_setting_but_not_the_folder() -> None:
    assert job_hash(JOB) == job_hash(replace(JOB, part_file="/elsewhere/valve.stl"))
    others = [
        replace(JOB, part_sha256="cd" * 32),
        replace(JOB, max_angle_deg=44.0),
        replace(JOB, picks=JOB.picks[:1]),
        replace(JOB, picks=(replace(JOB.picks[0], zone=ZoneChoice(layers=7)), JOB.picks[1])),
        with_alloy(JOB, "AlSi10Mg"),
        replace(JOB, units=None),
    ]
    assert len({job_hash(job) for job in [JOB, *others]}) == 7


def test_another_alloy_brings_its_own_absorptivity() -> None:
    assert with_alloy(Job(), "alsi10mg").alloy == "AlSi10Mg"
    assert with_alloy(Job(), "AlSi10Mg").laser.absorptivity != with_alloy(Job(), "316L").laser.absorptivity


def leaves(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """The path of every value in a JSON document, groups and lists included."""
    below = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [*([path] if path else []), *(p for key, v in below for p in leaves(v, (*path, key)))]


def with_value(values: Any, path: tuple[Any, ...], new: Any) -> Any:
    changed = copy.deepcopy(values)
    place = changed
    for key in path[:-1]:
        place = place[key]
    place[path[-1]] = new
    return changed


def refused(folder: Path, text: str | bytes) -> str:
    """The sentence that refuses a job file of this content."""
    file = folder / "bad.underfin"
    file.write_bytes(text if isinstance(text, bytes) else text.encode())
    with pytest.raises(Refusal) as refusal:
        open_job(file)
    sentence = str(refusal.value)
    assert "\n" not in sentence and len(sentence) <= 400 and "bad.underfin" in sentence
    return sentence


WHOLE = json.loads(job_text(JOB, Path("/parts")))


def may_stand(key: Any, was: Any, new: Any) -> bool:
    """True where the new value has a type the job's description allows there."""
    if new is None:
        return key in ("units", "part_at_mm", "conductivity_w_mk", "direction_deg", "own_alloy", "machine")
    if isinstance(new, list | dict) or (isinstance(new, float) and not math.isfinite(new)):
        return False
    if isinstance(new, int | float) and not isinstance(new, bool) and key in ("conductivity_w_mk", "direction_deg"):
        return True
    return type(new) is type(was) or (type(new) is int and isinstance(was, float))


@pytest.mark.parametrize("path", leaves(WHOLE), ids=lambda path: ".".join(map(str, path)))
def test_a_wrong_type_anywhere_is_refused_in_one_sentence(tmp_path: Path, path: tuple[Any, ...]) -> None:
    was = WHOLE
    for key in path:
        was = was[key]
    for new in ([[]], {"a": 1}, True, "word", float("nan"), 1e999, 12, 1.5, None):
        of_zone = new is None and "zone" in path[:-1] and path[-1] != "layers"  # null there takes the job's setting
        if not of_zone and not may_stand(path[-1], was, new):
            refused(tmp_path, json.dumps(with_value(WHOLE, path, new)))


@pytest.mark.parametrize("key", [key for key in WHOLE if key != "made_by"])
def test_a_missing_or_unknown_key_is_named(tmp_path: Path, key: str) -> None:
    without = {k: v for k, v in WHOLE.items() if k != key}
    assert key in refused(tmp_path, json.dumps(without)) or key == "schema"
    assert f"{key}x" in refused(tmp_path, json.dumps(WHOLE | {f"{key}x": 1}))


@pytest.mark.parametrize("word", ["NaN", "Infinity", "-Infinity", "1e999", "-1e999", "1" + "0" * 400, "1" * 5000])
def test_a_number_that_is_none_is_refused(tmp_path: Path, word: str) -> None:
    refused(tmp_path, json.dumps(WHOLE).replace('"max_angle_deg": 45.0', f'"max_angle_deg": {word}'))


def test_a_job_of_a_newer_program_is_refused_as_such(tmp_path: Path) -> None:
    assert "newer" in refused(tmp_path, json.dumps(WHOLE | {"schema": 99}))


@pytest.mark.parametrize(
    "text", ["", "null", "[]", "3", '"a"', "{", "{}", "\x00" * 50, "{'a': 1}", '{"schema": 1} x', "\ufeff{}"]
)
def test_what_is_no_job_is_refused(tmp_path: Path, text: str) -> None:
    refused(tmp_path, text)


def test_bytes_that_are_no_text_and_doubled_keys_are_refused(tmp_path: Path) -> None:
    refused(tmp_path, b'{"schema": 1, "made_by": "\xff\xfe"}')
    assert "twice" in refused(tmp_path, json.dumps(WHOLE)[:-1] + ', "alloy": "316L"}')


@pytest.mark.parametrize(
    "data",
    [
        b"[" * 100_000_000,
        b"{" * 60_000_000,
        b'{"a":' * 90_000,
        b'{"a":[' + b"1," * 30_000_000,
        b'{"picks":' + b"[" * 90_000,
    ],
    ids=["100 MB of brackets", "60 MB of braces", "nested groups", "endless list", "nested lists"],
)
def test_a_bomb_is_refused_quickly_and_in_little_memory(tmp_path: Path, data: bytes) -> None:
    """Figures to beat: at most 256 MiB and 3 s extra."""
    (tmp_path / "bad.underfin").write_bytes(data)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    start = time.perf_counter()
    with pytest.raises(Refusal):
        open_job(tmp_path / "bad.underfin")
    assert time.perf_counter() - start < 3.0
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 256 * 1024


def test_a_pick_of_two_billion_faces_costs_nothing_to_open(tmp_path: Path) -> None:
    text = json.dumps(WHOLE | {"picks": [{"faces": "0-2147483646"}]})
    (tmp_path / "a.underfin").write_text(text)
    assert open_job(tmp_path / "a.underfin").picks[0].last_face == 2**31 - 2


TEXT = job_text(JOB, Path("/parts")).encode()


@settings(max_examples=300, deadline=None)
@given(st.lists(st.tuples(st.integers(0, len(TEXT) - 1), st.integers(0, 255)), min_size=1, max_size=6))
def test_a_damaged_job_is_a_job_or_a_refusal_and_never_another_error(
    tmp_path_factory: pytest.TempPathFactory, changes: list[tuple[int, int]]
) -> None:
    data = bytearray(TEXT)
    for place, byte in changes:
        data[place] = byte
    file = tmp_path_factory.getbasetemp() / "damaged.underfin"
    file.write_bytes(bytes(data))
    try:
        job = open_job(file)
    except Refusal as refusal:
        assert "\n" not in str(refusal)
    else:
        assert math.isfinite(job.max_angle_deg)


def test_a_missing_folder_or_part_is_refused(tmp_path: Path) -> None:
    with pytest.raises(Refusal, match="no folder"):
        save_job(JOB, tmp_path / "none" / "a.underfin")
    with pytest.raises(Refusal, match="no file"):
        new_job(tmp_path / "none.stl")
    with pytest.raises(Refusal, match="folder"):
        new_job(tmp_path)
    with pytest.raises(Refusal, match="no job file"):
        open_job(tmp_path / "none.underfin")
