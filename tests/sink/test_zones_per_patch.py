"""Two patches side by side with zones of their own: bodies and figures by hand, in every output."""

import json
import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import manifold3d as m3d
import pytest

from app.cli_tables import build_text
from core.export.result import JobResult
from core.export.result_json import result_values
from core.export.write_stl import write_stl
from core.export.zones_of_job import zones_of_job
from core.heat.melt_zone import ZoneChoice
from core.job import Job, pick_of
from core.job_file import new_job, save_job
from core.part.downskin import find_patches
from core.run_job import estimate_of, load_placed_part, run_job
from core.sink.solid import to_manifold
from tests.sink.simple_parts import part_of

Run = Callable[..., tuple[int, str, str]]
DEEP_MM, LONG_MM, SLOPE_DEG, LAYER_MM = 15.0, 20.0, 30.0, 0.04
OWN = ZoneChoice(layers=5, power_w=150.0, speed_mm_s=1000.0, hatch_mm=0.1)
OF_JOB = ZoneChoice(layers=8, power_w=200.0, speed_mm_s=800.0, hatch_mm=0.08, passes=2)


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Job:
    """A post with a ledge: a flat ceiling of 20 × 15 mm at 20 mm, and beyond it one that rises at 30°, 20 mm long."""
    high = 20.0 + LONG_MM * math.tan(math.radians(SLOPE_DEG))
    side = m3d.CrossSection([[[0, 0], [10, 0], [10, 20], [30, 20], [50, high], [50, 40], [0, 40]]])
    part = part_of(side.extrude(DEEP_MM).rotate([90, 0, 0]))
    file = tmp_path_factory.mktemp("ledge") / "ledge.stl"
    write_stl(file, part.vertices_mm, part.triangles)
    job = new_job(file, units="mm")
    part = load_placed_part(job)
    (patch,) = find_patches(part, 45.0, LAYER_MM)
    is_flat = part.normals[patch.faces, 2] < -0.999
    flat, slope = pick_of(patch.faces[is_flat]), pick_of(patch.faces[~is_flat])
    return replace(job, zone=OF_JOB, picks=(replace(flat, zone=OWN), slope))


@pytest.fixture(scope="module")
def result(job: Job) -> JobResult:
    return run_job(job)


def test_each_body_is_the_plan_of_its_patch_times_its_own_layers(result: JobResult) -> None:
    """20 × 15 mm of plan each: 5 layers of 0.04 mm make 60 mm³, 8 layers 96 mm³."""
    flat, slope = (to_manifold(zone.vertices_mm, zone.triangles) for zone in result.zones)
    assert [zone.name for zone in result.zones] == ["zone-01", "zone-02"]
    assert flat.volume() == pytest.approx(LONG_MM * DEEP_MM * 5 * LAYER_MM, rel=1e-3)
    assert slope.volume() == pytest.approx(LONG_MM * DEEP_MM * 8 * LAYER_MM, rel=1e-3)
    z_mm = result.zones[0].vertices_mm[:, 2]
    assert (z_mm.min(), z_mm.max()) == (pytest.approx(20.0, abs=1e-3), pytest.approx(20.2, abs=1e-3))
    assert [(f.layers, f.height_mm) for f in result.zone_figures] == [(5, 0.2), (8, 0.32)]


def test_neighbours_share_no_volume_and_nothing_lies_outside_the_part(result: JobResult) -> None:
    """Measured by manifold3d; a micrometre of skin is what rounding to float32 leaves."""
    part = to_manifold(result.part.vertices_mm, result.part.triangles)
    flat, slope = (to_manifold(zone.vertices_mm, zone.triangles) for zone in result.zones)
    assert (flat ^ slope).volume() < 1e-3 * 0.2 * DEEP_MM  # they meet in a strip of 0.2 × 15 mm
    for zone in (flat, slope):
        assert (zone - part).volume() < 1e-3 * zone.surface_area() / 2


def test_the_result_and_the_table_tell_each_patchs_own_figures(result: JobResult, tmp_path: Path) -> None:
    """150 W / 1000 mm/s = 0.15 J/mm, / 0.1 mm = 1.5 J/mm², / 0.04 mm = 37.5 J/mm³; the other twice 3.125 J/mm²."""
    values = json.loads(json.dumps(result_values(result, (), tmp_path)))
    flat, slope = values["zones"]
    assert (flat["line_energy_j_mm"], slope["line_energy_j_mm"]) == (pytest.approx(0.15), pytest.approx(0.25))
    assert (flat["areal_energy_j_mm2"], slope["areal_energy_j_mm2"]) == (pytest.approx(1.5), pytest.approx(6.25))
    assert flat["volumetric_energy_j_mm3"] == pytest.approx(37.5)
    for zone in (flat, slope):
        for low, nominal, high in (zone["melt_depth_solid_um"], zone["melt_depth_powder_um"]):
            assert (low / nominal, high / nominal) == (pytest.approx(0.6, rel=1e-3), pytest.approx(1.4, rel=1e-3))
    assert any("more than the zone's hatch of 0.1 mm" in note for note in flat["notes"])
    # at 30° a layer of 0.04 mm steps by 0.04 / tan 30° = 0.069 mm, less than the hatch of 0.08 mm
    assert not any("zone's hatch" in note for note in slope["notes"])
    picks = values["settings"]["picks"]
    assert picks[0]["zone"]["power_w"] == 150.0 and "zone" not in picks[1]
    lines = build_text(values, "out").splitlines()
    row = next(line for line in lines if line.startswith("zone-01"))
    assert row.split()[1:4] == [str(flat["patch"]), "5", "0.2"] and "150 W, 1000 mm/s, 1 ×" in row
    low, nominal, high = flat["melt_depth_powder_um"]
    assert "0.150" in row and "1.50" in row and f"{nominal:.0f} ({low:.0f} to {high:.0f})" in row


def test_the_fuse_limit_follows_the_zone_and_the_rise_does_not(job: Job, result: JobResult) -> None:
    """Under a flat ceiling the limit is the melt depth over powder, in proportion to the energy of one pass.

    450 W / 1000 mm/s / 0.1 mm = 4.5 J/mm² against the job's 285 / 960 / 0.11 = 2.699 J/mm².
    """
    flat = result.picked[0]
    own = job.for_pick(job.picks[0])
    hot = estimate_of(replace(own, zone=replace(OWN, power_w=450.0)), flat)
    plain = estimate_of(replace(own, zone=ZoneChoice()), flat)
    ratio = hot.fuse_limit_mm.nominal / plain.fuse_limit_mm.nominal
    assert ratio == pytest.approx(4.5 / (285 / 960 / 0.11), rel=1e-6)
    assert hot.rise_with_k == plain.rise_with_k
    assert result.estimates[0].fuse_limit_mm == estimate_of(own, flat).fuse_limit_mm


def test_a_pick_may_have_no_zone_where_the_job_has_one_and_one_where_the_job_has_none(
    job: Job, result: JobResult
) -> None:
    flat, slope = job.picks
    for zone, picks, left in (
        (OF_JOB, (replace(flat, zone=ZoneChoice()), slope), [8]),
        (ZoneChoice(), (flat, slope), [5]),
        (ZoneChoice(), (replace(flat, zone=None), slope), []),
    ):
        changed = replace(job, zone=zone, picks=picks)
        assert [f.layers for f in zones_of_job(changed, result.part, result.picked).figures] == left
        assert changed.has_zones == bool(left)


def test_faces_lists_the_zones_a_job_asks_for(job: Job, run: Run, tmp_path: Path) -> None:
    save_job(job, tmp_path / "a.underfin")
    code, out, _ = run("faces", tmp_path / "a.underfin", "--json")
    assert code == 0 and [zone["layers"] for zone in json.loads(out)["zones"]] == [5, 8]
    code, out, _ = run("faces", tmp_path / "a.underfin")
    assert code == 0 and "Downskin zones" in out and "150 W, 1000 mm/s" in out
    code, out, _ = run("faces", job.part_file)
    assert code == 0 and "Downskin zones" not in out
