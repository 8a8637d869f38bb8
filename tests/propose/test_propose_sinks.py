"""Proposed sinks: the order of patches, what is dropped and why, and the limits every proposal keeps to."""

import json
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import manifold3d as m3d
import numpy as np
import pytest

from core.heat.column_1d import column_facts
from core.heat.estimate import Band, Estimate
from core.job import Job, with_alloy
from core.job_file import new_job, open_job
from core.part.part import Part
from core.part.place_on_plate import Plate
from core.propose_ledge import Ledge, fin_gain
from core.propose_rules import ProposeLimits
from core.propose_sinks import Proposal, propose_sinks
from core.run_job import run_job
from core.run_trial import run_trial

Run = Callable[..., tuple[int, str, str]]
SAMPLES = Path(__file__).parents[2] / "sample_parts"
BRACKET = SAMPLES / "sensor-bracket.stl"
CEILING, SLOPE = 2, 1
"""The bracket's flat ceiling at 0° and its slope at 30°; sample_parts/sensor_bracket.py draws them."""


@pytest.fixture(scope="module")
def bracket(tmp_path_factory: pytest.TempPathFactory) -> Proposal:
    return propose_sinks(new_job(str(BRACKET)), library=tmp_path_factory.mktemp("no-trials"))


def ledge_part(reach_mm: float) -> Part:
    """A ledge 1 mm thick and 60 mm wide, 20 mm up a wall that stands on the plate."""
    wall = m3d.Manifold.cube([20, 60, 21])
    mesh = (wall + m3d.Manifold.cube([20 + reach_mm, 60, 1]).translate([0, 0, 20])).to_mesh64()
    corners = np.asarray(mesh.vert_properties)[:, :3].astype(np.float32).astype(float)
    triangles = np.asarray(mesh.tri_verts).astype(np.int32)
    return Part(name="ledge", file_format="stl", units="mm", vertices_mm=corners, triangles=triangles)


def test_the_flat_ceiling_is_more_trouble_than_the_slope(bracket: Proposal) -> None:
    ceiling, slope = bracket.patches
    assert (ceiling.patch, slope.patch) == (CEILING, SLOPE)
    assert math.isinf(ceiling.step_over_hatch)
    # the layer over the tangent of 30°, over the hatch
    assert slope.step_over_hatch == pytest.approx(0.04 / math.tan(math.radians(30)) / 0.11, rel=1e-3)
    assert ceiling.rise_without_k > slope.rise_without_k > slope.rise_with_k > 0
    assert ceiling.ledge_mm == pytest.approx(20.0, abs=0.3)  # a ceiling 20 mm deep, held along one side


@pytest.mark.parametrize(
    ("alloy", "length_mm", "without_k", "with_k"),
    # tip rises of a ledge 1 mm thick under 50 kW/m², h 15 and 474 W/m²K: fin with adiabatic tip, Incropera 3.6
    [("steel", 10.0, 160.0, 71.0), ("steel", 20.0, 571.0, 100.0), ("AlSi10Mg", 10.0, 23.0, 19.0)],
)
def test_the_gain_of_a_ledge_is_that_of_the_fin_formula(
    alloy: str, length_mm: float, without_k: float, with_k: float
) -> None:
    job = with_alloy(Job(), "316L" if alloy == "steel" else alloy)
    conductivity = {"steel": 15.0, "AlSi10Mg": 110.0}[alloy]
    own = column_facts(job.alloy, job.laser, job.powder, job.rise_allowed_k).metal_w_mk
    thickness_mm = 1.0 * conductivity / own  # so that k t is the table's
    none = Band(low=0.0, nominal=0.0, high=0.0)
    estimate = Estimate(
        patch=1, conductance_w_m2k=Band(low=474, nominal=474, high=474), powder_conductivity_w_mk=none,
        resistance_with_m2k_w=none, resistance_without_m2k_w=Band(low=1 / 15, nominal=1 / 15, high=1 / 15),
        rise_with_k=none, rise_without_k=none, fuse_limit_mm=none, heat_limit_mm=none,
    )  # fmt: skip
    gain = fin_gain(Ledge(length_mm=length_mm, thickness_mm=thickness_mm), estimate, job)
    assert gain.share == pytest.approx(1 - with_k / without_k, abs=0.03)
    assert gain.length_scale_mm == pytest.approx({"steel": 5.6, "AlSi10Mg": 15.2}[alloy], abs=0.05)


def test_a_short_ledge_in_aluminium_gets_none_and_the_same_ledge_longer_in_steel_does(tmp_path: Path) -> None:
    short = propose_sinks(with_alloy(Job(), "AlSi10Mg"), part=ledge_part(2.0), library=tmp_path)
    (only,) = short.patches
    assert not only.taken and short.result.stopped and short.job.picks == ()
    assert only.ledge_mm == pytest.approx(2.0, abs=0.01)
    # 1 - (1 - 1/cosh(L/l1)) / h1 * h0 / (1 - 1/cosh(L/l0)) with h = k t / l²; powder below is as good as none, so l0
    # is long and its bracket is L² / (2 l0²): the share is 1 - 2 (l/L)² (1 - 1/cosh(L/l))
    reach = only.ledge_mm / only.length_scale_mm
    by_hand = 1 - 2 / reach**2 * (1 - 1 / math.cosh(reach))
    assert only.fin_gain == pytest.approx(by_hand, abs=0.003) and by_hand < 0.05
    assert f"2.0 mm in AlSi10Mg: a sink gains {100 * only.fin_gain:.0f} %" in only.headline
    long = propose_sinks(Job(), part=ledge_part(20.0), library=tmp_path)
    assert [p.taken for p in long.patches] == [True] and not long.result.stopped


def test_gaps_lie_inside_their_windows_and_above_two_layers(bracket: Proposal) -> None:
    for proposed in bracket.taken:
        gap_mm = proposed.pick.gap.gap_mm
        assert gap_mm >= proposed.fuse_limit_mm and gap_mm >= 0.08
        assert gap_mm <= max(proposed.heat_limit_mm, proposed.fuse_limit_mm + 0.01)
        assert gap_mm == pytest.approx(round(gap_mm, 2), abs=1e-12)


def test_the_zone_of_the_ceiling_melts_less_powder_and_the_slope_needs_none(bracket: Proposal) -> None:
    ceiling, slope = (p.pick for p in bracket.patches)
    assert ceiling.zone.layers >= 2 and ceiling.zone.power_w < bracket.job.laser.power_w
    assert slope.zone is None  # 30° and a step narrower than a hatch


def test_the_proposed_job_builds_the_same_sinks_and_none_is_nearer_than_its_gap(bracket: Proposal) -> None:
    result = bracket.result
    assert not result.stopped and len(bracket.job.picks) == 2
    again = run_job(bracket.job, part=result.part)
    for sink, other in zip(result.sinks, again.sinks, strict=True):
        assert np.array_equal(sink.vertices_mm, other.vertices_mm)
    part = solid(result.part.vertices_mm, result.part.triangles)
    for sink in result.sinks:
        # manifold3d's own least distance, as the outside reference
        assert part.min_gap(solid(sink.vertices_mm, sink.triangles), 2.0) >= sink.gap_mm - 1e-6


def solid(vertices: np.ndarray, triangles: np.ndarray) -> m3d.Manifold:
    return m3d.Manifold(m3d.Mesh64(vert_properties=vertices, tri_verts=triangles.astype(np.uint64)))


@pytest.mark.parametrize("share", [0.1, 0.15])
def test_the_metal_of_all_sinks_stays_below_the_limit(share: float, tmp_path: Path) -> None:
    limited = propose_sinks(new_job(str(BRACKET)), limits=ProposeLimits(most_mass_share=share), library=tmp_path)
    result = limited.result
    metal = sum(solid(s.vertices_mm, s.triangles).volume() for s in result.sinks)
    assert 0 < metal <= share * solid(result.part.vertices_mm, result.part.triangles).volume()
    said = " ".join(text for p in limited.patches for text in p.reasons)
    assert f"more than {share:g} times what the part does" in said


def test_trials_decide_the_gap_where_there_are_any(tmp_path: Path) -> None:
    lines = ["gap_mm,angle_deg,result,alloy,layer_mm,power_w,built_on"]
    for gap in (0.2, 0.25, 0.3, 0.35, 0.4, 0.45, 0.5):
        lines += [f"{gap},0,{'free' if gap > 0.33 else 'stuck'},316L,0.04,285,2026-11-24"] * 3
    (tmp_path / "trials.csv").write_text("\n".join(lines))
    run_trial(tmp_path / "trials.csv", keep=True, library=tmp_path / "library")
    found = propose_sinks(Job(), part=ledge_part(20.0), library=tmp_path / "library").patches[0]
    assert found.pick.gap.gap_mm > 0.33 and found.pick.gap.gap_mm == math.ceil(100 * found.fuse_limit_mm) / 100
    assert any("from trials of 2026-11-24" in text for text in found.reasons)


def test_a_part_too_large_for_the_plate_is_not_held_against_its_sinks(tmp_path: Path) -> None:
    found = propose_sinks(Job(plate=Plate(size_mm=(55.0, 55.0))), part=ledge_part(20.0), library=tmp_path)
    assert [p.taken for p in found.patches] == [True]
    assert {f.check for f in found.result.findings if f.level == "stop"} == {"envelope"}


@pytest.mark.parametrize("name", ["valve-body.stl", "manifold-block.stl", "sensor-fairing.stl"])
def test_every_sample_part_ends_without_a_stop_or_says_why_for_each_patch(name: str, tmp_path: Path) -> None:
    ends_well(propose_sinks(new_job(str(SAMPLES / name)), library=tmp_path))


@pytest.mark.slow
def test_the_shroud_ends_well_with_any_limit_on_metal(tmp_path: Path) -> None:
    job = new_job(str(SAMPLES / "impeller-shroud.stl"))
    for share in (1.0, 2.0):
        found = propose_sinks(job, limits=ProposeLimits(most_mass_share=share), library=tmp_path)
        ends_well(found)
        assert bool(found.taken) == (share == 2.0)


def ends_well(proposal: Proposal) -> None:
    stops = [f for f in proposal.result.findings if f.level == "stop"]
    assert all(len(p.headline) > 20 for p in proposal.patches) and proposal.patches
    if proposal.taken:
        assert not stops and proposal.result.sinks
    else:
        assert [f.check for f in stops] == ["proposal"]
        assert all(p.headline.startswith("No sink: ") for p in proposal.patches)


def test_the_command_line_proposes_and_writes_the_reasons(run: Run, tmp_path: Path) -> None:
    code, out, _ = run("build", BRACKET, "--all", "--propose", "--out", tmp_path / "out", "--json")
    values: dict[str, Any] = json.loads(out)
    assert code == 0 and json.loads((tmp_path / "out" / "result.json").read_text()) == values
    assert [p["patch"] for p in values["proposal"]] == [CEILING, SLOPE]
    assert all(p["taken"] and p["reasons"] for p in values["proposal"])
    job = open_job(tmp_path / "out" / "job.underfin")
    assert [pick.gap.gap_mm for pick in job.picks] == [p["gap_mm"] for p in values["proposal"]]
    code, out, _ = run("build", BRACKET, "--patch", SLOPE, "--propose", "--out", tmp_path / "one")
    assert code == 0 and "A sink lowers the rise from" in out and "patch  sink" in out


def test_nothing_to_gain_is_a_stop_and_a_contradiction_is_refused(run: Run, tmp_path: Path) -> None:
    code, out, _ = run("build", BRACKET, "--alloy", "AlSi10Mg", "--propose", "--out", tmp_path / "none", "--json")
    values = json.loads(out)
    assert code == 3 and values["sinks"] == [] and not any(p["taken"] for p in values["proposal"])
    assert not (tmp_path / "none" / "sinks.stl").exists()
    code, out, err = run("build", BRACKET, "--propose", "--gap", "0.3", "--out", tmp_path / "no")
    assert (code, out, err.count("\n")) == (2, "", 1) and "--gap" in err and not (tmp_path / "no").exists()
    assert run("build", BRACKET, "--most-metal", "2", "--out", tmp_path / "no")[0] == 2
