"""What is mended, what is only said, and that every sentence is true."""

from collections.abc import Callable

import numpy as np
import pytest
import trimesh

from core.part.mesh_health import MendedMesh, mend
from core.part.part import Part
from core.refusal import Refusal

Loader = Callable[..., Part]


def box(size: float = 10.0, at: tuple[float, float, float] = (0, 0, 0)) -> trimesh.Trimesh:
    return trimesh.creation.box((size, size, size)).apply_translation(at)


def mended(mesh: trimesh.Trimesh, faces: object = None, indexed: bool = True) -> MendedMesh:
    return mend(
        np.asarray(mesh.vertices), np.asarray(mesh.faces if faces is None else faces, np.int32), indexed=indexed
    )


def volume(mesh: MendedMesh) -> float:
    return float(trimesh.Trimesh(mesh.points, mesh.triangles, process=False).volume)


def test_a_sound_body_is_left_as_it_is() -> None:
    mesh = trimesh.creation.torus(20, 5, 40, 20)
    result = mended(mesh)
    assert np.array_equal(result.triangles, mesh.faces) and np.array_equal(result.kept, np.arange(len(mesh.faces)))
    assert result.health.repaired == () and result.health.problems == () and result.health.bodies == 1


def test_loose_triangles_are_welded_in_file_order() -> None:
    mesh = trimesh.creation.torus(20, 5, 40, 20)
    loose = mend(
        mesh.triangles.reshape(-1, 3), np.arange(3 * len(mesh.faces), dtype=np.int32).reshape(-1, 3), indexed=False
    )
    assert len(loose.points) == len(mesh.vertices) and loose.health.watertight
    assert np.array_equal(loose.points[loose.triangles], mesh.triangles)


def test_minus_zero_and_zero_are_one_place() -> None:
    triangles = box().triangles.copy() + 5.0
    triangles[::2][triangles[::2] == 0] = -0.0
    result = mend(triangles.reshape(-1, 3), np.arange(36, dtype=np.int32).reshape(-1, 3), indexed=False)
    assert len(result.points) == 8 and result.health.watertight


@pytest.mark.parametrize("seed", range(3))
def test_triangles_turned_at_random_come_back_outward(seed: int) -> None:
    mesh = trimesh.creation.icosphere(subdivisions=3, radius=10)
    turned = np.random.default_rng(seed).random(len(mesh.faces)) < 0.3
    faces = np.where(turned[:, None], mesh.faces[:, ::-1], mesh.faces)
    result = mended(mesh, faces)
    assert result.health.flipped_faces == turned.sum()
    assert volume(result) == pytest.approx(mesh.volume) and result.health.problems == ()
    assert any("turned round" in text for text in result.health.repaired)


def test_an_inside_out_body_is_turned_outward() -> None:
    result = mended(box(), box().faces[:, ::-1])
    assert volume(result) == pytest.approx(1000.0)
    assert any("inward" in text for text in result.health.repaired)


def test_a_cavity_stays_a_cavity_and_a_body_inside_the_cavity_a_body() -> None:
    shells = [box(10), box(6), box(2)]
    shells[1].invert()
    result = mended(trimesh.util.concatenate(shells))
    assert volume(result) == pytest.approx(1000 - 216 + 8)
    assert result.health.bodies == 2 and result.health.repaired == ()


def test_a_cavity_that_faces_outward_is_turned_inward_and_said() -> None:
    result = mended(trimesh.util.concatenate([box(10), box(6)]))
    assert volume(result) == pytest.approx(1000 - 216)
    assert result.health.bodies == 1 and any("cavity" in text for text in result.health.repaired)


def test_many_pores_are_all_cavities() -> None:
    rng = np.random.default_rng(4)
    places = np.stack(np.meshgrid(*[np.arange(-40, 41, 10.0)] * 3), axis=-1).reshape(-1, 3)
    pores = [
        trimesh.creation.icosphere(subdivisions=1, radius=2).apply_translation(p + rng.uniform(-1, 1, 3))
        for p in places
    ]
    result = mended(trimesh.util.concatenate([box(100), *pores]))
    assert result.health.bodies == 1
    assert volume(result) == pytest.approx(1e6 - len(pores) * pores[0].volume)


def test_bodies_side_by_side_are_counted() -> None:
    assert mended(trimesh.util.concatenate([box(10, (20 * i, 0, 0)) for i in range(5)])).health.bodies == 5


def test_an_open_box_is_said_with_its_edges() -> None:
    result = mended(box(), box().faces[:-2])
    assert result.health.open_edges == 4 and len(result.open_edge_points_mm) == 4
    lengths = np.linalg.norm(np.diff(result.open_edge_points_mm, axis=1), axis=2)
    assert lengths.ravel() == pytest.approx([10.0] * 4)
    assert not result.health.buildable and "open along 4 edges" in result.health.problems[0]


def test_a_hairline_crack_is_closed_and_said() -> None:
    mesh = trimesh.creation.icosphere(subdivisions=3, radius=50)
    triangles = mesh.triangles.copy()
    triangles[::7] += 2e-4  # 0.2 µm
    result = mend(triangles.reshape(-1, 3), np.arange(3 * len(triangles), dtype=np.int32).reshape(-1, 3), indexed=False)
    assert result.health.watertight and len(result.triangles) == len(triangles)
    assert any("cracks" in text for text in result.health.repaired)


def test_a_wide_crack_is_left_open() -> None:
    triangles = trimesh.creation.icosphere(subdivisions=2, radius=50).triangles.copy()
    triangles[::7] += 0.01
    result = mend(triangles.reshape(-1, 3), np.arange(3 * len(triangles), dtype=np.int32).reshape(-1, 3), indexed=False)
    assert result.health.open_edges > 0 and not result.health.buildable


def test_copies_and_collapsed_triangles_are_dropped_and_the_rest_keeps_its_number() -> None:
    mesh = box()
    faces = np.concatenate(
        [mesh.faces[:3], [[1, 1, 2]], mesh.faces[3:], mesh.faces[:1], np.roll(mesh.faces[4:5], 1, axis=1)]
    )
    result = mended(mesh, faces)
    assert result.health.watertight and result.health.buildable
    assert (result.health.degenerate_faces, result.health.duplicate_faces) == (1, 2)
    assert np.array_equal(result.kept, [0, 1, 2, *range(4, 13)])


def test_two_boxes_that_share_a_wall_become_one_body() -> None:
    pair = trimesh.util.concatenate([box(10), box(10, (10, 0, 0))])
    triangles = pair.triangles.reshape(-1, 3)
    result = mend(triangles, np.arange(len(triangles), dtype=np.int32).reshape(-1, 3), indexed=False)
    if result.health.problems:  # the two walls are cut along different diagonals, so they can't be paired
        assert result.health.nonmanifold_edges > 0
    else:
        assert volume(result) == pytest.approx(2000.0) and result.health.bodies == 1


def test_boxes_that_touch_along_an_edge_can_not_be_built_on() -> None:
    pair = trimesh.util.concatenate([box(10), box(10, (10, 10, 0))])
    triangles = pair.triangles.reshape(-1, 3)
    result = mend(triangles, np.arange(len(triangles), dtype=np.int32).reshape(-1, 3), indexed=False)
    assert result.health.nonmanifold_edges == 1 and not result.health.buildable


def test_sharing_that_the_file_states_is_kept_when_it_closes_the_bodies() -> None:
    assert mended(trimesh.util.concatenate([box(10), box(10, (10, 10, 0))])).health.buildable


def test_a_one_sided_band_is_refused_for_building() -> None:
    # a Moebius band of 9 steps, each two triangles
    n = 9
    angle = np.linspace(0, 2 * np.pi, n, endpoint=False)
    rows = [
        np.stack(
            [
                (10 + s * np.cos(angle / 2)) * np.cos(angle),
                (10 + s * np.cos(angle / 2)) * np.sin(angle),
                s * np.sin(angle / 2),
            ],
            axis=1,
        )
        for s in (-2, 2)
    ]
    points = np.concatenate(rows)
    faces = []
    for i in range(n):
        a, b, c, d = i, n + i, (i + 1) % n, n + (i + 1) % n
        if i == n - 1:
            c, d = d, c
        faces += [[a, c, b], [b, c, d]]
    result = mend(points, np.array(faces, np.int32), indexed=True)
    assert any("one-sided" in text for text in result.health.problems)


def test_a_flat_sheet_encloses_nothing() -> None:
    sheet = np.array([[0, 0, 0], [10, 0, 0], [0, 10, 0]], float)
    assert not mend(sheet, np.array([[0, 1, 2]], np.int32), indexed=True).health.buildable
    with pytest.raises(Refusal):
        mend(sheet, np.array([[0, 1, 2], [0, 2, 1]], np.int32), indexed=False)


def test_numbers_that_are_not_finite_are_refused() -> None:
    points = np.asarray(box().vertices).copy()
    points[3, 1] = np.inf
    with pytest.raises(Refusal):
        mend(points, np.asarray(box().faces, np.int32), indexed=True)


def test_watertight_agrees_with_trimesh_when_faces_are_taken_away() -> None:
    mesh = trimesh.creation.icosphere(subdivisions=2, radius=10)
    for n in (0, 1, 5):
        faces = mesh.faces[n:]
        assert mended(mesh, faces).health.watertight == trimesh.Trimesh(mesh.vertices, faces).is_watertight


def test_what_was_mended_and_what_is_wrong_stands_in_the_warnings(load_mesh: Loader) -> None:
    turned = box()
    turned.invert()
    part = load_mesh(trimesh.util.concatenate([turned, box(10, (5, 3, 2))]))
    assert part.health.self_crossings > 0 and not part.health.watertight and not part.health.buildable
    assert any(w.startswith("Repaired:") for w in part.warnings) and any("cross each other" in w for w in part.warnings)
