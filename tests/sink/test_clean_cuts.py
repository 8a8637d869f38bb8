"""Cuts that touch, gables, crumbs: what comes out of a block is one clean body, and what was left out is said."""

from pathlib import Path

import manifold3d as m3d
import numpy as np
import pytest
import shapely
import trimesh

from core.checks.least_wall import thinnest_wall
from core.checks.self_support import low_area_mm2
from core.export.write_stl import write_stl
from core.part.downskin import find_patches
from core.part.load_part import load_part
from core.refusal import Refusal
from core.sink.bay_runs import cut_area_mm2
from core.sink.bays import FOLLOW_MM, thinned
from core.sink.build_sink import build_sink
from core.sink.left_out import left_out_words
from core.sink.sink_choice import SinkChoice
from core.sink.solid import gated, pinched
from core.sink.wall_layout import Slopes, bay_layout, drain_layout, drain_words
from tests.sink.promises import broken_promises
from tests.sink.random_parts import random_case
from tests.sink.simple_parts import box, low_faces, part_of, shelf, wedge
from tests.sink.solid_as_read import Solid

TOUCHING = [(10, 1), (142, 1)]
TOUCHING_SLOW = [(9, 1), (50, 1), (236, 3), (263, 1)]
"""Random parts, and their patches, on which bays and cross openings meet in an edge or overlap; 50 has roofs of 45°."""
CASES = [*TOUCHING, *(pytest.param(*case, marks=pytest.mark.slow) for case in TOUCHING_SLOW)]


@pytest.mark.parametrize(("seed", "patch_id"), CASES)
def test_where_cuts_touch_or_overlap_a_sink_comes_out_that_keeps_every_promise(
    seed: int, patch_id: int, tmp_path: Path
) -> None:
    case = random_case(seed)
    part = load_part(write_stl(tmp_path / "part.stl", case.vertices_mm, case.triangles))
    (patch,) = (one for one in find_patches(part, 45.0, case.layer_mm) if one.id == patch_id)
    sinks = build_sink(part, patch.faces, case.choice, case.gap_mm, name="sink", layer_mm=case.layer_mm)
    solid = Solid(vertices_mm=part.vertices_mm, triangles=part.triangles)
    assert sinks
    assert not broken_promises(solid, patch.faces, sinks, case.gap_mm, tmp_path)


SLIVERED = (9, 10, 142)
"""Random parts on which cuts once left walls of 0.10 to 0.18 mm beside the outline of the first patch."""
MANY = [seed for seed in range(36) if seed not in (6, 13, 15, 17, 29, 31)]
NECK_OR_WALL_MM = 0.4


@pytest.mark.parametrize("name", ["sensor-fairing", "sensor-bracket", "impeller-shroud"])
@pytest.mark.parametrize("kind", ["fins", "plate"])
def test_sinks_of_the_sample_parts_have_no_wall_too_thin_to_build(name: str, kind: str) -> None:
    part = load_part(f"sample_parts/{name}.stl")
    for patch in find_patches(part, 45.0, 0.04):
        for sink in build_sink(part, patch.faces, SinkChoice(kind=kind), 0.3, name="s", blade_deg=90.0):
            # half a wall of 1.5 mm: the outline may cut into it, but not through it
            assert thinnest_wall(sink.vertices_mm, sink.triangles).width_mm > 0.75
            assert not low_area_mm2(sink)[0] > 1e-3


@pytest.mark.parametrize("seed", [*SLIVERED[1:], pytest.param(9, marks=pytest.mark.slow)])
def test_no_sliver_stays_between_a_bay_and_the_outline(seed: int, tmp_path: Path) -> None:
    walls = walls_mm(seed, tmp_path)
    assert walls and min(walls) >= NECK_OR_WALL_MM


@pytest.mark.slow
@pytest.mark.parametrize("seed", MANY)
def test_no_random_sink_has_a_wall_too_thin_to_build(seed: int, tmp_path: Path) -> None:
    assert min(walls_mm(seed, tmp_path), default=1.0) >= NECK_OR_WALL_MM * 0.97  # measured within 2 %


def walls_mm(seed: int, folder: Path) -> list[float]:
    """Thinnest walls of all sinks under the first two patches of a random part."""
    case = random_case(seed)
    part = load_part(write_stl(folder / "part.stl", case.vertices_mm, case.triangles))
    found: list[float] = []
    for patch in [one for one in find_patches(part, 45.0, case.layer_mm) if one.area_mm2 >= 1.0][:2]:
        try:
            sinks = build_sink(part, patch.faces, case.choice, case.gap_mm, name="s", layer_mm=case.layer_mm)
        except Refusal:
            continue
        found += [thinnest_wall(sink.vertices_mm, sink.triangles).width_mm for sink in sinks]
    return found


def test_two_blocks_that_share_only_an_edge_are_parted_and_joined_ones_stay_one_body() -> None:
    corner = box(10, 10, 10) + box(10, 10, 10, (10, 10, 0))
    vertices, triangles, apart = gated(corner)
    assert not len(pinched(triangles))
    assert trimesh.Trimesh(vertices, triangles).is_watertight
    assert [round(piece.volume()) for piece in apart] == [1000]
    bridged = corner + box(20, 20, 2, (0, 0, 10))
    vertices, triangles, apart = gated(bridged)
    mesh = trimesh.Trimesh(vertices, triangles)
    assert mesh.is_watertight and mesh.body_count == 1 and not apart
    # a notch 0.04 mm wide along 10 mm of edge takes at most two quarters of its section away
    assert 2800 - 0.04**2 * 10 < mesh.volume < 2800


@pytest.mark.parametrize("seed", range(4))
def test_fewer_stations_never_raise_the_gable_nor_lower_it_by_more_than_said(seed: int) -> None:
    rng = np.random.default_rng(seed)
    v = np.arange(80.0)
    height = np.cumsum(rng.normal(0, 0.15, 80)) + rng.choice([0.0, 0.3]) * v
    keep = rng.random(80) < 0.05
    at, kept = thinned(v, height, keep)
    difference = height - np.interp(v, at, kept)
    assert difference.min() >= -1e-12 and difference.max() <= FOLLOW_MM + 1e-12
    assert set(v[keep]) | {0.0, 79.0} <= set(at)


def test_a_straight_gable_keeps_its_two_ends_only() -> None:
    at, kept = thinned(np.arange(50.0), 3 + 0.4 * np.arange(50.0), np.zeros(50, bool))
    assert at.tolist() == [0.0, 49.0]
    assert kept == pytest.approx([3.0, 3 + 0.4 * 49])


@pytest.mark.parametrize("roof_deg", [45.0, 60.0])
@pytest.mark.parametrize("kind", ["fins", "plate"])
def test_no_roof_hangs_flatter_than_45_degrees_even_when_45_are_asked_for(kind: str, roof_deg: float) -> None:
    for part in (shelf(), wedge(30.0)):
        choice = SinkChoice(kind=kind, roof_deg=roof_deg, neck_mm=0.5, drain_pitch_mm=6.0)
        for sink in build_sink(part, low_faces(part), choice, 0.1, name="s"):
            assert low_area_mm2(sink)[0] < 1e-3


def test_a_straight_long_bay_costs_few_triangles() -> None:
    # 4 mm pitch over 30 mm: 7 bays; a house-shaped tunnel through a flat block adds about 30 triangles each
    part = part_of(box(10, 30, 40) + box(210, 30, 5, (0, 0, 35)))
    (sink,) = build_sink(part, low_faces(part), SinkChoice(kind="fins", direction_deg=0.0), 0.3, name="s")
    assert len(sink.triangles) < 7 * 30 + 50


def test_a_sink_under_a_hundredth_of_its_patch_is_refused_with_the_share() -> None:
    # a ceiling 0.25 mm above the plate, but for 1.5 mm × 10 mm of it, 1.5 % of the patch, which lie at 10 mm
    low = box(50, 20, 30, (0, 0, 0.25)) + box(3, 20, 30, (-3, 0, 0)) - box(1.5, 10, 9.75, (24, 5, 0.25))
    part = part_of(low)
    with pytest.raises(Refusal, match=r"only 1\.\d% of it"):
        build_sink(part, low_faces(part), SinkChoice(kind="block"), 0.1, name="s")


def test_pieces_worth_it_are_named_and_dust_is_not() -> None:
    assert left_out_words(500.0, []) == ()
    assert left_out_words(500.0, [box(0.5, 0.5, 0.5), m3d.Manifold()]) == ()
    (said,) = left_out_words(90.0, [box(1, 2, 5, (10, 20, 0)), m3d.Manifold()])
    assert said.startswith("A piece of 10.0 mm³ (10% of the sink)") and "x 10.5, y 21.0, z 2.5 mm" in said
    (said,) = left_out_words(1e6, [box(1, 1, 1), box(2, 2, 2, (5, 0, 0))])
    assert said.startswith("2 pieces of 9.0 mm³") and "largest near x 6.0" in said
    assert left_out_words(2.0, [box(0.5, 0.5, 0.5)])  # 6 % of a small sink


def test_a_sink_parted_by_a_low_stretch_says_what_it_leaves_out() -> None:
    # the underside falls to 0.2 mm above the plate at x = 45 to 47, too low for a sink, and rises again to 10 mm
    profile = [[20, 20], [45, 0.25], [45, 0.2], [47, 0.2], [47, 0.25], [60, 10], [60, 20]]
    hump = m3d.CrossSection([np.array(profile)], m3d.FillRule.NonZero).extrude(20).rotate([90, 0, 0])
    part = part_of(box(60, 20, 5, (0, 0, 20)) + hump.translate([0, 20, 0]) + box(2, 20, 25, (-2, 0, 0)))
    (sink,) = build_sink(part, low_faces(part), SinkChoice(kind="block"), 0.1, name="s")
    (said,) = (text for text in sink.warnings if "left out" in text)
    # a triangle of 13 mm × 9.75 mm less its gap, 20 mm deep: 1267 mm³ and 20 mm × 13 mm × 0.25 mm below, less 0.125
    volume = float(said.split(" of ")[1].split()[0])
    assert volume == pytest.approx(20 * (13 * 9.75 / 2 + 13 * (0.25 - 0.125)), rel=0.02)


@pytest.mark.parametrize("kind", ["fins", "plate"])
def test_small_ears_of_an_outline_dont_cost_the_bays_of_its_body(kind: str) -> None:
    level = Slopes(centres_mm=np.zeros((1, 2)), lean=np.zeros((1, 2)), area_mm2=np.ones(1))
    choice = SinkChoice(kind=kind, direction_deg=90.0)
    # a body 10.8 mm wide with ears of 0.6 mm; walls 0.6 mm in from them would be 0.9 mm thick, less than 0.65 of 1.5 mm
    body, ears = shapely.box(0.6, 0, 11.4, 18), shapely.box(0, 0, 12, 1)
    bays = bay_layout(choice, shapely.union_all([body, ears]), level)
    walls = 2 if kind == "plate" else 3
    taken = sum(2 * bay.half_mm for bay in bays)
    assert taken == pytest.approx(10.8 - walls * choice.fin_thickness_mm, abs=0.25)  # ears are found in 100 strips
    assert cut_area_mm2(bays, body, choice.fin_thickness_mm) > 0.9 * 18 * taken
    # nothing changes where there is room for bays in the whole width: 12 mm less two or three walls
    plain = bay_layout(choice, shapely.box(0, 0, 12, 18), level)
    assert sum(2 * bay.half_mm for bay in plain) == pytest.approx(12 - walls * choice.fin_thickness_mm)


def test_a_wider_gap_doesnt_close_the_bay_of_a_plate_sink() -> None:
    part = load_part("sample_parts/sensor-bracket.stl")
    (patch,) = (one for one in find_patches(part, 45.0, 0.04) if one.id == 1)
    volumes = []
    for gap_mm in (0.2, 0.3, 0.4, 0.5):
        (sink,) = build_sink(part, patch.faces, SinkChoice(kind="plate"), gap_mm, name="s")
        volumes.append(sink.volume_mm3)
    # solid below the 12 mm x 18 mm patch at 25.2 mm mean height: 5400 mm³; with its bay well below half of that
    assert max(volumes) < 0.45 * 12 * 18 * 25.2


def test_cross_openings_stay_within_four_hundred_and_a_wider_pitch_is_said() -> None:
    level = Slopes(centres_mm=np.zeros((1, 2)), lean=np.zeros((1, 2)), area_mm2=np.ones(1))
    choice = SinkChoice(kind="fins", direction_deg=90.0, drain_pitch_mm=6.0)
    small, large = shapely.box(0, 0, 42, 60), shapely.box(0, 0, 402, 300)
    # 42 mm at a pitch of 4 mm: 10 bays between 11 walls, and 60 / 6 openings across them; 402 mm: 101 walls
    drains = drain_layout(choice, small, bay_layout(choice, small, level))
    assert len(drains) == 10 and not drain_words(choice, drains)
    drains = drain_layout(choice, large, bay_layout(choice, large, level))
    assert len(drains) * 101 <= 400
    (said,) = drain_words(choice, drains)
    assert "100 mm apart instead of 6 mm" in said
