"""The thinnest wall of bodies whose walls are known from their drawing, and of sinks built to a width."""

import time

import manifold3d as m3d
import numpy as np
import pytest

from core.checks.least_wall import WIDEST_MM, check_least_wall, thinnest_wall
from core.sink.build_sink import build_sink
from core.sink.sink_choice import SinkChoice
from core.sink.solid import to_arrays
from tests.checks.drawn_bodies import box, drawn_sink, tube
from tests.sink.simple_parts import low_faces, shelf, wedge


def width_mm(solid: m3d.Manifold) -> float:
    return thinnest_wall(*to_arrays(solid)).width_mm


@pytest.mark.parametrize("wall_mm", [0.15, 0.3, 0.5, 1.0, 2.5])
def test_a_wall_between_two_blocks_measures_what_was_drawn(wall_mm: float) -> None:
    blocks = box((0, 0, 0), (10, 10, 12)) + box((20, 0, 0), (30, 10, 12))
    thin = thinnest_wall(*to_arrays(blocks + box((10, 4, 0), (20, 4 + wall_mm, 12))))
    assert thin.width_mm == pytest.approx(wall_mm, rel=0.03, abs=0.005)
    x, y, _ = thin.at_mm
    assert 10 - 0.01 <= x <= 20.01 and 4 <= y <= 4 + wall_mm


def test_the_wall_of_a_tube_is_the_difference_of_its_radii() -> None:
    # 64 corners: flats of outside and bore are nearer to each other by cos(180°/64), 0.1 %
    assert width_mm(tube(8.0, 0.0, 15.0, bore=7.2)) == pytest.approx(0.8, rel=0.03)


def test_a_solid_block_is_as_thin_as_its_short_side() -> None:
    assert width_mm(box((0, 0, 0), (30, 6, 20))) == pytest.approx(6.0, rel=0.03)
    assert width_mm(box((0, 0, 0), (30, 40, 20))) == WIDEST_MM


def test_a_waist_of_a_few_tenths_of_a_mm_in_height_is_found_and_placed() -> None:
    body = box((0, 0, 0), (20, 4, 1)) + box((0, 1.8, 1), (20, 2.2, 1.5)) + box((0, 0, 1.5), (20, 4, 40))
    thin = thinnest_wall(*to_arrays(body))
    assert thin.width_mm == pytest.approx(0.4, rel=0.03)
    assert 1.0 < thin.at_mm[2] < 1.5


@pytest.mark.parametrize("angle_deg", [5.0, 20.0, 40.0])
def test_the_sharp_upper_edge_of_a_sloping_top_is_no_wall(angle_deg: float) -> None:
    # a wedge from 5 mm up; its topmost layers are strips that get ever narrower, each lying on a wider one
    rise = 20 * np.tan(np.radians(angle_deg))
    outline = m3d.CrossSection([np.array([[0, 0], [20, 0], [20, 5 + rise], [0, 5]])], m3d.FillRule.NonZero)
    body = outline.extrude(15).rotate((90, 0, 0)).translate((0, 15, 0))
    assert width_mm(body) > 3.0


def test_levels_a_thin_wall_is_a_note_and_one_too_thin_to_come_out_at_all_a_stop() -> None:
    def standing_on(wall_mm: float) -> m3d.Manifold:
        return box((0, 0, 0), (20, wall_mm, 10)) + box((0, -3, 10), (20, 3, 12))

    levels = [check_least_wall(drawn_sink(standing_on(wall))) for wall in (0.8, 0.3, 0.15)]
    assert [found.level for found in levels] == ["ok", "note", "stop"]
    assert all("sink-01" in found.text and found.at_mm is not None for found in levels)
    assert "0.30 mm" in levels[1].text and levels[1].remedy
    assert check_least_wall(drawn_sink(standing_on(0.3)), least_mm=0.25).level == "ok"


@pytest.mark.parametrize(("kind", "neck_mm", "wall_mm"), [("fins", 0.0, 1.5), ("fins", 0.5, 0.5), ("plate", 0.5, 0.5)])
def test_walls_and_necks_of_a_built_sink_are_as_thick_as_asked(kind: str, neck_mm: float, wall_mm: float) -> None:
    choice = SinkChoice(kind=kind, fin_thickness_mm=1.5, neck_mm=neck_mm)
    for part in (shelf(), wedge(30.0)):
        (sink,) = build_sink(part, low_faces(part), choice, 0.3, name="s")
        start = time.process_time()
        found = check_least_wall(sink)
        assert time.process_time() - start < 0.6  # 0.3 s, and as much for a second thread
        assert found.level == "ok"
        measured = thinnest_wall(sink.vertices_mm, sink.triangles)
        assert measured.width_mm == pytest.approx(wall_mm, rel=0.03)
