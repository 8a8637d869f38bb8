"""Slices against solids whose sections can be worked out by hand, and against two other slicers."""

import itertools
from pathlib import Path

import manifold3d as m3d
import numpy as np
import pytest
import trimesh

from core.part.layers import Layers, slice_layers
from core.part.load_part import load_part
from core.refusal import Refusal

SAMPLES = Path(__file__).resolve().parents[2] / "sample_parts"


def box(size: tuple[float, float, float], low: tuple[float, float, float] = (0.0, 0.0, 0.0)) -> trimesh.Trimesh:
    """A box with its lower corner at a place."""
    return trimesh.creation.box(bounds=[low, np.add(low, size)])


def layers_of(mesh: trimesh.Trimesh, layer_mm: float) -> Layers:
    """Slices of a trimesh body."""
    return slice_layers(np.asarray(mesh.vertices), np.asarray(mesh.faces), layer_mm)


def test_a_box_has_the_same_section_in_every_layer() -> None:
    layers = layers_of(box((3.0, 2.0, 1.0), (5.0, -7.0, 0.0)), 0.04)
    assert len(layers) == 25  # 1 mm in layers of 40 µm
    assert layers.z_mm[[0, -1]] == pytest.approx([0.02, 0.98])
    assert layers.area_mm2 == pytest.approx(np.full(25, 6.0))
    assert layers.perimeter_mm == pytest.approx(np.full(25, 10.0))
    assert layers.box_mm == pytest.approx(np.tile([5.0, -7.0, 8.0, -5.0], (25, 1)))


def test_a_last_layer_less_than_half_full_is_left_out() -> None:
    assert len(layers_of(box((1.0, 1.0, 0.91)), 0.2)) == 5
    assert len(layers_of(box((1.0, 1.0, 0.89)), 0.2)) == 4


def test_a_cone_narrows_by_its_slope() -> None:
    """Inscribed 64-gon of circumradius r: area 32 r² sin(2π/64), perimeter 128 r sin(π/64)."""
    layers = layers_of(trimesh.creation.cone(radius=5.0, height=10.0, sections=64), 0.1)
    radius = 5.0 * (1 - layers.z_mm / 10.0)
    assert layers.area_mm2 == pytest.approx(32 * radius**2 * np.sin(np.pi / 32), rel=1e-9)
    assert layers.perimeter_mm == pytest.approx(128 * radius * np.sin(np.pi / 64), rel=1e-9)


def test_outlines_run_counter_clockwise_round_solid_and_clockwise_round_holes() -> None:
    tube = trimesh.boolean.difference([box((10.0, 10.0, 4.0)), box((4.0, 4.0, 6.0), (3.0, 3.0, -1.0))])
    layers = layers_of(tube, 0.5)
    signed = sorted(
        0.5 * float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1))) for x, y in (loop.T for loop in layers.loops(3))
    )
    assert signed == pytest.approx([-16.0, 100.0])
    (region,) = layers.polygons(3)
    assert region.area == pytest.approx(84.0)
    assert len(region.interiors) == 1


def test_overlapping_bodies_are_one_region_and_a_shared_area_counts_once() -> None:
    both = trimesh.util.concatenate([box((2.0, 2.0, 1.0)), box((2.0, 2.0, 1.0), (1.0, 1.0, 0.0))])
    layers = layers_of(both, 0.25)
    (region,) = layers.polygons(1)
    assert region.area == pytest.approx(7.0)  # 4 + 4 - 1
    assert layers.area_mm2[1] == pytest.approx(8.0)  # the signed sum counts the shared square twice, as documented


def test_a_body_inside_a_cavity_is_a_region_of_its_own() -> None:
    hollow = trimesh.boolean.difference([box((9.0, 9.0, 9.0)), box((5.0, 5.0, 5.0), (2.0, 2.0, 2.0))])
    nested = trimesh.util.concatenate([hollow, box((1.0, 1.0, 1.0), (4.0, 4.0, 4.0))])
    areas = sorted(region.area for region in layers_of(nested, 0.1).polygons(45))
    assert areas == pytest.approx([1.0, 56.0])  # 9² - 5² = 56


def test_cuts_through_corners_and_flat_faces_still_close() -> None:
    stairs = [box((4.0 - k, 4.0, 0.5), (0.0, 0.0, 0.5 * k)) for k in range(4)]
    mesh = trimesh.boolean.union(stairs)
    layers = layers_of(mesh, 1.0)  # cuts at 0.5 and 1.5, exactly on the steps
    assert layers.z_mm == pytest.approx([0.5, 1.5])
    assert [sum(p.area for p in layers.polygons(i)) for i in range(2)] == pytest.approx(layers.area_mm2)
    assert layers.area_mm2 == pytest.approx([16.0, 8.0])  # a corner on the cut counts as above: the lower step is cut


def test_layers_add_up_to_the_volume() -> None:
    """Cavalieri: mid-height sections times the layer are the volume, to second order in the layer."""
    ball = trimesh.creation.icosphere(subdivisions=4, radius=6.0)
    assert layers_of_raised(ball).area_mm2.sum() * 0.02 == pytest.approx(float(ball.volume), rel=1e-5)


def layers_of_raised(mesh: trimesh.Trimesh) -> Layers:
    """Slices of 20 µm of a body put on z = 0."""
    points = np.asarray(mesh.vertices) - [0.0, 0.0, mesh.bounds[0, 2]]
    return slice_layers(points, np.asarray(mesh.faces), 0.02)


@pytest.mark.parametrize("name", ["sensor-bracket", "valve-body", "manifold-block", "sensor-fairing"])
def test_sections_of_the_sample_parts_agree_with_two_other_slicers(name: str) -> None:
    """Outside references: manifold3d's Manifold.slice and trimesh's section."""
    part = load_part(SAMPLES / f"{name}.stl")
    points = part.vertices_mm - [0.0, 0.0, part.low_mm[2]]
    layers = slice_layers(points, part.triangles, 0.04)
    solid = m3d.Manifold(m3d.Mesh64(points, part.triangles.astype(np.uint64)))
    assert solid.status() == m3d.Error.NoError
    mesh = trimesh.Trimesh(points, part.triangles, process=False)
    for i in np.linspace(7, len(layers) - 9, 12).astype(int).tolist():
        z = float(layers.z_mm[i])
        assert layers.area_mm2[i] == pytest.approx(solid.slice(z).area(), abs=1e-4)
        assert layers.section(i).area() == pytest.approx(layers.area_mm2[i], abs=1e-4)
        assert sum(region.area for region in layers.polygons(i)) == pytest.approx(layers.area_mm2[i], abs=1e-4)
        if i % 3 == 0:
            pieces = trimesh.intersections.mesh_plane(mesh, [0, 0, 1], [0, 0, z])
            length = float(np.linalg.norm(pieces[:, 0] - pieces[:, 1], axis=1)[:].sum())
            assert layers.perimeter_mm[i] == pytest.approx(length, abs=1e-6 * length)
            assert layers.pieces[i] == len(layers.segments(i))


def test_pieces_of_all_layers_are_those_of_the_sums() -> None:
    part = load_part(SAMPLES / "sensor-bracket.stl")
    layers = slice_layers(part.vertices_mm, part.triangles, 0.35, float(part.low_mm[2]))
    for i in range(len(layers)):
        segments = layers.segments(i)
        assert len(segments) == layers.pieces[i]
        (x0, y0), (x1, y1) = segments[:, 0].T, segments[:, 1].T
        assert 0.5 * float(np.sum(x0 * y1 - x1 * y0)) == pytest.approx(layers.area_mm2[i], abs=1e-6)


def test_an_open_body_is_refused_with_the_place() -> None:
    mesh = box((2.0, 2.0, 2.0))
    with pytest.raises(Refusal, match=r"isn't closed near x .* close the holes"):
        slice_layers(np.asarray(mesh.vertices), np.asarray(mesh.faces)[:-1], 0.5).polygons(_first_open_layer(mesh, 0.5))


def _first_open_layer(mesh: trimesh.Trimesh, layer_mm: float) -> int:
    """A layer that the last triangle crosses; the lowest or highest faces would be crossed by none."""
    z = np.asarray(mesh.vertices)[np.asarray(mesh.faces)[-1], 2]
    assert np.ptp(z) > layer_mm
    return int(z.min() / layer_mm)


@pytest.mark.parametrize("layer_mm", [0.0, -0.04, float("nan"), float("inf"), 1e-9])
def test_impossible_layers_are_refused(layer_mm: float) -> None:
    with pytest.raises(Refusal, match="layer"):
        layers_of(box((1.0, 1.0, 1.0)), layer_mm)


def test_nothing_above_the_plate_has_no_layers() -> None:
    assert len(slice_layers(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int32), 0.04)) == 0
    assert len(layers_of(box((1.0, 1.0, 1.0), (0.0, 0.0, -3.0)), 0.04)) == 0


def test_turning_the_corner_order_of_triangles_changes_nothing() -> None:
    mesh = trimesh.creation.icosphere(subdivisions=2, radius=3.0)
    points, faces = np.asarray(mesh.vertices) + [0, 0, 3.0], np.asarray(mesh.faces)
    areas = [slice_layers(points, np.roll(faces, turn, axis=1), 0.1).area_mm2 for turn in range(3)]
    for one, other in itertools.pairwise(areas):
        assert one == pytest.approx(other, abs=1e-12)
