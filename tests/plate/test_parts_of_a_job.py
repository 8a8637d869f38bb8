"""A job of several parts: kept, opened again, and changed while picks stay on their faces and parts in their place."""

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from core.gap.gap_choice import GapChoice
from core.job import Job, faces_of, pick_of
from core.job_file import job_hash, new_job, open_job, save_job
from core.job_parts import (
    new_more,
    part_centre_mm,
    with_part_doubled,
    with_part_freed,
    with_part_moved,
    with_part_turned,
    without_part,
)
from core.part.load_part import load_part
from core.part.more_parts import MorePart, single_parts
from core.part.part import Part
from core.part.place_on_plate import Plate, Pose
from core.refusal import Refusal
from core.run_job import load_placed_part

OLD_JOBS = Path(__file__).resolve().parents[1] / "job" / "old_jobs"


@pytest.fixture
def job(shelf_file: Path, post_file: Path) -> Job:
    """Post, shelf and post; the shelf's two ceiling faces are picked, and one side of each post."""
    posts = new_job(post_file)
    whole = replace(
        posts,
        more_parts=(
            replace(new_more(shelf_file), shift_mm=(20.0, 0.0)),
            replace(new_more(post_file, pose=Pose(rotate_deg=(0.0, 0.0, 90.0))), shift_mm=(0.0, 60.0)),
        ),
    )
    part = load_placed_part(whole)
    ceiling = np.flatnonzero((part.normals[:, 2] < -0.9) & (part.corners_mm[:, :, 2].min(axis=1) > 30))
    picks = (pick_of(np.array([2])), replace(pick_of(ceiling), gap=GapChoice(gap_mm=0.45)), pick_of(np.array([38])))
    return replace(whole, picks=picks)


def picked_corners_mm(job: Job, part: Part, pick: int) -> np.ndarray:
    return part.corners_mm[faces_of(job.picks[pick])]


def on_plate_mm(job: Job) -> list[tuple[float, float]]:
    part = load_placed_part(job)
    return [part_centre_mm(part, number, job.plate) for number in range(len(part.bodies) or 1)]


def test_a_job_with_several_parts_opens_as_saved_and_moves_with_its_folder(job: Job, tmp_path: Path) -> None:
    save_job(job, tmp_path / "a.underfin")
    assert open_job(tmp_path / "a.underfin") == job
    kept = json.loads((tmp_path / "a.underfin").read_text())["more_parts"]
    assert [more["part_file"] for more in kept] == ["shelf.stl", "post.stl"]
    elsewhere = replace(
        job, more_parts=tuple(replace(m, part_file=f"/x/{Path(m.part_file).name}") for m in job.more_parts)
    )
    nearer = replace(job, more_parts=(replace(job.more_parts[0], shift_mm=(19.0, 0.0)), job.more_parts[1]))
    assert job_hash(elsewhere) == job_hash(job) != job_hash(nearer)


def test_a_job_of_schema_6_opens_with_its_parts() -> None:
    """Written when schema 6 was new."""
    (lid,) = open_job(OLD_JOBS / "schema-6.underfin").more_parts
    assert (Path(lid.part_file).name, lid.units, lid.shift_mm) == ("lid.stl", "in", (64.5, -12.0))
    assert lid.pose == Pose(rotate_deg=(0.0, 90.0, 30.0), drop=True) and lid.part_sha256 == "cd" * 32


@pytest.mark.parametrize(
    ("key", "value"),
    [("shift_mm", [1.0]), ("shift_mm", [1e9, 0]), ("part_file", 3), ("part_file", ""), ("units", "furlong"),
     ("part_sha256", "no"), ("pose", None)],
)  # fmt: skip
def test_a_damaged_part_of_a_job_is_refused(job: Job, tmp_path: Path, key: str, value: object) -> None:
    save_job(job, tmp_path / "a.underfin")
    values = json.loads((tmp_path / "a.underfin").read_text())
    values["more_parts"][0][key] = value
    (tmp_path / "a.underfin").write_text(json.dumps(values))
    with pytest.raises(Refusal) as refusal:
        open_job(tmp_path / "a.underfin")
    assert "a.underfin" in str(refusal.value) and len(str(refusal.value)) < 400


def test_a_part_that_changed_since_is_used_with_a_warning(job: Job, post_file: Path, shelf_file: Path) -> None:
    assert not load_placed_part(job).warnings
    shelf_file.write_bytes(b"changed".ljust(80) + shelf_file.read_bytes()[80:])
    (warning,) = load_placed_part(job).warnings
    assert warning.startswith("shelf: the file changed")


def test_without_a_part_its_picks_go_and_the_others_stay_on_their_faces(job: Job) -> None:
    part = load_placed_part(job)
    less = without_part(job, part, 1)
    now = load_placed_part(less)
    assert len(less.picks) == 2 and now.n_faces == part.n_faces - 24
    assert np.array_equal(picked_corners_mm(less, now, 0), picked_corners_mm(job, part, 0))
    assert np.array_equal(picked_corners_mm(less, now, 1), picked_corners_mm(job, part, 2))
    assert on_plate_mm(less) == [on_plate_mm(job)[k] for k in (0, 2)]


@pytest.mark.parametrize("origin", ["centre", "corner"])
def test_without_the_first_part_the_second_takes_its_place_and_nothing_moves_on_the_plate(
    job: Job, origin: str
) -> None:
    job = replace(job, plate=Plate(origin=origin))
    part = load_placed_part(job)
    less = without_part(job, part, 0)
    assert Path(less.part_file).name == "shelf.stl" and less.picks[0].gap == GapChoice(gap_mm=0.45)
    assert np.allclose(on_plate_mm(less), on_plate_mm(job)[1:], atol=1e-6)
    now = load_placed_part(less)
    moved = picked_corners_mm(job, part, 1) - picked_corners_mm(less, now, 0)
    assert np.allclose(moved, [20.0, 0.0, 0.0])  # x and y of the file are its own again
    with pytest.raises(Refusal, match="only part"):
        without_part(without_part(less, now, 1), now, 0)


@pytest.mark.parametrize("number", [0, 1, 2])
def test_a_part_moves_and_turns_on_the_plate_without_the_others(job: Job, number: int) -> None:
    was = on_plate_mm(job)
    moved = on_plate_mm(with_part_moved(job, number, 7.0, -3.0))
    others = [k for k in range(3) if k != number]
    assert np.allclose([moved[k] for k in others], [was[k] for k in others], atol=1e-5)
    assert np.allclose(np.subtract(moved[number], was[number]), [7.0, -3.0], atol=1e-5)
    part = load_placed_part(job)
    raw = load_part(job.more_parts[number - 1].part_file if number else job.part_file)
    about_z = with_part_turned(job, part, number, raw, Pose(rotate_deg=(0.0, 0.0, 33.0)))
    assert np.allclose(on_plate_mm(about_z), was, atol=1e-5) and about_z.picks == job.picks
    over = with_part_turned(job, part, number, raw, Pose(rotate_deg=(180.0, 0.0, 0.0), drop=True))
    assert np.allclose(on_plate_mm(over), was, atol=1e-5)
    assert over.picks == tuple(pick for k, pick in enumerate(job.picks) if k != number)
    assert single_parts(load_placed_part(over))[number].low_mm[2] == pytest.approx(0.0, abs=1e-9)


def test_a_part_is_doubled_with_its_picks_and_what_they_have_of_their_own(job: Job) -> None:
    part = load_placed_part(job)
    more = with_part_doubled(job, part, 1, load_part(job.more_parts[0].part_file))
    now = load_placed_part(more)
    assert [body.name for body in now.bodies] == ["post", "shelf", "post (2)", "shelf (2)"]
    assert len(more.picks) == 4 and more.picks[3].gap == GapChoice(gap_mm=0.45)
    move = picked_corners_mm(more, now, 3) - picked_corners_mm(job, part, 1)
    assert np.ptp(move.reshape(-1, 3), axis=0) == pytest.approx([0, 0, 0], abs=1e-9) and abs(move[0, 0, 2]) < 1e-9


def test_the_first_part_can_go_to_a_free_place_too(job: Job, shelf_file: Path) -> None:
    close = replace(job, more_parts=(replace(job.more_parts[0], shift_mm=(1.0, 0.0)),))
    close = replace(close, picks=())
    free = with_part_freed(close, load_placed_part(close), 0)
    was, now = on_plate_mm(close), on_plate_mm(free)
    assert np.allclose(now[1], was[1], atol=1e-5)
    first, second = single_parts(load_placed_part(free))
    gap = np.maximum(first.low_mm - second.high_mm, second.low_mm - first.high_mm)[:2].max()
    assert gap == pytest.approx(5.0, abs=1e-5)


def test_a_part_needs_a_file() -> None:
    with pytest.raises(Refusal):
        MorePart(part_file="")
