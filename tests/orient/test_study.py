"""The whole study: known best orientations, sealing faces kept off the downskin, refusals, and its files."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from core.job import Job, pick_of
from core.job_file import open_job, save_job
from core.part.downskin import downskin_angles_deg, find_patches
from core.part.place_on_plate import Plate, Pose, place_on_plate
from core.progress import Stopped
from core.refusal import Refusal
from core.run_orientations import study_orientations
from tests.orient.solids import box, gallows, ring, tee

QUICK = 100
SAMPLES = Path(__file__).resolve().parents[2] / "sample_parts"
OLD_JOBS = Path(__file__).resolve().parents[1] / "job" / "old_jobs"


def test_a_box_is_best_flat_on_its_largest_side() -> None:
    """No low-angle face, no sink, no rise, and no orientation is lower: one answer beats all."""
    study = study_orientations(Job(), box(30, 20, 10), directions=QUICK)
    assert len(study.front) == 1
    best = study.front[0]
    assert best.aims == (0.0, 0.0, pytest.approx(10.0), 0.0) and best.rest_mm2 == pytest.approx(600.0)
    assert study.now == replace(best, rotate_deg=(0.0, 0.0, 0.0))


def test_a_tee_is_best_upside_down_or_lying() -> None:
    """Upside down and on its flank no face needs a sink; its flank is lower: 10 mm, so that one beats all."""
    study = study_orientations(Job(), tee(), directions=QUICK)
    assert study.front[0].aims == (0.0, 0.0, pytest.approx(10.0), 0.0)
    assert study.now.low_angle_mm2 == pytest.approx(400.0) and study.now.patches == 2


def test_what_is_said_of_an_orientation_is_what_the_real_chain_finds_there() -> None:
    part, job = gallows(), Job(max_angle_deg=50.0)
    for one in study_orientations(job, part, directions=QUICK).front:
        placed = place_on_plate(part, one.pose)
        patches = find_patches(placed, 50.0, job.laser.layer_mm)
        assert (one.patches, one.height_mm) == (len(patches), pytest.approx(placed.size_mm[2]))
        assert one.low_angle_mm2 == pytest.approx(sum(patch.area_mm2 for patch in patches))


def test_no_answer_beats_another_and_none_is_beaten_by_what_was_tried() -> None:
    study = study_orientations(Job(), gallows(), directions=QUICK)
    aims = np.array([one.aims for one in study.front])
    for k, one in enumerate(aims):
        better = (aims <= one + 1e-9).all(axis=1) & (aims < one - 1e-9).any(axis=1)
        assert not better.any(), f"answer {k} is beaten"
    assert study.tried_count >= QUICK


def test_a_turned_part_has_the_same_answers() -> None:
    """The study looks at the part of the file: how it stands now changes nothing but the row for now."""
    pose = Pose(rotate_deg=(30.0, -20.0, 70.0), drop=True)
    plain = study_orientations(Job(), gallows(), directions=QUICK)
    turned = study_orientations(Job(pose=pose), place_on_plate(gallows(), pose), directions=QUICK)
    assert [one.rotate_deg for one in turned.front] == [one.rotate_deg for one in plain.front]
    assert turned.now.low_angle_mm2 != pytest.approx(plain.now.low_angle_mm2)


@pytest.mark.parametrize("sealing", [[0], [0, 2], [1, 4]])
def test_sealing_faces_look_down_in_no_answer(sealing: list[int]) -> None:
    """Every third triangle of a tube's outside, or an end: their downskin angle stays at 90° or more."""
    part = ring()
    sides = [np.flatnonzero(part.normals[:, 2] > 0.9), np.flatnonzero(part.normals[:, 2] < -0.9)]
    sides += [np.flatnonzero(part.normals @ direction > 0.95) for direction in np.eye(3)]
    faces = np.concatenate([sides[i] for i in sealing])
    job = Job(never_downskin=pick_of(faces).runs)
    study = study_orientations(job, part, directions=QUICK)
    assert study.n_forbidden > 0 and study.front
    for one in study.front:
        assert one.never_down
        assert downskin_angles_deg(place_on_plate(part, one.pose))[faces].min() > 90.0 - 0.03


def test_a_bore_that_seals_leaves_only_its_axis() -> None:
    part = ring()
    middle = part.corners_mm.mean(axis=1)
    bore = np.flatnonzero((np.abs(part.normals[:, 2]) < 1e-6) & ((part.normals * middle).sum(axis=1) < 0))
    study = study_orientations(Job(never_downskin=pick_of(bore).runs), part, directions=QUICK)
    assert [abs(one.rotate_deg[0]) + abs(one.rotate_deg[1]) for one in study.front] in ([0.0], [180.0])


def test_faces_to_all_sides_are_refused_with_what_to_do() -> None:
    with pytest.raises(Refusal, match="take some of them out"):
        study_orientations(Job(never_downskin=((0, 11),)), box(), directions=QUICK)


def test_bad_requests_are_refused_in_a_sentence() -> None:
    with pytest.raises(Refusal, match="out of range"):
        study_orientations(Job(), box(), directions=3)
    with pytest.raises(Refusal, match="mark them again"):
        study_orientations(Job(never_downskin=((5, 99),)), box(), directions=QUICK)
    with pytest.raises(Refusal, match="build height of 5 mm"):
        study_orientations(Job(plate=Plate(height_mm=5.0)), box(), directions=QUICK)
    with pytest.raises(Refusal, match="Ask for less"):
        study_orientations(Job(), box(), directions=QUICK, standing_mm2=1e4)
    with pytest.raises(Refusal, match="out of order"):
        Job(never_downskin=((5, 4),))


def test_orientations_too_high_for_the_machine_are_left_out() -> None:
    study = study_orientations(Job(plate=Plate(height_mm=25.0)), box(30, 20, 10), directions=QUICK)
    assert study.n_too_high > 0 and all(one.fits and one.height_mm <= 25.0 for one in study.front)


def test_only_orientations_that_stand_on_enough_are_kept_when_asked() -> None:
    study = study_orientations(Job(), gallows(), directions=QUICK, standing_mm2=50.0)
    assert all(one.rest_mm2 >= 50.0 for one in study.front)


def test_it_stops_when_told() -> None:
    with pytest.raises(Stopped):
        study_orientations(Job(), box(), lambda share: share < 0.3, directions=QUICK)


def test_a_job_of_schema_6_opens_with_the_faces_that_must_not_look_down(tmp_path: Path) -> None:
    """Written when schema 6 was new."""
    job = open_job(OLD_JOBS / "schema-6-never-downskin.underfin")
    assert job.never_downskin == ((0, 3), (7, 7)) and job.schema == Job().schema
    save_job(job, tmp_path / "a.underfin")
    assert open_job(tmp_path / "a.underfin") == job


def test_an_older_job_has_no_such_faces() -> None:
    assert open_job(OLD_JOBS / "schema-5.underfin").never_downskin == ()
