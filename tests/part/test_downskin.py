"""Downskin angles, patches and growing, on bodies whose numbers a reader can redo by hand."""

import math

import numpy as np
import pytest
import shapely
import trimesh

from core.part.downskin import downskin_angles_deg, find_patches, grow_faces, low_angle_faces
from core.part.face_neighbours import face_neighbours
from core.part.part import Part
from core.refusal import Refusal


def part_of(vertices: object, triangles: object, brep_face: object = None) -> Part:
    return Part(
        name="test", file_format="stl", units="mm",
        vertices_mm=np.ascontiguousarray(vertices, dtype=np.float64),
        triangles=np.ascontiguousarray(triangles, dtype=np.int32),
        brep_face=None if brep_face is None else np.asarray(brep_face, dtype=np.int32),
    )  # fmt: skip


def body(mesh: trimesh.Trimesh) -> Part:
    return part_of(mesh.vertices, mesh.faces)


def extruded(outline: list[tuple[float, float]], depth: float) -> trimesh.Trimesh:
    """A profile in the x-z plane, pushed along y."""
    mesh = trimesh.creation.extrude_polygon(shapely.Polygon(outline), depth)
    turn = np.array([[1, 0, 0, 0], [0, 0, 1, 0], [0, 1, 0, 0], [0, 0, 0, 1.0]])
    mesh.apply_transform(turn)
    return mesh


def lifted_box(size: tuple[float, float, float], height: float) -> trimesh.Trimesh:
    box = trimesh.creation.box(size)
    box.apply_translation([0, 0, height + size[2] / 2])
    return box


def wedge(angle_deg: float, length: float = 10.0, depth: float = 8.0) -> trimesh.Trimesh:
    """A wall on the plate with an overhang that rises at the angle from the plate, from 5 mm height."""
    rise = length * math.tan(math.radians(angle_deg))
    return extruded([(0, 0), (5, 0), (5, 5), (5 + length, 5 + rise), (5 + length, 30), (0, 30)], depth)


def test_a_floating_box_has_one_flat_ceiling_that_starts_in_mid_air() -> None:
    (patch,) = find_patches(body(lifted_box((10, 20, 5), 3.0)), 45.0, 0.04)
    assert patch.area_mm2 == pytest.approx(200.0)
    assert patch.plan_area_mm2 == pytest.approx(200.0)
    assert patch.lowest_angle_deg == pytest.approx(0.0, abs=1e-9)
    assert math.isinf(patch.overhang_step_mm)
    assert patch.lowest_edge_mm == pytest.approx(2 * (10 + 20))
    assert patch.is_island
    assert (patch.z_min_mm, patch.z_max_mm) == (3.0, 3.0)
    assert patch.centre_mm == pytest.approx((0.0, 0.0, 3.0))


def test_a_box_on_the_plate_has_no_patch() -> None:
    assert find_patches(body(lifted_box((10, 20, 5), 0.0)), 45.0, 0.04) == ()


def test_the_plate_tolerance_is_two_hundredths_of_a_mm() -> None:
    assert len(low_angle_faces(body(lifted_box((10, 20, 5), 0.019)), 45.0)) == 0
    assert len(low_angle_faces(body(lifted_box((10, 20, 5), 0.021)), 45.0)) == 2


@pytest.mark.parametrize("angle_deg", [5.0, 20.0, 30.0, 44.9])
def test_a_wedge_has_its_angle_area_and_step(angle_deg: float) -> None:
    (patch,) = find_patches(body(wedge(angle_deg)), 45.0, 0.04)
    assert patch.lowest_angle_deg == pytest.approx(angle_deg)
    assert patch.mean_angle_deg == pytest.approx(angle_deg)
    assert patch.area_mm2 == pytest.approx(10 / math.cos(math.radians(angle_deg)) * 8)
    assert patch.plan_area_mm2 == pytest.approx(80.0)
    assert patch.overhang_step_mm == pytest.approx(0.04 / math.tan(math.radians(angle_deg)))
    assert not patch.is_island


def test_a_wedge_on_a_wall_is_carried_along_its_lower_edge() -> None:
    (patch,) = find_patches(body(wedge(30.0)), 45.0, 0.04)
    assert patch.lowest_edge_mm == pytest.approx(0.0)


def test_a_floating_wedge_starts_along_its_lower_edge_only() -> None:
    mesh = extruded([(0, 5), (10, 5 + 10 * math.tan(math.radians(30))), (10, 30), (0, 30)], 8.0)
    (patch,) = find_patches(body(mesh), 45.0, 0.04)
    assert patch.lowest_edge_mm == pytest.approx(8.0)
    assert patch.is_island


def test_exactly_45_degrees_in_float32_is_not_below_45() -> None:
    for shift in (0.0, 0.1, 33.3, 77.7):
        mesh = extruded([(0, 0), (5, 0), (5, 5), (15, 15), (15, 30), (0, 30)], 8.0)
        vertices = (np.asarray(mesh.vertices) + shift * np.array([1, 1, 0])).astype(np.float32)
        assert len(low_angle_faces(part_of(vertices, mesh.faces), 45.0)) == 0
        assert len(low_angle_faces(part_of(vertices, mesh.faces), 45.1)) == 2


def test_a_bridge_ceiling_starts_only_where_no_leg_stands() -> None:
    # legs 5 mm wide at both ends of a 30 x 8 bridge: the 20 x 8 ceiling has two free sides of 20 mm
    mesh = extruded([(0, 0), (5, 0), (5, 10), (25, 10), (25, 0), (30, 0), (30, 15), (0, 15)], 8.0)
    (patch,) = find_patches(body(mesh), 45.0, 0.04)
    assert patch.area_mm2 == pytest.approx(160.0)
    assert patch.lowest_edge_mm == pytest.approx(40.0)
    assert not patch.is_island


def test_a_tooth_that_hangs_from_a_bridge_is_an_island_and_the_bridge_is_not() -> None:
    outline = [
        (0, 0),
        (5, 0),
        (5, 10),
        (12, 10),
        (12, 6),
        (18, 6),
        (18, 10),
        (25, 10),
        (25, 0),
        (30, 0),
        (30, 15),
        (0, 15),
    ]
    patches = find_patches(body(extruded(outline, 8.0)), 45.0, 0.04)
    assert {(round(p.z_min_mm), p.is_island) for p in patches} == {(6, True), (10, False)}
    assert patches[0].is_island


def test_a_quarter_of_a_horizontal_cylinder_is_below_45_degrees() -> None:
    # the arc from -45 to 45 degrees about the lowest line is 90 of 360 degrees: 1/4 of the lateral area
    sections = 720
    mesh = trimesh.creation.cylinder(radius=10.0, height=40.0, sections=sections)
    mesh.apply_transform(trimesh.transformations.rotation_matrix(math.pi / 2, [1, 0, 0]))
    mesh.apply_translation([0, 0, 15])
    (patch,) = find_patches(body(mesh), 45.0, 0.04)
    assert patch.area_mm2 == pytest.approx(2 * math.pi * 10 * 40 / 4, rel=4 / sections)
    assert patch.is_island


def test_a_sphere_below_an_angle_is_a_cap() -> None:
    # cap of half angle a: area 2 pi r^2 (1 - cos a), Archimedes
    mesh = trimesh.creation.icosphere(subdivisions=6, radius=10.0)
    mesh.apply_translation([0, 0, 12])
    (patch,) = find_patches(body(mesh), 45.0, 0.04)
    assert patch.area_mm2 == pytest.approx(2 * math.pi * 100 * (1 - math.cos(math.pi / 4)), rel=0.01)
    assert patch.is_island and patch.lowest_edge_mm == 0.0


def test_angles_agree_with_the_normals_of_trimesh() -> None:
    mesh = trimesh.creation.torus(20, 5, 40, 20)
    expected = np.degrees(np.arccos(np.clip(-mesh.face_normals[:, 2], -1, 1)))
    assert downskin_angles_deg(body(mesh)) == pytest.approx(expected, abs=1e-5)


def test_neighbours_agree_with_the_adjacency_of_trimesh() -> None:
    mesh = trimesh.creation.torus(20, 5, 40, 20)
    across = face_neighbours(body(mesh)).across
    pairs = {tuple(sorted((f, int(g)))) for f in range(len(across)) for g in across[f]}
    assert pairs == {tuple(sorted(pair)) for pair in mesh.face_adjacency.tolist()}


def test_patch_ids_follow_the_lowest_triangle_and_the_order_follows_the_risk() -> None:
    small, large = lifted_box((1, 1, 5), 3.0), lifted_box((30, 30, 5), 3.0)
    large.apply_translation([50, 0, 0])
    patches = find_patches(body(trimesh.util.concatenate([small, large])), 45.0, 0.04)
    assert [patch.id for patch in patches] == [2, 1]
    assert patches[0].risk > patches[1].risk
    assert all(0 <= patch.risk <= 1 for patch in patches)


def test_patches_partition_the_low_angle_faces() -> None:
    part = body(trimesh.creation.torus(20, 5, 60, 30).apply_translation([0, 0, 10]))
    faces = np.concatenate([patch.faces for patch in find_patches(part, 45.0, 0.04)])
    assert np.array_equal(np.sort(faces), low_angle_faces(part, 45.0))


def test_a_tiny_patch_is_kept_with_low_risk() -> None:
    (patch,) = find_patches(body(lifted_box((0.2, 0.2, 5), 3.0)), 45.0, 0.04)
    assert patch.area_mm2 == pytest.approx(0.04) and patch.risk < 0.05


def test_a_click_on_a_kinked_roof_stops_at_a_bend_of_the_grow_angle() -> None:
    # two slopes, 10 and 40 degrees: they meet at a bend of 30 degrees
    x1, z1 = 15, 5 + 10 * math.tan(math.radians(10))
    outline = [(0, 0), (5, 0), (5, 5), (x1, z1), (25, z1 + 10 * math.tan(math.radians(40))), (25, 40), (0, 40)]
    part = body(extruded(outline, 8.0))
    flat = int(np.argmin(downskin_angles_deg(part) + 1000 * (part.corners_mm[:, :, 2].max(axis=1) < 1)))
    assert len(grow_faces(part, flat, 45.0, 29.0)) == 2
    assert len(grow_faces(part, flat, 45.0, 31.0)) == 4


def test_a_click_on_a_steep_face_takes_nothing_and_a_face_that_is_not_there_is_refused() -> None:
    part = body(lifted_box((10, 20, 5), 3.0))
    wall = int(np.argmin(np.abs(downskin_angles_deg(part) - 90)))
    assert grow_faces(part, wall, 45.0, 20.0).size == 0
    with pytest.raises(Refusal):
        grow_faces(part, 12, 45.0, 20.0)


def test_a_click_on_a_step_part_takes_the_whole_face() -> None:
    box = lifted_box((10, 20, 5), 3.0)
    kinds = np.round(box.face_normals @ [1, 2, 4]).astype(int)
    part = part_of(box.vertices, box.faces, kinds)
    low = low_angle_faces(part, 45.0)
    assert np.array_equal(grow_faces(part, int(low[0]), 45.0, 0.0), low)


def test_broken_meshes_do_not_stop_the_search() -> None:
    box = lifted_box((10, 20, 5), 3.0)
    faces = np.concatenate([box.faces[:-1], box.faces[:2], [[0, 0, 0], [0, 1, 1]]])
    assert find_patches(part_of(box.vertices, faces), 45.0, 0.04)
    assert find_patches(part_of(np.zeros((3, 3)), [[0, 1, 2]]), 45.0, 0.04) == ()


@pytest.mark.parametrize("limit", [0.0, -1.0, 91.0, math.nan])
def test_a_limit_out_of_range_is_refused(limit: float) -> None:
    with pytest.raises(Refusal):
        low_angle_faces(body(lifted_box((1, 1, 1), 1.0)), limit)
