"""The report's pictures and cuts against counts by hand, pillow and manifold3d."""

import io
from collections.abc import Callable
from pathlib import Path

import manifold3d
import numpy as np
import pytest
import trimesh
from PIL import Image

from core.checks.finding import Finding
from core.checks.removal import RemovalWay, removal_finding
from core.export.report_drawing import Label, round_length
from core.export.report_order import ways_off
from core.export.report_pixels import Camera, Solid, paint, png_bytes, seen_places
from core.export.report_sections import cut_shape, gap_drawing, upright
from core.export.report_views import box_corners, first_stretch
from core.export.result import JobResult

Make = Callable[..., JobResult]
SAMPLES = Path(__file__).parents[2] / "sample_parts"
RED, BLUE = np.array([255.0, 0.0, 0.0]), np.array([0.0, 0.0, 255.0])


def box(low: tuple[float, ...], high: tuple[float, ...], rgb: np.ndarray, veil: bool = False) -> Solid:
    solid = Solid.of(box_corners(np.array(low), np.array(high)), rgb)
    return Solid(corners_mm=solid.corners_mm, normals=solid.normals, rgb=rgb, veil=veil)


def from_above(size_mm: float, pixels: int) -> Camera:
    """Looks straight down; size_mm fills the picture."""
    axes = np.eye(3)
    return Camera(axes=axes, middle=np.zeros(2), mm_per_pixel=size_mm / pixels, width=pixels, height=pixels)


def pixels_of(png: bytes) -> np.ndarray:
    """By pillow, a reader that isn't ours."""
    return np.asarray(Image.open(io.BytesIO(png))).astype(int)


def test_a_png_is_read_back_as_it_was() -> None:
    rgb = np.random.default_rng(1).integers(0, 256, (37, 53, 3)).astype(np.uint8)
    assert (pixels_of(png_bytes(rgb)) == rgb).all()


def test_a_square_covers_its_share_of_the_picture() -> None:
    """10 of 40 mm on 80 pixels: 20 by 20 pixels, of which outlines darken one row and column in part."""
    image = pixels_of(paint([box((-5, -5, 0), (5, 5, 3), RED)], from_above(40.0, 80)))
    inked = (image != 255).any(axis=2)
    rows, columns = np.flatnonzero(inked.any(axis=1)), np.flatnonzero(inked.any(axis=0))
    assert abs(len(rows) - 20) <= 1 and abs(len(columns) - 20) <= 1
    assert abs(rows.mean() - 39.5) <= 0.5 and abs(columns.mean() - 39.5) <= 0.5


def test_the_nearer_body_hides_the_other_and_a_veil_lets_it_through() -> None:
    camera = from_above(40.0, 80)
    low, high = box((-10, -10, 0), (10, 10, 3), RED), box((-5, -5, 5), (5, 5, 8), BLUE)
    for order in ([low, high], [high, low]):
        image = pixels_of(paint(order, camera))
        assert image[40, 40, 2] > 100 and image[40, 40, 0] == 0
        assert image[26, 40, 0] > 100 and image[26, 40, 2] == 0
    veil = box((-5, -5, 5), (5, 5, 8), BLUE, veil=True)
    mixed = pixels_of(paint([low, veil], camera))[40, 40]
    assert mixed[0] > mixed[2] > 20


def test_seen_from_the_front_x_runs_to_the_right_and_z_up() -> None:
    camera = Camera.around(np.array([[0.0, 0, 0], [10, 10, 10]]), -90.0, 0.0, 100, 100)
    origin, x, y, z = camera.pixels(np.array([[0.0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1]]))
    assert x[0] > origin[0] and abs(x[1] - origin[1]) < 1e-9
    assert z[1] < origin[1] and abs(z[0] - origin[0]) < 1e-9
    assert y[2] < origin[2]


def test_all_points_fit_into_the_picture() -> None:
    points = np.random.default_rng(2).normal(size=(200, 3)) * [50, 5, 20]
    for azimuth in range(0, 360, 40):
        seen = Camera.around(points, azimuth, 25.0, 300, 200).pixels(points)
        assert (seen[:, :2] >= 0).all() and (seen[:, :2] <= [300, 200]).all()


def test_a_group_behind_another_is_not_seen() -> None:
    """Of a box from above: the top (faces 2, 3) in the middle of its square, the bottom (0, 1) not at all."""
    solid = box((-10, -10, 0), (10, 10, 3), RED)
    top, bottom = seen_places(solid, from_above(40.0, 80), [np.array([2, 3]), np.array([0, 1])])
    assert top is not None and np.abs(top - 40).max() <= 4
    assert bottom is None


@pytest.mark.parametrize("direction_deg", [0.0, 37.0, 90.0])
def test_cuts_have_the_area_that_manifold3d_finds(direction_deg: float) -> None:
    mesh = trimesh.load(SAMPLES / "sensor-bracket.stl")
    turn = upright(direction_deg)
    vertices, depth = np.asarray(mesh.vertices), float((mesh.vertices @ turn[2]).mean()) + 0.123
    single = np.asarray(vertices, dtype=np.float32)
    solid = manifold3d.Manifold(manifold3d.Mesh(single, np.asarray(mesh.faces, dtype=np.uint32)))
    expected = solid.transform(np.column_stack([turn, np.zeros(3)])).slice(depth).area()
    ours = cut_shape(vertices, np.asarray(mesh.faces, dtype=np.int32), turn, depth)
    assert ours.area == pytest.approx(expected, rel=1e-5)
    along = vertices @ turn[:2].T
    assert (np.array(ours.bounds).reshape(2, 2) >= along.min(axis=0) - 1e-6).all()
    assert (np.array(ours.bounds).reshape(2, 2) <= along.max(axis=0) + 1e-6).all()


def test_a_plane_beside_a_body_cuts_nothing(make_result: Make) -> None:
    sink = make_result().sinks[0]
    assert cut_shape(sink.vertices_mm, sink.triangles, upright(0.0), 5.0).is_empty


def test_the_close_up_measures_the_gap(make_result: Make) -> None:
    """The shelf's underside lies at 10 mm, the sinks' tops at 9.7 mm."""
    result = make_result()
    for sink in result.sinks:
        words = [mark.text for mark in gap_drawing(result, sink).marks if isinstance(mark, Label)]
        assert "0.30 mm" in words


def way_down(length_mm: float) -> RemovalWay:
    waypoints = np.array([[0.0, 0.0, 0.0], [0.0, 0.0, -length_mm]])
    return RemovalWay(kind="straight", waypoints_mm=waypoints, confirmed=True)


def level_way(length_mm: float) -> RemovalWay:
    waypoints = np.array([[0.0, 0.0, 0.0], [length_mm, 0.0, 0.0]])
    return RemovalWay(kind="straight", waypoints_mm=waypoints, confirmed=True)


def test_the_sink_in_the_other_ones_way_comes_off_first(make_result: Make) -> None:
    """sink-01 leaves towards +X, where sink-02 stands 0.5 mm beside it."""
    one, two = make_result().sinks
    findings = (removal_finding(one, level_way(50.0)), removal_finding(two, way_down(20.0)))
    ways = ways_off(make_result(findings=findings))
    assert [(way.sink, way.step) for way in ways] == [("sink-02", "1"), ("sink-01", "2")]
    assert "towards +X" in ways[1].text and np.allclose(ways[1].corners_mm[-1] - ways[1].corners_mm[0], [50, 0, 0])


def test_a_sink_without_a_way_has_no_step(make_result: Make) -> None:
    one, two = make_result().sinks
    none = RemovalWay(kind="none", waypoints_mm=np.zeros((0, 3)), confirmed=False)
    ways = ways_off(make_result(findings=(removal_finding(one, none), removal_finding(two, way_down(20.0)))))
    assert [(way.sink, way.step) for way in ways] == [("sink-02", "1"), ("sink-01", "–")]
    assert "can't be taken off" in ways[1].text and not len(ways[1].corners_mm)
    assert ways_off(make_result(findings=(Finding(check="solid", level="ok", text="Fine."),))) == ()


def test_a_way_is_drawn_up_to_a_length() -> None:
    way = np.array([[0.0, 0, 0], [3, 0, 0], [3, 4, 0]])
    assert np.allclose(first_stretch(way, 5.0), [[0, 0, 0], [3, 0, 0], [3, 2, 0]])
    assert np.allclose(first_stretch(way, 100.0), way)


def test_a_scale_bar_has_a_round_length() -> None:
    assert [round_length(v) for v in (1.0, 1.99, 2.0, 7.0, 49.0, 50.0, 0.3)] == [1, 1, 2, 5, 20, 50, 0.2]
