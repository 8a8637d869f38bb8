"""Parts on one plate get the sinks they get alone, keep clear of each other's, and are written one by one."""

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import fcl
import lib3mf
import numpy as np
import pytest
import trimesh

from core.export.result import JobResult
from core.export.write_stl import write_stl
from core.job import Job
from core.job_file import new_job
from core.job_parts import new_more
from core.part.downskin import find_patches
from core.part.more_parts import MorePart, single_parts
from core.part.part import Part
from core.refusal import Refusal
from core.run_job import load_placed_part, run_job
from core.sink.sink import Sink
from tests.conftest import Run
from tests.fcl_object import fcl_object
from tests.sink.simple_parts import shelf


def job_of(first: Path, *more: MorePart) -> Job:
    return replace(new_job(first), more_parts=more)


def built(job: Job) -> JobResult:
    return run_job(job, all_patches=True)


def fcl_distance_mm(first: Part | Sink, second: Part | Sink) -> float:
    """Exact least distance of two meshes by python-fcl, a library that knows nothing of ours."""
    return float(fcl.distance(*(fcl_object(solid.vertices_mm, solid.triangles) for solid in (first, second))))


@pytest.fixture
def two_shelves(shelf_file: Path) -> Job:
    """The second 60 mm further along x; 20 mm lie between them."""
    return job_of(shelf_file, replace(new_more(shelf_file), shift_mm=(60.0, 0.0)))


def test_two_equal_parts_have_twice_the_patches_and_each_the_sink_it_has_alone(
    two_shelves: Job, shelf_file: Path, tmp_path: Path
) -> None:
    """Alone is: in a file of its own, which has the part where it stands on the plate."""
    part = shelf()
    there = write_stl(tmp_path / "there.stl", part.vertices_mm + [60.0, 0.0, 0.0], part.triangles)
    alone, together = [built(job_of(file)) for file in (shelf_file, there)], built(two_shelves)
    assert ([len(one.patches) for one in alone], len(together.patches)) == ([1, 1], 2)
    for sink, one in zip(together.sinks, alone, strict=True):
        (single,) = one.sinks
        assert sink.volume_mm3 == pytest.approx(single.volume_mm3, rel=1e-9)
        assert np.array_equal(sink.vertices_mm, single.vertices_mm)
    # by hand: wall 10 × 30 × 40 mm and ledge 30 × 30 × 5 mm, twice
    assert together.part.volume_mm3 == pytest.approx(2 * (12_000 + 4_500), rel=1e-9)
    assert {f.check: f.level for f in together.findings}["parts apart"] == "ok"


def test_the_faces_of_a_part_keep_their_numbers_when_another_comes_after_it_or_moves(
    two_shelves: Job, shelf_file: Path
) -> None:
    alone, pair = load_placed_part(job_of(shelf_file)), load_placed_part(two_shelves)
    moved = load_placed_part(
        replace(two_shelves, more_parts=(replace(two_shelves.more_parts[0], shift_mm=(0.0, 50.0)),))
    )
    for whole in (pair, moved):
        assert np.array_equal(whole.corners_mm[: alone.n_faces], alone.corners_mm)
        faces = sorted(patch.faces.tolist() for patch in find_patches(whole, 45.0, 0.04))
        (own,) = (patch.faces.tolist() for patch in find_patches(alone, 45.0, 0.04))
        assert faces == [own, [face + alone.n_faces for face in own]]


def test_a_sink_keeps_its_gap_from_a_neighbour_that_stands_under_the_ledge(shelf_file: Path, post_file: Path) -> None:
    """The post, 4 mm wide, stands from x = 24 to 28 mm under the ledge; alone, the sink goes right through it."""
    (through,) = built(job_of(shelf_file)).sinks
    result = built(job_of(shelf_file, replace(new_more(post_file), shift_mm=(24.0, -5.0))))
    _, post = single_parts(result.part)
    assert fcl_distance_mm(through, post) <= 0.0
    assert result.sinks and not result.stopped
    for sink in result.sinks:
        distance_mm = fcl_distance_mm(sink, post)
        assert distance_mm >= 0.3 - 1e-9
        assert sink.min_clearance_mm == pytest.approx(
            min(distance_mm, fcl_distance_mm(sink, single_parts(result.part)[0])), abs=1e-9
        )


def objects_of(path: Path) -> dict[str, tuple[Any, np.ndarray]]:
    """Type and corners of each object by name, as lib3mf reads the file."""
    model = lib3mf.get_wrapper().CreateModel()
    model.QueryReader("3mf").ReadFromFile(str(path))
    objects, found = model.GetMeshObjects(), {}
    while objects.MoveNext():
        mesh = objects.GetCurrentMeshObject()
        points = np.array([vertex.Coordinates[:] for vertex in mesh.GetVertices()])
        found[mesh.GetName()] = mesh.GetType(), points
    return found


def test_the_command_line_writes_every_part_by_its_name_and_its_sinks_to_a_file_of_their_own(
    run: Run, shelf_file: Path, post_file: Path, tmp_path: Path
) -> None:
    out = tmp_path / "out"
    more = ("--also", f"{shelf_file}:100,0:0,0,180", "--also", f"{post_file}:20,60")
    code, text, _ = run("build", shelf_file, *more, "--out", out, "--json")
    values = json.loads(text)
    assert code == 0
    assert [(p["name"], p["first_face"], p["sinks"]) for p in values["parts"]] == [
        ("shelf", 0, ["sink-01"]), ("shelf (2)", 24, ["sink-02"]), ("post", 48, []),
    ]  # fmt: skip
    objects = objects_of(out / "build.3mf")
    assert list(objects) == ["shelf", "shelf (2)", "post", "sink-01", "sink-02"]
    model, support = lib3mf.ObjectType.Model, lib3mf.ObjectType.SolidSupport
    assert [int(kind) for kind, _ in objects.values()] == [int(model)] * 3 + [int(support)] * 2
    # by hand: 40 × 30 mm turned by half a turn about the origin reaches from -40 to 0 and -30 to 0, then moved by 100
    assert objects["shelf (2)"][1].min(axis=0) == pytest.approx([60, -30, 0], abs=1e-5)
    assert objects["shelf (2)"][1].max(axis=0) == pytest.approx([100, 0, 40], abs=1e-5)
    assert objects["post"][1].min(axis=0) == pytest.approx([20, 60, 0], abs=1e-5)
    for part, sink in (("shelf", "sink-01"), ("shelf (2)", "sink-02")):
        own = trimesh.load(out / f"sinks-{part}.stl", process=True)
        assert own.is_watertight
        assert np.array_equal(own.bounds, trimesh.load(out / f"{sink}.stl", process=True).bounds)
    assert not (out / "sinks-post.stl").exists()
    assert len(trimesh.load(out / "sinks.stl", process=True).split()) == 2

    code, text, _ = run("build", out / "job.underfin", "--out", tmp_path / "again", "--json")
    assert code == 0 and [s["volume_mm3"] for s in json.loads(text)["sinks"]] == [
        s["volume_mm3"] for s in values["sinks"]
    ]
    (out / "sinks-mine.stl").write_bytes(b"of somebody else")
    code, _, _ = run("build", shelf_file, "--out", out)
    assert code == 0 and sorted(p.name for p in out.glob("sinks*")) == ["sinks-mine.stl", "sinks.stl"]


def test_parts_that_share_volume_are_not_written_and_the_list_of_faces_knows_all(
    run: Run, shelf_file: Path, post_file: Path, tmp_path: Path
) -> None:
    code, text, _ = run("build", shelf_file, "--also", f"{post_file}:8,-5", "--out", tmp_path / "out", "--json")
    (found,) = [f for f in json.loads(text)["findings"] if f["check"] == "parts apart"]
    assert (code, found["level"]) == (3, "stop") and "share volume" in found["text"]
    x, y = found["changes"][0]["set"]["more_parts.0.shift_mm"]
    assert not (tmp_path / "out" / "build.3mf").exists()
    code, text, _ = run("build", shelf_file, "--also", f"{post_file}:{x},{y}", "--out", tmp_path / "out", "--json")
    assert code == 0 and (tmp_path / "out" / "build.3mf").exists()
    code, text, _ = run("faces", shelf_file, "--also", post_file, "--json")
    values = json.loads(text)
    assert code == 0 and [(p["name"], p["triangles"], p["patches"]) for p in values["parts"]] == [
        ("shelf", 24, [1]), ("post", 12, []),
    ]  # fmt: skip


def test_a_part_that_is_missing_or_finds_no_room_is_refused_in_one_sentence(
    run: Run, shelf_file: Path, tmp_path: Path
) -> None:
    code, _, error = run("faces", shelf_file, "--also", tmp_path / "gone.stl")
    assert code == 2 and "gone.stl" in error and error.count("\n") == 1
    small = ("--plate", "60,60,100", "--out", tmp_path / "out")
    code, _, error = run("build", shelf_file, "--also", shelf_file, *small)
    assert code == 2 and "no free place for 'shelf (2)'" in error and not (tmp_path / "out").exists()
    with pytest.raises(Refusal, match="two lengths in mm"):
        MorePart(part_file="a.stl", shift_mm=(float("nan"), 0.0))
