"""Scores of build directions against counting by hand, another library, and symmetry."""

import numpy as np
import pytest
import trimesh

from core.part.downskin import find_patches
from core.part.orientation_front import front_of, spread_out
from core.part.orientation_scores import FINE_CELLS, score_directions
from core.part.orientations import fibonacci_directions, turn_for
from core.part.part import Part
from core.part.place_on_plate import Pose, place_on_plate, rotation_matrix
from tests.orient.solids import box, gallows, part_of, ring, tee

UP = np.array([[0.0, 0.0, 1.0]])
GAP_MM = 0.3


def test_a_box_on_any_of_its_six_sides_has_no_low_angle_face() -> None:
    scores = score_directions(box(30, 20, 10), np.concatenate([np.eye(3), -np.eye(3)]), 45.0, GAP_MM)
    assert scores.low_angle_mm2.tolist() == [0.0] * 6
    assert scores.height_mm == pytest.approx([30, 20, 10] * 2)
    assert scores.rest_mm2 == pytest.approx([200, 300, 600] * 2)
    assert scores.patches.tolist() == scores.islands.tolist() == [0.0] * 6


def test_a_box_tilted_by_30_degrees_looks_down_with_one_long_side() -> None:
    """About Y by 30°: its 30 × 20 mm side lies at 30°, its 20 × 10 mm side at 60°, which isn't low."""
    scores = score_directions(box(30, 20, 10), rotation_matrix((0.0, 30.0, 0.0))[2:3], 45.0, GAP_MM)
    assert scores.low_angle_mm2 == pytest.approx([600.0])
    assert scores.height_mm == pytest.approx([10 * np.cos(np.pi / 6) + 30 * np.sin(np.pi / 6)])
    assert scores.column_mm == pytest.approx([15.0 - GAP_MM], abs=0.2)
    # a wedge 30 cos 30° long, 15 mm high, 20 mm wide, less the gap over its plan
    long = 30 * np.cos(np.pi / 6)
    assert scores.column_mm3 == pytest.approx([20 * long * (7.5 - GAP_MM)], rel=0.03)


def test_a_tee_has_two_wings_with_free_columns() -> None:
    """Two wings of 20 × 10 mm, 30 mm above the plate: 400 mm², and 400 × (30 - gap) mm³ below them."""
    scores = score_directions(tee(), UP, 45.0, GAP_MM, cells=FINE_CELLS)
    assert (scores.low_angle_mm2[0], scores.patches[0], scores.islands[0]) == (pytest.approx(400.0), 2, 0)
    assert scores.column_mm3 == pytest.approx([400 * (30 - GAP_MM)], rel=0.01)
    assert scores.over_mm2[0] == scores.stuck_mm2[0] == 0.0 and scores.removable[0]
    assert scores.patch_mm == pytest.approx([30.0])


def test_a_tee_upside_down_stands_on_its_beam() -> None:
    scores = score_directions(tee(), -UP, 45.0, GAP_MM)
    assert scores.low_angle_mm2[0] == 0.0 and scores.rest_mm2 == pytest.approx([500.0])


def test_an_arm_over_the_foot_has_its_column_on_the_foot_and_lets_it_out_sideways() -> None:
    """The arm's underside at 35 mm over the foot's top at 5 mm, 30 × 10 mm."""
    scores = score_directions(gallows(), UP, 45.0, GAP_MM, cells=FINE_CELLS)
    assert scores.low_angle_mm2 == pytest.approx([300.0])
    assert scores.column_mm3 == pytest.approx([300 * (30 - GAP_MM)], rel=0.01)
    assert scores.over_mm2 == pytest.approx([300.0], rel=0.02)
    assert scores.stuck_mm2[0] == 0.0 and scores.removable[0]


def test_a_closed_hollow_keeps_its_column_in() -> None:
    """A cavity of 10 mm in a block of 20 mm: its ceiling of 100 mm² looks down, nothing gets out."""
    hollow = trimesh.util.concatenate(
        [trimesh.creation.box((20, 20, 20)), trimesh.creation.box((10, 10, 10)).copy()]
    )
    hollow.faces[12:] = hollow.faces[12:, ::-1]
    scores = score_directions(part_of(hollow), UP, 45.0, GAP_MM, cells=FINE_CELLS)
    assert scores.low_angle_mm2 == pytest.approx([100.0])
    assert scores.stuck_mm2 == pytest.approx([100.0], rel=0.03) and not scores.removable[0]
    assert scores.islands[0] == 0, "its floor is a hollow with metal below, its ceiling hangs on the walls"


def test_islands_are_lowest_places_in_mid_air_with_metal_above() -> None:
    """A table on one leg, with two pegs that hang from it and one hole in its top: the pegs start in mid-air."""
    top = trimesh.creation.box(bounds=[[0, 0, 20], [40, 40, 25]])
    leg = trimesh.creation.box(bounds=[[0, 0, 0], [10, 10, 21]])
    pegs = [trimesh.creation.box(bounds=[[x, 30, 12], [x + 4, 34, 21]]) for x in (12, 30)]
    dent = trimesh.creation.box(bounds=[[20, 10, 23], [24, 14, 30]])
    table = trimesh.boolean.difference([trimesh.boolean.union([top, leg, *pegs], engine="manifold"), dent],
                                       engine="manifold")  # fmt: skip
    scores = score_directions(part_of(table), UP, 45.0, GAP_MM)
    assert scores.islands[0] == 2
    assert scores.low_angle_mm2 == pytest.approx([40 * 40 - 10 * 10])


def lumpy() -> Part:
    """A torus with a ball on it: no symmetry that could hide a fault."""
    torus = trimesh.creation.torus(20, 6, major_sections=48, minor_sections=24)
    ball = trimesh.creation.icosphere(subdivisions=3, radius=9).apply_translation([17, 5, 8])
    return part_of(trimesh.boolean.union([torus, ball], engine="manifold"))


def test_low_angle_area_agrees_with_trimesh_in_random_directions() -> None:
    """trimesh turns the mesh, gives areas and normals of its own; the plate rule is written out here again."""
    part = lumpy()
    rng = np.random.default_rng(5)
    directions = rng.normal(size=(40, 3))
    directions /= np.linalg.norm(directions, axis=1)[:, None]
    scores = score_directions(part, directions, 45.0, GAP_MM)
    for k, direction in enumerate(directions):
        mesh = trimesh.Trimesh(part.vertices_mm, part.triangles, process=False)
        mesh.apply_transform(trimesh.geometry.align_vectors(direction, [0, 0, 1]))
        mesh.apply_translation([0, 0, -mesh.bounds[0, 2]])
        low = np.degrees(np.arccos(np.clip(-mesh.face_normals[:, 2], -1, 1))) < 45.0 - 0.01
        resting = (mesh.triangles[:, :, 2] <= 0.02).all(axis=1)
        assert scores.low_angle_mm2[k] == pytest.approx(mesh.area_faces[low & ~resting].sum(), rel=1e-9)
        assert scores.height_mm[k] == pytest.approx(mesh.bounds[1, 2], rel=1e-9)


def test_columns_agree_with_rays_straight_down() -> None:
    """From places spread over the low-angle faces of a mesh turned by trimesh; every triangle is tried, no cells."""
    part = lumpy()
    direction = np.array([0.36, 0.48, 0.8])
    scores = score_directions(part, direction[None], 45.0, 0.0, cells=400)
    mesh = trimesh.Trimesh(part.vertices_mm, part.triangles, process=False)
    mesh.apply_transform(trimesh.geometry.align_vectors(direction, [0, 0, 1]))
    mesh.apply_translation([0, 0, -mesh.bounds[0, 2]])
    low = np.flatnonzero(np.degrees(np.arccos(-mesh.face_normals[:, 2].clip(-1, 1))) < 44.99)
    rng = np.random.default_rng(1)
    weight = mesh.area_faces[low] * -mesh.face_normals[low, 2]
    n = 3000
    corners = mesh.triangles[rng.choice(low, n, p=weight / weight.sum())]
    at = (corners * rng.dirichlet([1, 1, 1], n)[:, :, None]).sum(axis=1)
    a, b, c = (mesh.triangles[:, i] for i in range(3))
    turn = (b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]
    real = np.abs(turn) > 1e-12
    a, b, c, turn = a[real], b[real], c[real], turn[real]
    length = np.empty(n)
    for k, (x, y, z) in enumerate(at):
        one = ((x - a[:, 0]) * (c - a)[:, 1] - (y - a[:, 1]) * (c - a)[:, 0]) / turn
        two = ((b - a)[:, 0] * (y - a[:, 1]) - (b - a)[:, 1] * (x - a[:, 0])) / turn
        inside = (one >= 0) & (two >= 0) & (one + two <= 1)
        met = (a[:, 2] + one * (b - a)[:, 2] + two * (c - a)[:, 2])[inside]
        length[k] = z - max([0.0, *met[met < z - 1e-6]])
    assert scores.plan_mm2 == pytest.approx([weight.sum()], rel=0.01)
    spread = 3 * length.std() / np.sqrt(n) / length.mean()
    assert scores.column_mm3 == pytest.approx([weight.sum() * length.mean()], rel=spread + 0.01)


def test_patches_and_area_are_those_of_the_real_chain() -> None:
    part = lumpy()
    directions = fibonacci_directions(25)
    turns = [turn_for(direction) for direction in directions]
    scores = score_directions(part, np.array([rotation_matrix(turn)[2] for turn in turns]), 45.0, GAP_MM)
    for k, turn in enumerate(turns):
        patches = find_patches(place_on_plate(part, Pose(rotate_deg=turn, drop=True)), 45.0, 0.04)
        assert scores.patches[k] == len(patches)
        assert scores.low_angle_mm2[k] == pytest.approx(sum(patch.area_mm2 for patch in patches))


def test_a_symmetric_part_scores_the_same_in_mirrored_directions() -> None:
    """A tube: turned end for end, and mirrored at its planes of symmetry, it is the same part."""
    direction = np.array([0.5, 0.3, np.sqrt(1 - 0.34)])
    mirrored = direction * [[1, 1, 1], [-1, 1, 1], [1, -1, 1], [-1, -1, 1], [1, 1, -1], [-1, -1, -1]]
    scores = score_directions(ring(), mirrored, 45.0, GAP_MM, cells=FINE_CELLS)
    for name in ("low_angle_mm2", "patches", "islands", "height_mm", "patch_mm"):
        assert getattr(scores, name) == pytest.approx([getattr(scores, name)[0]] * 6, rel=1e-6), name
    assert scores.column_mm3 == pytest.approx([scores.column_mm3[0]] * 6, rel=0.01)


def test_the_front_holds_what_nothing_beats_and_one_of_equals() -> None:
    values = np.array([[0, 10], [10, 0], [5, 5], [6, 6], [0, 10], [5, 4.999], [10, 10]], dtype=float)
    front = front_of(values, np.array([0.1, 0.1]))
    assert values[front].tolist() == [[0, 10], [10, 0], [5, 4.999]]


def test_a_long_front_is_thinned_to_its_ends_and_an_even_spread() -> None:
    x = np.linspace(0, 1, 201)
    chosen = spread_out(np.column_stack([x, 1 - x]), 5)
    assert sorted(x[chosen].round(2).tolist()) == pytest.approx([0, 0.25, 0.5, 0.75, 1], abs=0.13)
