"""Ways off the part: bodies whose way out is plain from the drawing, and sweeps against two other libraries."""

import fcl
import manifold3d as m3d
import numpy as np
import pytest

from core.checks.directions import towards_words, ways_to_try
from core.checks.removal import RemovalWay, check_removal, removal_finding, removal_way
from core.checks.removal_order import check_removal_order, removal_rounds
from core.checks.sweep import first_contact
from core.part.triangle_tree import TriangleTree
from core.progress import Stopped
from tests.checks.drawn_bodies import box, drawn_part, drawn_sink, tube
from tests.fcl_object import fcl_object

LEDGE = box((0, 0, 0), (5, 20, 20)) + box((0, 0, 15), (20, 20, 20))
UNDER_LEDGE = box((5.3, 0, 0), (20, 20, 14.7))
# A block with a chamber; the only way out of it is a shaft down from the chamber's far end.
SHAFT = box((0, -5, 0), (60, 25, 60)) - box((10, 0, 20), (50, 20, 40)) - box((35, 0, -1), (50, 20, 30))
IN_THE_CHAMBER = box((10.3, 0.3, 20.3), (24, 19.7, 39.7))
HUB = tube(10, 0, 40) + tube(20, 0, 5) + tube(20, 35, 40)
RING = tube(16, 5.5, 30, bore=10.3)
CAVE = box((0, 0, 0), (60, 60, 60)) - box((20, 20, -1), (40, 40, 30)) - box((5, 5, 20), (55, 55, 50))
MUSHROOM = box((10, 10, 20.3), (50, 50, 49.7)) + box((20.3, 20.3, 0), (39.7, 39.7, 25))


def way_of(part_solid: m3d.Manifold, sink_solid: m3d.Manifold) -> RemovalWay:
    part = drawn_part(part_solid)
    return removal_way(TriangleTree.of(part.corners_mm), part, drawn_sink(sink_solid))


def shared_mm3(part_solid: m3d.Manifold, sink_solid: m3d.Manifold, way: RemovalWay) -> float:
    """Largest volume that the shifted sink shares with the part, by manifold3d's boolean, at 60 places a leg."""
    worst = 0.0
    for start, end in zip(way.waypoints_mm[:-1], way.waypoints_mm[1:], strict=True):
        for share in np.linspace(0, 1, 60):
            moved = sink_solid.translate(tuple(start + share * (end - start)))
            worst = max(worst, (moved ^ part_solid).volume())
    return worst


def test_a_sink_under_a_plain_ledge_comes_straight_down() -> None:
    way = way_of(LEDGE, UNDER_LEDGE)
    assert way.kind == "straight" and way.confirmed and way.cell_mm == 0
    assert way.waypoints_mm[-1] == pytest.approx([0, 0, -15.7])  # 14.7 mm to below the part, and 1 mm
    finding = removal_finding(drawn_sink(UNDER_LEDGE), way)
    assert finding.level == "ok" and "comes off straight down" in finding.text
    assert np.allclose(finding.way_mm, [[12.65, 10, 7.35], [12.65, 10, -8.35]])  # drawn from the sink's middle


def test_a_sink_over_a_step_leaves_level_towards_its_open_side() -> None:
    step = LEDGE + box((0, 0, 0), (20, 20, 2)) + box((0, -1, 0), (20, 0, 20)) + box((0, 20, 0), (20, 21, 20))
    way = way_of(step, box((5.3, 0.3, 2.3), (20, 19.7, 14.7)))
    assert way.kind == "straight" and "level towards +X" in removal_finding(drawn_sink(UNDER_LEDGE), way).text


def test_the_one_way_out_of_a_slanted_slot_is_found_from_its_walls() -> None:
    slot = box((-30, -30, 0), (30, 30, 40)) - box((-50, -5, 10), (50, 5, 20)).rotate((0, 20, 33))
    sink = box((-10, -4.7, 10.3), (10, 4.7, 19.7)).rotate((0, 20, 33))
    way = way_of(slot, sink)
    assert way.kind == "straight" and shared_mm3(slot, sink, way) == pytest.approx(0, abs=1e-9)
    along = way.waypoints_mm[-1] / np.linalg.norm(way.waypoints_mm[-1])
    assert np.degrees(np.arcsin(abs(along[2]))) == pytest.approx(20, abs=0.1)


def test_a_sink_in_an_l_shaped_pocket_comes_off_in_two_steps_that_touch_nothing() -> None:
    way = way_of(SHAFT, IN_THE_CHAMBER)
    assert way.kind == "steps" and way.confirmed and way.waypoints_mm.shape == (3, 3)
    sideways, down = np.diff(way.waypoints_mm, axis=0)
    assert 35 - 10.3 - 0.01 <= sideways[0] <= 50 - 24 + 0.01 and abs(sideways[1:]).max() < 1e-9
    assert down[2] < -40 and abs(down[:2]).max() < 1e-9
    assert shared_mm3(SHAFT, IN_THE_CHAMBER, way) == 0
    finding = removal_finding(drawn_sink(IN_THE_CHAMBER), way)
    assert len(finding.way_mm) == 3
    assert finding.level == "ok" and "2 steps" in finding.text and "then straight down" in finding.text


@pytest.mark.parametrize(("part", "sink"), [(HUB, RING), (CAVE, MUSHROOM)])
def test_a_ring_between_flanges_and_a_mushroom_in_a_cave_never_come_off(part: m3d.Manifold, sink: m3d.Manifold) -> None:
    way = way_of(part, sink)
    assert way.kind == "none" and not way.confirmed and len(way.waypoints_mm) == 0
    finding = removal_finding(drawn_sink(sink), way)
    assert finding.way_mm == ()
    assert finding.level == "stop" and finding.remedy and finding.at_mm is not None and "cells of" in finding.text


def test_a_way_that_only_cells_vouch_for_is_a_note_that_gives_their_size() -> None:
    shifts = np.array([[0.0, 0, 0], [5.0, 0, 0], [5.0, 0, -30]])
    way = RemovalWay(kind="steps", waypoints_mm=shifts, confirmed=False, cell_mm=0.6)
    finding = removal_finding(drawn_sink(RING), way)
    assert finding.level == "note" and "cells of 0.6 mm" in finding.text


def test_the_search_can_be_stopped() -> None:
    part, sink = drawn_part(SHAFT), drawn_sink(IN_THE_CHAMBER)
    with pytest.raises(Stopped):
        check_removal(TriangleTree.of(part.corners_mm), part, sink, goes_on=lambda share: share < 0.4)


def test_sinks_in_each_others_way_are_taken_off_in_order() -> None:
    part = drawn_part(box((0, 0, 30), (20, 20, 35)))
    upper = drawn_sink(box((0, 0, 10), (20, 20, 29.7)), name="upper")
    lower = drawn_sink(box((0, 0, 0), (20, 20, 9)), name="lower")
    tree = TriangleTree.of(part.corners_mm)
    ways = [removal_way(tree, part, sink) for sink in (upper, lower)]
    assert removal_rounds((upper, lower), ways) == (((1,), (0,)), ())
    finding = check_removal_order((upper, lower), ways)
    assert finding is not None and finding.level == "ok" and "these first: lower" in finding.text
    aside = removal_way(tree, part, upper, others=(lower,))
    assert aside.kind == "straight" and "straight down" not in removal_finding(upper, aside).text
    assert shared_mm3(box((0, 0, 0), (20, 20, 9)), box((0, 0, 10), (20, 20, 29.7)), aside) == 0


def test_hooked_sinks_are_named_as_stuck() -> None:
    part = drawn_part(box((0, 0, 30), (20, 20, 35)))
    c_shape = box((0, 0, 0), (20, 20, 20)) - box((3, -1, 3), (17, 21, 17))
    link = drawn_sink(box((4, 0, 8), (24, 20, 12)) - box((21, -1, 9), (22, 21, 11)), name="b")
    first = drawn_sink(c_shape, name="a")
    down = RemovalWay(kind="straight", waypoints_mm=np.array([[0.0, 0, 0], [0, 0, -60]]), confirmed=True)
    hooked = check_removal_order((first, link), (down, down))
    assert part.n_faces and hooked is not None and hooked.level == "note" and "a and b" in hooked.text


def test_first_contact_agrees_with_distances_marched_by_the_flexible_collision_library() -> None:
    """Outside check: python-fcl's distance between the meshes, stepped by itself until they touch."""
    random = np.random.default_rng(5)
    hits = 0
    for _ in range(12):
        size, away = random.uniform(1, 3, 2), random.uniform(-2, 2, 2)
        fixed = m3d.Manifold.sphere(size[0], 16).rotate(tuple(random.uniform(0, 90, 3))).translate((*away, -9.0))
        moving = m3d.Manifold.cube((size[1],) * 3, True).rotate(tuple(random.uniform(0, 90, 3)))
        direction = np.array([0.1, -0.2, -1.0]) / np.linalg.norm([0.1, -0.2, -1.0])
        part, sink = drawn_part(fixed), drawn_sink(moving)
        tree = TriangleTree.of(part.corners_mm)
        corners = sink.vertices_mm[sink.triangles]
        way, own, other = first_contact(tree, corners, direction, whole=True)
        marched = _marched(part.vertices_mm, part.triangles, sink.vertices_mm, sink.triangles, direction)
        assert (own >= 0) == (marched is not None)
        if marched is not None:
            hits += 1
            assert way == pytest.approx(marched, abs=1e-3) and other >= 0
            assert first_contact(tree, corners, direction, marched - 1e-2)[1] < 0
    assert 3 < hits < 12


def _marched(
    fixed: np.ndarray, fixed_triangles: np.ndarray, moving: np.ndarray, triangles: np.ndarray, direction: np.ndarray
) -> float | None:
    bodies = [fcl_object(fixed, fixed_triangles), fcl_object(moving, triangles)]
    travel = 0.0
    while travel < 30:
        bodies[1].setTransform(fcl.Transform(travel * direction))
        distance = fcl.distance(bodies[0], bodies[1], fcl.DistanceRequest(), fcl.DistanceResult())
        if distance < 1e-5:
            return travel
        travel += distance
    return None


def test_crossing_triangles_whose_corners_fall_on_each_others_edges_are_seen() -> None:
    below = np.array([[[0.0, 0, 0], [1, 0, 0], [0, 1, 0]]])
    tree = TriangleTree.of(below)
    down = np.array([0.0, 0, -1])
    assert first_contact(tree, below + [0, 0, 2], down, whole=True)[0] == pytest.approx(2)
    assert first_contact(tree, below + [0.5, 0, 2], down, whole=True)[0] == pytest.approx(2)
    assert first_contact(tree, below + [1.001, 0, 2], down)[1] == -1
    assert first_contact(tree, below + [0, 0, -2], down)[1] == -1
    upright = np.array([[[0.2, 0.2, 3.0], [0.4, 0.2, 3], [0.2, 0.2, 4]]])  # a line seen along its way
    assert first_contact(tree, upright, down, whole=True)[0] == pytest.approx(3)


def test_directions_are_said_as_on_the_shop_floor() -> None:
    down, right = np.array([0, 0, -2.0]), np.array([3.0, 0, 0])
    assert towards_words(down) == "straight down" and towards_words(right) == "level towards +X"
    slanted = np.array([-np.cos(np.radians(12)), 0, -np.sin(np.radians(12))])
    assert towards_words(slanted) == "towards −X, 12° down"
    assert towards_words(np.array([1, 1, 0.0])) == "level towards 45° from +X to +Y"


def test_straight_down_is_tried_before_everything_else() -> None:
    ways = ways_to_try(drawn_part(LEDGE), drawn_sink(UNDER_LEDGE))
    assert ways[0] == pytest.approx([0, 0, -1]) and 100 < len(ways) < 300
    assert np.linalg.norm(ways, axis=1) == pytest.approx(1)
