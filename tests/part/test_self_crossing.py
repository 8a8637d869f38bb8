"""Crossing faces: found where bodies cut each other, never reported on sound bodies."""

import manifold3d
import numpy as np
import pytest
import trimesh

from core.part.self_crossing import count_self_crossings, crossings_in_words, find_crossings


def crossings(*meshes: trimesh.Trimesh) -> int:
    mesh = trimesh.util.concatenate(list(meshes))
    return count_self_crossings(np.asarray(mesh.vertices), np.asarray(mesh.faces, dtype=np.int32))


def box(size: tuple[float, float, float], at: tuple[float, float, float] = (0, 0, 0)) -> trimesh.Trimesh:
    return trimesh.creation.box(size).apply_translation(at)


def gyroid() -> trimesh.Trimesh:
    def inside(x: float, y: float, z: float) -> float:
        return float(0.6 - abs(np.sin(x) * np.cos(y) + np.sin(y) * np.cos(z) + np.sin(z) * np.cos(x)))

    mesh = manifold3d.Manifold.level_set(inside, [-4, -4, -4, 4, 4, 4], 0.35).to_mesh()
    return trimesh.Trimesh(mesh.vert_properties[:, :3], mesh.tri_verts, process=False)


SOUND = {
    "sphere": lambda: trimesh.creation.icosphere(subdivisions=5, radius=10),
    "box": lambda: box((10, 20, 30)),
    "fine box": lambda: box((10, 20, 30)).subdivide().subdivide().subdivide(),
    "tube": lambda: trimesh.creation.annulus(5, 5.2, 40, sections=300),
    "torus": lambda: trimesh.creation.torus(20, 5, 120, 60),
    "cone": lambda: trimesh.creation.cone(10, 20, sections=200),
    "gyroid": gyroid,
}


@pytest.mark.parametrize("kind", SOUND)
def test_a_sound_body_has_no_crossing_wherever_and_however_it_lies(kind: str) -> None:
    mesh = SOUND[kind]()
    assert crossings(mesh) == 0
    rng = np.random.default_rng(1)
    for _ in range(4):
        turned = mesh.copy().apply_transform(trimesh.transformations.random_rotation_matrix(rng.random(3)))
        turned.vertices = (np.asarray(turned.vertices) + rng.uniform(-500, 500, 3)).astype(np.float32)
        assert crossings(turned) == 0


def test_two_crossing_spheres_are_found() -> None:
    ball = trimesh.creation.icosphere(subdivisions=3, radius=10)
    assert crossings(ball, ball.copy().apply_translation([15, 0, 0])) > 0
    assert crossings(ball, ball.copy().apply_translation([20.5, 0, 0])) == 0


def test_a_bar_through_the_middle_of_a_box_is_found() -> None:
    assert crossings(box((2, 2, 2)), box((1, 1, 6))) > 0


def test_boxes_that_overlap_with_flush_sides_are_found() -> None:
    assert crossings(box((2, 1, 1)), box((2, 1, 1), (1, 0, 0))) > 0


def test_boxes_that_only_touch_do_not_cross() -> None:
    for at in [(2, 0, 0), (2, 0.3, 0.2), (2, 1, 0.3), (2, 1, 1)]:
        assert crossings(box((2, 1, 1)), box((2, 1, 1), at)) == 0


def test_touching_bodies_rounded_to_float32_do_not_cross() -> None:
    rng = np.random.default_rng(2)
    for _ in range(20):
        pair = trimesh.util.concatenate([box((20, 10, 10)), box((20, 10, 10), (20, 3, 2))])
        pair.apply_transform(trimesh.transformations.random_rotation_matrix(rng.random(3)))
        pair.vertices = (np.asarray(pair.vertices) + rng.uniform(-100, 100, 3)).astype(np.float32)
        assert crossings(pair) == 0


def test_a_body_inside_another_does_not_cross_it() -> None:
    assert crossings(box((10, 10, 10)), box((2, 2, 2))) == 0


def test_random_boxes_cross_exactly_when_an_exact_boolean_says_their_walls_meet() -> None:
    # reference: manifold3d; walls meet when the common volume is neither zero nor all of one box
    rng = np.random.default_rng(3)
    for _ in range(60):
        a, b = (box(tuple(rng.uniform(1, 6, 3))) for _ in range(2))
        for mesh in (a, b):
            mesh.apply_transform(trimesh.transformations.random_rotation_matrix(rng.random(3)))
            mesh.apply_translation(rng.uniform(-3, 3, 3))
        solids = [
            manifold3d.Manifold(manifold3d.Mesh(np.asarray(m.vertices, np.float32), np.asarray(m.faces, np.uint32)))
            for m in (a, b)
        ]
        common = (solids[0] ^ solids[1]).volume()
        meets = 1e-6 < common < min(s.volume() for s in solids) - 1e-4
        assert (crossings(a, b) > 0) == meets


def test_the_sentence_tells_bodies_from_one_folded_surface() -> None:
    ball = trimesh.creation.icosphere(subdivisions=3, radius=10)
    two = trimesh.util.concatenate([ball, ball.copy().apply_translation([15, 0, 0])])
    vertices, triangles = np.asarray(two.vertices), np.asarray(two.faces, dtype=np.int32)
    assert crossings_in_words(find_crossings(vertices, triangles), vertices, triangles).startswith("2 bodies cross")
    folded = trimesh.creation.icosphere(subdivisions=3, radius=10)
    folded.vertices[np.argmax(folded.vertices[:, 2])] = [0, 0, -25]
    vertices, triangles = np.asarray(folded.vertices), np.asarray(folded.faces, dtype=np.int32)
    sentence = crossings_in_words(find_crossings(vertices, triangles), vertices, triangles)
    assert sentence.startswith("The surface crosses")


def test_random_solids_of_an_exact_boolean_have_no_crossing_after_rounding_to_float32() -> None:
    rng = np.random.default_rng(6)
    for _ in range(12):
        solid = manifold3d.Manifold.cube((10, 8, 6), True)
        for _ in range(4):
            tool = manifold3d.Manifold.cylinder(20, *rng.uniform(0.5, 3, 2).tolist(), 48, True)
            tool = tool.rotate(rng.uniform(0, 360, 3).tolist()).translate(rng.uniform(-3, 3, 3).tolist())
            solid = solid + tool if rng.random() < 0.5 else solid - tool
        mesh = solid.to_mesh()
        points = (np.asarray(mesh.vert_properties)[:, :3] + rng.uniform(-200, 200, 3)).astype(np.float32)
        assert crossings(trimesh.Trimesh(points, np.asarray(mesh.tri_verts), process=False)) == 0
