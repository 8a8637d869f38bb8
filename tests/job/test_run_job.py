"""The chain on a shelf whose numbers are known by hand: picks, patches, and what happens when they don't fit."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import trimesh

from core.gap.gap_choice import GapChoice
from core.job import Job, Pick, pick_of
from core.job_file import new_job, open_job, save_job
from core.job_picks import check_range, picked_patches
from core.part.downskin import find_patches
from core.part.part import Part
from core.part.picked_patch import patch_of_faces
from core.progress import Stopped
from core.refusal import Refusal
from core.run_job import load_placed_part, patches_of_job, run_job
from core.run_window import gap_windows
from core.sink.sink_choice import SinkChoice


@pytest.fixture
def job(tmp_path: Path) -> Job:
    """A T: a foot of 10 mm with a beam of 40 by 10 mm at 20 mm height; two flat ceilings of 15 by 10 mm."""
    foot = trimesh.creation.box(bounds=[[15, 0, 0], [25, 10, 21]])
    beam = trimesh.creation.box(bounds=[[0, 0, 20], [40, 10, 24]])
    trimesh.boolean.union([foot, beam], engine="manifold").export(tmp_path / "tee.stl")
    return new_job(tmp_path / "tee.stl")


@pytest.fixture
def part(job: Job) -> Part:
    return load_placed_part(job)


def test_all_patches_get_one_sink_each_in_the_order_of_their_numbers(job: Job, part: Part) -> None:
    shares: list[float] = []

    def goes_on(share: float) -> bool:
        shares.append(share)
        return True

    result = run_job(job, goes_on, all_patches=True)
    assert [s.name for s in result.sinks] == ["sink-01", "sink-02"]
    assert [s.patches for s in result.sinks] == [(1,), (2,)] and not result.stopped
    assert [p.area_mm2 for p in result.picked] == pytest.approx([150.0, 150.0])
    assert len(result.job.picks) == len(result.estimates) == 2
    assert shares == sorted(shares) and shares[0] == 0.0 and shares[-1] == 1.0


def test_half_a_patch_becomes_a_patch_of_its_own_with_the_next_number(job: Job, part: Part) -> None:
    patches = find_patches(part, 45.0, 0.04)
    half = patches[0].faces[:1]
    picked = picked_patches(replace(job, picks=(pick_of(half),)), part, patches)
    assert [p.id for p in picked] == [3] and picked[0].area_mm2 == pytest.approx(75.0)
    result = run_job(replace(job, picks=(pick_of(half),)), part=part)
    assert [p.id for p in result.patches][-1] == 3 and result.sinks[0].patches == (3,)


def test_faces_that_do_not_hang_together_are_measured_as_one(part: Part) -> None:
    patches = find_patches(part, 45.0, 0.04)
    both = np.concatenate([p.faces for p in patches])
    one = patch_of_faces(part, both, 7, 0.04)
    assert one.id == 7 and one.area_mm2 == pytest.approx(300.0) and one.faces.tolist() == sorted(both.tolist())
    assert one.centre_mm == pytest.approx((20.0, 5.0, 20.0))


def test_picks_that_share_faces_or_name_missing_ones_are_refused(job: Job, part: Part) -> None:
    faces = find_patches(part, 45.0, 0.04)[0].faces
    twice = replace(job, picks=(pick_of(faces), pick_of(faces[:1])))
    with pytest.raises(Refusal, match="Picks 1 and 2 share faces"):
        run_job(twice, part=part)
    missing = replace(job, picks=(Pick(runs=((0, 2**31 - 1),)),))
    for call in (
        lambda: run_job(missing, part=part),
        lambda: load_placed_part(missing),
        lambda: check_range(missing, 0, part),
    ):
        with pytest.raises(Refusal, match="Pick them again"):
            call()


def test_a_pick_that_looks_up_is_a_stop_and_not_a_sink(job: Job, part: Part) -> None:
    top = np.flatnonzero(part.normals[:, 2] > 0.9)
    result = run_job(replace(job, picks=(pick_of(top),)), part=part)
    assert result.stopped and result.sinks == () and result.estimates == ()


def test_nothing_picked_no_part_or_no_low_face_is_refused(job: Job, part: Part, tmp_path: Path) -> None:
    with pytest.raises(Refusal, match="No faces are picked"):
        run_job(job, part=part)
    with pytest.raises(Refusal, match="no part"):
        run_job(Job())
    trimesh.creation.box(bounds=[[0, 0, 0], [5, 5, 5]]).export(tmp_path / "cube.stl")
    cube = new_job(tmp_path / "cube.stl")
    for call in (lambda: run_job(cube, all_patches=True), lambda: patches_of_job(cube, load_placed_part(cube))):
        with pytest.raises(Refusal, match="flatter than 45°"):
            call()


def test_a_stop_from_the_listener_ends_the_run_at_any_share(job: Job, part: Part) -> None:
    for limit in (0.0, 0.12, 0.4, 0.8):
        with pytest.raises(Stopped):
            run_job(job, lambda share, limit=limit: share < limit, part=part, all_patches=True)


def test_small_patches_are_left_out_and_named(tmp_path: Path) -> None:
    foot = trimesh.creation.box(bounds=[[0, 0, 0], [10, 10, 30]])
    large = trimesh.creation.box(bounds=[[9, 0, 20], [20, 10, 22]])
    tiny = trimesh.creation.box(bounds=[[-0.5, 4, 20], [1, 5, 22]])
    trimesh.boolean.union([foot, large, tiny], engine="manifold").export(tmp_path / "a.stl")
    result = run_job(new_job(tmp_path / "a.stl"), all_patches=True)
    assert len(result.sinks) == 1
    assert any("below 1 mm² and got no sink" in text for text in result.warnings)


def test_walls_across_a_ledge_are_turned_off_the_blade_unless_their_direction_is_set(job: Job, part: Part) -> None:
    """The ceilings of 15 by 10 mm have walls along Y, which is the blade's direction until told otherwise."""
    texts = {}
    for name, plate, sink in (
        ("along", job.plate, job.sink),
        ("across", replace(job.plate, blade_deg=0.0), job.sink),
        ("set", job.plate, replace(job.sink, direction_deg=90.0)),
    ):
        result = run_job(replace(job, plate=plate, sink=sink), part=part, all_patches=True)
        texts[name] = [f.text for f in result.findings if f.check == "recoater"]
        assert [round(abs(s.turned_deg)) for s in result.sinks] == ([15, 15] if name == "along" else [0, 0])
        assert not result.stopped
    assert sum("sink-01 and sink-02 were turned by up to 15°" in text for text in texts["along"]) == 1
    assert not any("turned" in text for text in texts["across"] + texts["set"])


def test_the_cost_of_each_sink_stands_in_the_findings_with_the_jobs_own_alloy_and_laser(job: Job, part: Part) -> None:
    """A block a gap beside the foot has 14.7 x 10 x 19.7 mm, 2.90 cm³; 316L has 7.9 to 8.0 g/cm³ (handbook value)."""
    job = replace(job, sink=replace(job.sink, kind="block"))
    result = run_job(job, part=part, all_patches=True)
    costs = [f.text for f in result.findings if f.check == "sink cost"]
    volume, laser = result.sinks[0].volume_mm3, job.laser
    assert len(costs) == 2 and volume == pytest.approx(2896, rel=0.01) and f"{volume / 1000:.3g} cm³" in costs[0]
    mass_g = float(costs[0].split(" g,")[0].split()[-1])
    assert 7.9e-3 <= mass_g / volume <= 8.0e-3
    seconds = volume / (laser.speed_mm_s * laser.hatch_mm * laser.layer_mm)
    assert f"{seconds / 60:.0f} min" in costs[0]
    twice = run_job(replace(job, laser=replace(laser, passes=2)), part=part, all_patches=True)
    assert f"{seconds / 30:.0f} min" in next(f.text for f in twice.findings if f.check == "sink cost")


def test_a_pick_may_have_a_gap_and_dimensions_of_its_own(job: Job, part: Part, tmp_path: Path) -> None:
    """Two equal ledges: the first by the job, the second with twice the gap and as a block; the file keeps that."""
    first, second = find_patches(part, 45.0, 0.04)
    own = replace(pick_of(second.faces), gap=GapChoice(gap_mm=0.6), sink=SinkChoice(kind="block"))
    job = replace(job, picks=(pick_of(first.faces), own))
    save_job(job, tmp_path / "a.underfin")
    assert open_job(tmp_path / "a.underfin") == job
    result = run_job(job, part=part)
    for sink in result.sinks:
        wanted = ("block", 0.6) if second.id in sink.patches else ("fins", 0.3)
        assert (sink.kind, sink.gap_mm) == wanted and sink.min_clearance_mm >= sink.gap_mm
    assert {sink.kind for sink in result.sinks} == {"block", "fins"}
    again = run_job(job, part=part, patch_ids=(second.id,))
    assert [sink.kind for sink in again.sinks] == ["block"] * len(again.sinks)
    by_job, by_own = (w.estimate.conductance_w_m2k.nominal for w in gap_windows(job, (first, second)))
    assert by_job / 2 < by_own < 0.6 * by_job  # powder twice as thick, in a row with two walls that stay


def test_a_gap_of_its_own_is_held_against_the_layer_too() -> None:
    with pytest.raises(Refusal, match="layer"):
        Job(picks=(Pick(runs=((0, 3),), gap=GapChoice(gap_mm=0.05)),))
