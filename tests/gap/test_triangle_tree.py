"""The box tree against libraries that know nothing of it: python-fcl, manifold3d, VTK, and plain formulas.

fcl: Pan, Chitta, Manocha, "FCL: a general purpose library for collision and proximity queries" (ICRA 2012).
"""

import fcl
import manifold3d as m3d
import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from vtkmodules.vtkCommonDataModel import vtkTriangle

from core.part.triangle_distance import triangle_distance_squared
from core.part.triangle_tree import TriangleTree
from core.units import FloatArray
from tests.fcl_object import fcl_object

CLOSE_MM = 1e-9
seeds = st.integers(0, 2**32 - 1)


def solid_pair(seed: int, gap: float) -> tuple[m3d.Manifold, m3d.Manifold]:
    """Two solids of different make, turned at random and some way apart along x."""
    rng = np.random.default_rng(seed)
    n = int(rng.integers(4, 60))
    shapes = [
        m3d.Manifold.sphere(5.0, n),
        m3d.Manifold.cube([9.0, 4.0, 0.3], True),
        m3d.Manifold.cylinder(8.0, 3.0, 0.5, n),
        m3d.Manifold.cube([6.0, 6.0, 6.0], True) - m3d.Manifold.cylinder(20.0, 2.0, -1.0, n, True),
        m3d.CrossSection.circle(1.0, 16).translate([4.0, 0.0]).revolve(n),
    ]
    first, second = (shapes[int(k)].rotate(rng.uniform(0, 360, 3).tolist()) for k in rng.integers(0, len(shapes), 2))
    apart = first.bounding_box()[3] - second.bounding_box()[0] + gap
    return first, second.translate([apart, float(rng.uniform(-3, 3)), float(rng.uniform(-3, 3))])


def corners(solid: m3d.Manifold) -> FloatArray:
    mesh = solid.to_mesh64()
    return np.asarray(mesh.vert_properties)[:, :3][np.asarray(mesh.tri_verts).astype(np.int64)]


def fcl_distance(first: FloatArray, second: FloatArray) -> float:
    objects = [
        fcl_object(triangles.reshape(-1, 3), np.arange(3 * len(triangles)).reshape(-1, 3))
        for triangles in (first, second)
    ]
    return float(fcl.distance(*objects, fcl.DistanceRequest(), fcl.DistanceResult()))


def pair_distance(first: FloatArray, second: FloatArray) -> float:
    return float(np.sqrt(triangle_distance_squared(first[None], 0, second[None], 0, np.inf)))


def vtk_distance(triangle: FloatArray, point: FloatArray) -> float:
    cell, at, where, weights = vtkTriangle(), [0.0] * 3, [0.0] * 3, [0.0] * 3
    for k in range(3):
        cell.GetPoints().SetPoint(k, triangle[k])
    from vtkmodules.vtkCommonCore import mutable

    which, square = mutable(0), mutable(0.0)
    cell.EvaluatePosition(point, at, which, where, square, weights)
    return float(np.sqrt(square.get()))


@given(seed=seeds, gap=st.sampled_from([-2.0, 0.0, 1e-6, 0.01, 0.3, 5.0]))
@settings(max_examples=60, deadline=None, derandomize=True)
def test_solids_are_as_far_apart_as_fcl_and_manifold3d_say(seed: int, gap: float) -> None:
    first, second = solid_pair(seed, gap)
    a, b = corners(first), corners(second)
    distance, own, other = TriangleTree.of(a).distance_to(b)
    assert distance == pytest.approx(first.min_gap(second, 100.0), abs=CLOSE_MM)
    if distance > 0:
        assert distance == pytest.approx(fcl_distance(a, b), abs=CLOSE_MM)
        assert pair_distance(a[own], b[other]) == pytest.approx(distance, abs=1e-12)
    assert TriangleTree.of(b).distance_to(a)[0] == pytest.approx(distance, abs=1e-12)


@given(seed=seeds)
@settings(max_examples=25, deadline=None, derandomize=True)
def test_a_bound_leaves_the_answer_as_it_is_or_says_that_nothing_is_nearer(seed: int) -> None:
    first, second = solid_pair(seed, 0.5)
    tree, other = TriangleTree.of(corners(first)), corners(second)
    distance = tree.distance_to(other)[0]
    assert tree.distance_to(other, start_mm=distance * 1.01)[0] == distance
    assert tree.distance_to(other, start_mm=distance * 0.99)[1:] == (-1, -1)


@given(seed=seeds, kind=st.sampled_from(["any", "coplanar", "nearly coplanar", "sliver", "far", "parallel edges"]))
@settings(max_examples=400, deadline=None, derandomize=True)
def test_two_triangles_are_as_far_apart_as_fcl_says(seed: int, kind: str) -> None:
    first, second = triangle_pair(seed, kind)
    distance = pair_distance(first, second)
    assert distance == pytest.approx(pair_distance(second, first), abs=1e-12)
    by_fcl = fcl_distance(first[None], second[None])
    if by_fcl <= 0 or distance == 0:  # fcl gives -1 or 0 for triangles that cross
        assert distance <= CLOSE_MM or by_fcl <= CLOSE_MM
        assert crossing_by_sampling(first, second) < 0.2
    else:
        assert distance == pytest.approx(by_fcl, abs=CLOSE_MM)


def triangle_pair(seed: int, kind: str) -> tuple[FloatArray, FloatArray]:
    rng = np.random.default_rng(seed)
    first, second = rng.uniform(-1, 1, (2, 3, 3))
    if kind == "coplanar":
        first[:, 2] = second[:, 2] = 0.3
        second[:, 0] += 2.1
    elif kind == "nearly coplanar":
        first[:, 2] = 0.3
        second[:, 2] = 0.3 + rng.choice([1e-4, 1e-7, 1e-10]) * rng.uniform(0.5, 1, 3)
    elif kind == "sliver":
        first[2] = (first[0] + first[1]) / 2 + rng.uniform(-1e-7, 1e-7, 3)
    elif kind == "far":
        second += rng.uniform(200, 500, 3)
    elif kind == "parallel edges":
        second[:2] = first[:2] + rng.uniform(-0.5, 0.5, 3)
    return first, second


def crossing_by_sampling(first: FloatArray, second: FloatArray) -> float:
    """Rough least distance from points sampled over both; only to tell crossing from apart."""
    t = np.linspace(0, 1, 41)
    grid = np.array([(1 - s - u, s, u) for s in t for u in t if s + u <= 1 + 1e-9])
    return float(np.linalg.norm((grid @ first)[:, None] - (grid @ second)[None], axis=2).min())


def test_triangles_that_touch_or_cross_have_no_distance() -> None:
    flat = np.array([[0.0, 0, 0], [1, 0, 0], [0, 1, 0]])
    at_a_corner = np.array([[0.0, 0, 0], [-1, 0, 1], [0, -1, 1]])
    along_an_edge = np.array([[0.0, 0, 0], [1, 0, 0], [0.5, -1, 0.2]])
    corner_on_the_face = np.array([[0.25, 0.25, 0], [0.3, 0.2, 1], [0.2, 0.3, 1]])
    through = np.array([[0.25, 0.25, -1], [0.3, 0.2, 1], [0.2, 0.3, 1]])
    lying_on_it = flat * 0.5 + [0.1, 0.1, 0.0]
    edges_cross = np.array([[0.5, -0.5, 0.0], [0.5, 0.5, 0.0], [0.5, 0.0, 3.0]])
    for other in (flat, at_a_corner, along_an_edge, corner_on_the_face, through, edges_cross):
        assert pair_distance(flat, other) == pytest.approx(0.0, abs=1e-12)
        assert pair_distance(other, flat) == pytest.approx(0.0, abs=1e-12)
    assert pair_distance(flat, lying_on_it) == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize("apart", [1e-12, 1e-9, 1e-6, 1e-3])
def test_planes_a_hair_apart_are_a_hair_apart(apart: float) -> None:
    flat = np.array([[0.0, 0, 0], [10, 0, 0], [0, 10, 0]])
    above = flat * 0.5 + [1.0, 1.0, apart]
    turned = above[[1, 0, 2]]
    assert pair_distance(flat, above) == pytest.approx(apart, rel=1e-6, abs=1e-15)
    assert pair_distance(turned, flat) == pytest.approx(apart, rel=1e-6, abs=1e-15)


def test_a_triangle_shrunk_to_a_line_or_a_point_still_measures() -> None:
    flat = np.array([[0.0, 0, 0], [4, 0, 0], [0, 4, 0]])
    point = np.tile([1.0, 1.0, 0.7], (3, 1))
    line = np.array([[1.0, 1, 0.5], [1, 1, 2], [1, 1, 1.5]])
    beside = np.array([[-3.0, -1, 0], [-3, 5, 0], [-3, 2, 0]])
    assert pair_distance(flat, point) == pytest.approx(0.7)
    assert pair_distance(point, flat) == pytest.approx(0.7)
    assert pair_distance(line, flat) == pytest.approx(0.5)
    assert pair_distance(flat, beside) == pytest.approx(3.0)
    assert pair_distance(point, beside) == pytest.approx(np.hypot(4.0, 0.7))


@given(seed=seeds, n=st.integers(1, 70))
@example(seed=0, n=1)
@example(seed=0, n=4)
@example(seed=0, n=5)
@settings(max_examples=40, deadline=None, derandomize=True)
def test_points_are_as_far_from_a_heap_of_triangles_as_vtk_says(seed: int, n: int) -> None:
    rng = np.random.default_rng(seed)
    heap = rng.uniform(-1, 1, (n, 1, 3)) + 0.3 * rng.uniform(-1, 1, (n, 3, 3))
    points = np.concatenate([rng.uniform(-2, 2, (20, 3)), heap[:3].reshape(-1, 3), heap[:3].mean(axis=1)])
    tree = TriangleTree.of(heap)
    distance, number, nearest = tree.nearest(points)
    for k, point in enumerate(points):
        by_vtk = min(vtk_distance(triangle, point) for triangle in heap)
        assert distance[k] == pytest.approx(by_vtk, abs=CLOSE_MM)
        assert vtk_distance(heap[number[k]], point) == pytest.approx(distance[k], abs=CLOSE_MM)
        assert np.linalg.norm(nearest[k] - point) == pytest.approx(distance[k], abs=CLOSE_MM)


@given(seed=seeds, n=st.integers(1, 70))
@settings(max_examples=40, deadline=None, derandomize=True)
def test_within_two_bounds_is_what_the_distance_says(seed: int, n: int) -> None:
    rng = np.random.default_rng(seed)
    tree = TriangleTree.of(rng.uniform(-1, 1, (n, 3, 3)))
    points = rng.uniform(-2, 2, (200, 3))
    distance = tree.nearest(points)[0]
    low, high = np.quantile(distance, [0.3, 0.7])
    inside = (distance > low + 1e-12) & (distance < high - 1e-12)
    outside = (distance < low - 1e-12) | (distance > high + 1e-12)
    found = tree.within(points, float(low), float(high))
    assert found[inside].all() and not found[outside].any()


@given(seed=seeds, n=st.integers(1, 70))
@settings(max_examples=40, deadline=None, derandomize=True)
def test_the_first_triangle_above_is_the_lowest_that_barycentric_weights_find(seed: int, n: int) -> None:
    rng = np.random.default_rng(seed)
    heap = rng.uniform(-1, 1, (n, 3, 3))
    points = rng.uniform(-1, 1, (40, 3))
    height, number = TriangleTree.of(heap).first_above(points)
    a, b, c = heap[:, 0], heap[:, 1], heap[:, 2]
    for k, (x, y, z) in enumerate(points):
        matrix = np.stack([(a - c)[:, :2], (b - c)[:, :2]], axis=2)
        weights = np.linalg.solve(matrix, ([x, y] - c[:, :2])[:, :, None])[:, :, 0]
        weights = np.column_stack([weights, 1 - weights.sum(axis=1)])
        over = (weights * heap[:, :, 2]).sum(axis=1)
        over[(weights < 0).any(axis=1) | (over < z)] = np.inf
        assert height[k] == pytest.approx(over.min(), abs=CLOSE_MM)
        assert number[k] == (np.argmin(over) if np.isfinite(over.min()) else -1)


def test_a_ray_along_the_seam_of_two_triangles_isnt_lost() -> None:
    solid = corners(m3d.Manifold.cube([4.0, 4.0, 2.0]).refine(8))
    tree = TriangleTree.of(solid)
    seams = np.unique(np.round(solid.reshape(-1, 3)[:, :2], 12), axis=0)
    middles = solid[:, [0, 1], :2].mean(axis=1)
    plan = np.concatenate([seams, middles])
    height, _ = tree.first_above(np.column_stack([plan, np.full(len(plan), -5.0)]))
    assert np.allclose(height, 0.0, atol=1e-12)
    height, _ = tree.first_above(np.column_stack([plan, np.full(len(plan), 1.0)]))
    inner = ((plan > 1e-9) & (plan < 4 - 1e-9)).all(axis=1)
    assert np.allclose(height[inner], 2.0, atol=1e-12)


def test_a_tree_needs_triangles() -> None:
    with pytest.raises(ValueError, match="at least one"):
        TriangleTree.of(np.zeros((0, 3, 3)))
