"""New overhang and islands of every layer, against bodies worked out by hand."""

from pathlib import Path

import numpy as np
import pytest
import trimesh

from core.part.hanging_layers import layers_that_may_hang
from core.part.layer_table import LayerTable, grown, layer_table, layer_table_of, thinned_section
from core.part.layers import slice_layers
from core.part.load_part import load_part
from core.part.place_on_plate import Pose, place_on_plate
from core.progress import Stopped
from core.refusal import Refusal

SAMPLES = Path(__file__).resolve().parents[2] / "sample_parts"


def box(size: tuple[float, float, float], low: tuple[float, float, float] = (0.0, 0.0, 0.0)) -> trimesh.Trimesh:
    """A box with its lower corner at a place."""
    return trimesh.creation.box(bounds=[low, np.add(low, size)])


def table_of(mesh: trimesh.Trimesh, layer_mm: float, limit_deg: float = 45.0) -> LayerTable:
    """Layer table of a trimesh body as it stands."""
    return layer_table_of(slice_layers(np.asarray(mesh.vertices), np.asarray(mesh.faces), layer_mm), limit_deg)


def leaning_block(angle_deg: float, width: float, height: float) -> trimesh.Trimesh:
    """A block whose front leans out over the plate at an angle, on a foot of 10 mm."""
    reach = height / np.tan(np.radians(angle_deg))
    profile = [(0.0, 0.0), (10.0, 0.0), (10.0 + reach, height), (0.0, height)]
    corners = np.array([(x, y, z) for y in (0.0, width) for x, z in profile])
    return trimesh.convex.convex_hull(corners)


def test_each_layer_of_a_20_degree_wedge_hangs_by_width_times_layer_over_tangent_less_one_step() -> None:
    table = table_of(leaning_block(20.0, width=7.0, height=2.0), 0.04, limit_deg=45.0)
    out = 0.04 / np.tan(np.radians(20.0)) - 0.04
    assert table.new_overhang_mm2[0] == 0.0  # the first layer lies on the plate
    assert table.new_overhang_mm2[1:] == pytest.approx(np.full(len(table) - 1, 7.0 * out), rel=1e-4)
    assert not table.islands.any()


def test_with_a_limit_of_90_degrees_all_that_sticks_out_counts() -> None:
    table = table_of(leaning_block(20.0, width=7.0, height=2.0), 0.04, limit_deg=90.0)
    assert table.step_mm == 0.0
    assert table.new_overhang_mm2[1:] == pytest.approx(7.0 * 0.04 / np.tan(np.radians(20.0)), rel=1e-4)


def test_a_wedge_at_the_limit_or_steeper_hangs_nowhere() -> None:
    for angle in (45.0, 50.0, 80.0):
        assert table_of(leaning_block(angle, width=5.0, height=3.0), 0.04).new_overhang_mm2.max() == 0.0


def test_a_box_is_told_without_cutting() -> None:
    table = table_of(box((4.0, 4.0, 4.0)), 0.04)
    assert not table.cut.any()
    assert table.area_mm2 == pytest.approx(np.full(100, 16.0))


def test_a_cone_on_its_tip_is_one_island_however_steep() -> None:
    """No face is low here; the tip alone starts on powder. It stands 1 mm above the plate on nothing."""
    cone = trimesh.creation.cone(radius=2.0, height=8.0, sections=48)
    points = np.asarray(cone.vertices) * [1, 1, -1] + [0, 0, 9.0]
    layers = slice_layers(points, np.asarray(cone.faces)[:, ::-1], 0.05)
    table = layer_table_of(layers, 45.0)
    assert table.islands.sum() == 1
    assert table.island_at_mm[0, 2] == pytest.approx(1.025)
    assert table.island_layer[0] == 20
    radius = 0.025 * 2.0 / 8.0
    assert table.island_area_mm2[0] == pytest.approx(24 * radius**2 * np.sin(np.pi / 24), abs=1e-4)
    assert table.cut.sum() <= 2


def test_a_keel_between_two_steep_faces_hangs_though_no_face_is_low() -> None:
    """A roof turned over, 60° sides, its keel rising by 10°: the faces are steep, the keel isn't."""
    length, rise = 20.0, 20.0 * np.tan(np.radians(10.0))
    side = 3.0
    up = side * np.tan(np.radians(60.0))
    section = [(0.0, 0.0), (side, up), (-side, up)]
    corners = [(0.0, y, z) for y, z in section] + [(length, y, z + rise) for y, z in section]
    mesh = trimesh.convex.convex_hull(np.array(corners) + [0, 0, 0.5])
    down = mesh.face_normals[:, 2] < -1e-9
    assert np.degrees(np.arccos(-mesh.face_normals[down, 2])).min() > 55
    table = table_of(mesh, 0.04)
    assert table.islands.sum() == 1
    assert (table.new_overhang_mm2[20:80] > 1e-4).all()
    assert table.cut[14:90].all()


def test_two_feet_that_meet_later_are_two_islands_and_the_bridge_is_overhang() -> None:
    """A table on the plate: two legs hang from its top and end 2 mm above the plate."""
    top = [box((20.0, 10.0, 2.0), (0.0, 0.0, 6.0)), box((2.0, 10.0, 6.0), (9.0, 0.0, 0.0))]
    legs = [box((3.0, 4.0, 4.5), (1.0, 3.0, 2.0)), box((3.0, 4.0, 4.5), (16.0, 3.0, 2.0))]
    table = table_of(trimesh.boolean.union(top + legs), 0.1)
    assert np.flatnonzero(table.islands).tolist() == [20]  # the layer that begins at 2.0 mm
    assert table.islands[20] == 2
    assert table.island_area_mm2 == pytest.approx([12.0, 12.0])
    assert sorted(table.island_at_mm[:, 0].tolist()) == pytest.approx([2.5, 17.5], abs=1.5)
    # the top at 6 mm: 200 less the column (2 + 2 steps) x 10, less both legs grown by a step of 0.1 with round corners
    grown_leg = 3 * 4 + 2 * (3 + 4) * 0.1 + np.pi * 0.1**2
    assert table.new_overhang_mm2[60] == pytest.approx(200 - 2.2 * 10 - 2 * grown_leg, abs=0.01)


def test_a_floating_body_starts_with_an_island_and_one_on_the_plate_does_not() -> None:
    assert table_of(box((2.0, 2.0, 1.0), (0.0, 0.0, 0.5)), 0.1).islands.tolist()[:7] == [0, 0, 0, 0, 0, 1, 0]
    assert table_of(box((2.0, 2.0, 1.0)), 0.1).islands.sum() == 0


def test_a_flat_ceiling_hangs_all_at_once_less_one_step() -> None:
    """The sample bracket's shelf: 20 x 20 mm at 40 mm (known_answers.json), joined along one side."""
    part = load_part(SAMPLES / "sensor-bracket.stl")
    table = layer_table(part, 0.04, 45.0, z_range_mm=(39.9, 40.1))
    assert table.new_overhang_mm2.max() == pytest.approx(20.0 * (20.0 - 0.04), abs=0.05)
    assert table.z_mm[np.argmax(table.new_overhang_mm2)] == pytest.approx(40.02)


@pytest.mark.parametrize("pose", [Pose(), Pose(rotate_deg=(37.0, 21.0, 0.0))])
def test_layers_left_uncut_really_rest_on_the_layer_below(pose: Pose) -> None:
    """Every uncut layer of a coarse slicing is cut here after all and compared."""
    part = place_on_plate(load_part(SAMPLES / "sensor-bracket.stl"), pose)
    layer = 0.5
    layers = slice_layers(part.vertices_mm, part.triangles, layer)
    uncut = np.flatnonzero(~layers_that_may_hang(part.vertices_mm, part.triangles, 45.0, 0.0, layer, len(layers)))
    assert len(uncut) > 10
    for i in uncut[uncut > 0].tolist():
        hanging = thinned_section(layers, i) - grown(thinned_section(layers, i - 1), layer)
        assert hanging.area() < 0.02 * layer * 20  # round corners are grown as polygons


def test_random_bodies_never_hang_in_an_uncut_layer() -> None:
    chance = np.random.default_rng(5)
    for _ in range(12):
        mesh = trimesh.convex.convex_hull(chance.normal(size=(9, 3)) * [4, 4, 6])
        points = np.asarray(mesh.vertices) - [0, 0, mesh.bounds[0, 2]]
        layers = slice_layers(points, np.asarray(mesh.faces), 0.2)
        may = layers_that_may_hang(layers.vertices_mm, layers.triangles, 45.0, 0.0, 0.2, len(layers))
        for i in np.flatnonzero(~may)[1:].tolist():
            hanging = thinned_section(layers, i) - grown(thinned_section(layers, i - 1), 0.2)
            assert hanging.area() < 2e-3


def test_the_table_of_a_range_is_that_part_of_the_whole_table() -> None:
    mesh = leaning_block(25.0, width=5.0, height=3.0)
    layers = slice_layers(np.asarray(mesh.vertices), np.asarray(mesh.faces), 0.1)
    whole, some = layer_table_of(layers, 45.0), layer_table_of(layers, 45.0, z_range_mm=(1.0, 1.45))
    assert some.first == 10
    rows = slice(some.first, some.first + len(some))
    assert some.new_overhang_mm2 == pytest.approx(whole.new_overhang_mm2[rows])
    assert some.z_mm == pytest.approx(whole.z_mm[rows])


def test_the_work_reports_and_stops_when_told() -> None:
    shares: list[float] = []

    def two_thirds(share: float) -> bool:
        shares.append(share)
        return share < 0.66

    mesh = leaning_block(20.0, width=5.0, height=2.0)
    layers = slice_layers(np.asarray(mesh.vertices), np.asarray(mesh.faces), 0.04)
    with pytest.raises(Stopped):
        layer_table_of(layers, 45.0, two_thirds)
    assert shares == sorted(shares)
    assert shares[0] == 0.0


@pytest.mark.parametrize("limit", [0.0, 91.0, float("nan")])
def test_an_impossible_limit_is_refused(limit: float) -> None:
    with pytest.raises(Refusal, match="set 1 to 90"):
        table_of(box((1.0, 1.0, 1.0)), 0.1, limit)
