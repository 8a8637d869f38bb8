"""Sinks on parts whose answer is known by hand."""

import time

import fcl
import numpy as np
import pytest
import shapely

from core.checks.self_support import low_area_mm2
from core.part.part import MeshHealth, Part
from core.progress import Stopped
from core.refusal import Refusal
from core.sink.build_sink import build_sink
from core.sink.footprint import plan_outline
from core.sink.sink import Sink
from core.sink.sink_choice import SinkChoice
from core.sink.solid import closed, gated, to_manifold
from core.sink.top_preview import TopPreview
from tests.fcl_object import fcl_object
from tests.sink.simple_parts import box, low_faces, part_of, shelf, shelf_over_a_flange, shelf_over_a_step, wedge


def sink_under(part: Part, gap_mm: float = 0.3, **choice: object) -> Sink:
    (sink,) = build_sink(part, low_faces(part), SinkChoice(**choice), gap_mm, name="s")  # type: ignore[arg-type]
    return sink


def fcl_distance_mm(part: Part, sink: Sink) -> float:
    """Outside reference: python-fcl, triangle against triangle."""
    bodies = [fcl_object(solid.vertices_mm, solid.triangles) for solid in (part, sink)]
    return float(fcl.distance(*bodies, fcl.DistanceRequest(), fcl.DistanceResult()))


@pytest.mark.parametrize("kind", ["fins", "plate", "block"])
@pytest.mark.parametrize("gap_mm", [0.1, 0.3, 1.0])
def test_a_sink_keeps_its_gap_as_an_outside_library_measures_it(kind: str, gap_mm: float) -> None:
    for part in (shelf(), wedge()):
        sink = sink_under(part, gap_mm, kind=kind)
        measured = fcl_distance_mm(part, sink)
        assert measured >= gap_mm
        assert measured == pytest.approx(sink.min_clearance_mm, abs=1e-9)
        assert sink.gap_error_p99_um <= max(5.0, 17 * gap_mm)


def test_a_block_under_a_flat_ceiling_has_the_volume_of_a_box() -> None:
    sink = sink_under(shelf(), kind="block")
    # 30 mm long less the distance kept from the wall, 30 mm wide, 35 mm high less the gap
    width = np.ptp(sink.vertices_mm[:, 0])
    assert 30 - 0.3 - 0.2 <= width <= 30 - 0.3
    assert sink.volume_mm3 == pytest.approx(width * 30 * np.ptp(sink.vertices_mm[:, 2]), rel=1e-5)
    assert np.ptp(sink.vertices_mm[:, 2]) == pytest.approx(34.7, abs=0.005)


def test_the_gap_under_a_slope_is_measured_normal_to_it() -> None:
    sink = sink_under(wedge(20.0), kind="block")
    x, _, z = sink.vertices_mm[sink.vertices_mm[:, 2] > 1].T
    vertical = x * np.tan(np.radians(20)) - z
    normal = vertical * np.cos(np.radians(20))
    assert ((normal >= 0.3) & (normal <= 0.305)).all()


def test_fins_run_across_the_lowest_edge_and_leave_the_ends_open() -> None:
    sink = sink_under(shelf(), kind="fins", fin_thickness_mm=1.5, fin_pitch_mm=4.0)
    block = sink_under(shelf(), kind="block")
    assert 0.35 < sink.volume_mm3 / block.volume_mm3 < 0.55  # walls 1.5 of about 4 mm, and roofs
    foot = sink.vertices_mm[np.abs(sink.vertices_mm[:, 2]) < 1e-9]
    assert len(np.unique(np.round(foot[:, 0], 3))) > 10 or len(np.unique(np.round(foot[:, 1], 3))) > 10


def test_sinks_stay_clear_of_what_stands_below_the_patch() -> None:
    part = shelf_over_a_step()
    sinks = build_sink(part, low_faces(part), SinkChoice(kind="block"), 0.3, name="s")
    assert len(sinks) == 1
    assert sinks[0].vertices_mm[:, 1].min() >= 15.3  # the step covers y < 15
    assert fcl_distance_mm(part, sinks[0]) >= 0.3
    assert sinks[0].covered_area_mm2 / sinks[0].patch_area_mm2 == pytest.approx(0.49, abs=0.02)
    assert any("blocks the way" in text for text in sinks[0].warnings)


def test_where_the_way_down_is_blocked_the_sink_leans_around_and_carries_itself() -> None:
    part = shelf_over_a_flange()
    sinks = build_sink(part, low_faces(part), SinkChoice(kind="fins"), 0.3, name="s")
    sink = sinks[0]
    assert any("leans by 40" in text for text in sink.warnings)
    assert fcl_distance_mm(part, sink) >= 0.3
    assert fcl_distance_mm(part, sink) == pytest.approx(sink.min_clearance_mm, abs=1e-9)
    assert sink.gap_error_max_um <= 10
    assert low_area_mm2(sink)[0] == 0.0
    # leaning 40° over 34.7 mm of height reaches 29.1 mm in, less 2 mm of flange and the gaps, of 30 mm
    assert 0.5 < sink.covered_area_mm2 / sink.patch_area_mm2 < 0.9


def test_a_ceiling_inside_a_closed_room_is_refused_with_its_place() -> None:
    room = part_of(box(40, 40, 40) - box(20, 20, 20, (10, 10, 10)))
    with pytest.raises(Refusal, match=r"way down.*turn the part"):
        sink_under(room)


def test_an_outline_that_is_too_narrow_is_named_as_the_reason_and_so_is_the_margin() -> None:
    beam = part_of(box(5, 30, 30) + box(40, 0.5, 5, (0, 0, 25)))
    with pytest.raises(Refusal, match=r"its outline is nowhere 0\.6 mm wide"):
        sink_under(beam)
    with pytest.raises(Refusal, match=r"drawn in by a margin of -1\.5 mm, is nowhere 0\.6 mm wide"):
        sink_under(part_of(box(5, 30, 30) + box(40, 3.2, 5, (0, 0, 25))), margin_mm=-1.5)


def test_an_edge_sink_doesnt_lean() -> None:
    part = shelf_over_a_flange()
    with pytest.raises(Refusal, match="in the way down"):
        sink_under(part, kind="edge")


def test_the_work_stops_within_a_third_of_a_second_wherever_it_is() -> None:
    part = shelf_over_a_step()
    moments: list[float] = []

    def go_on(share: float) -> bool:
        moments.append(time.perf_counter())
        return True

    for _ in range(2):  # the first run compiles
        moments.clear()
        build_sink(part, low_faces(part), SinkChoice(), 0.3, name="s", goes_on=go_on)
    assert len(moments) > 20
    assert np.diff(moments).max() < 0.3


def test_a_patch_just_above_the_plate_is_refused() -> None:
    low = part_of(box(10, 30, 6) + box(40, 30, 5, (0, 0, 0.4)))
    with pytest.raises(Refusal, match="too low"):
        sink_under(low)


def test_faces_that_look_up_and_broken_parts_are_refused() -> None:
    part = shelf()
    with pytest.raises(Refusal, match="look down"):
        build_sink(part, np.flatnonzero(part.normals[:, 2] > 0.9).astype(np.int32), SinkChoice(), 0.3, name="s")
    with pytest.raises(Refusal, match="No faces"):
        build_sink(part, np.zeros(0, np.int32), SinkChoice(), 0.3, name="s")
    broken = Part(
        name="b", file_format="stl", units="mm", vertices_mm=part.vertices_mm, triangles=part.triangles,
        health=MeshHealth(open_edges=3, problems=("3 edges are open.",)),
    )  # fmt: skip
    with pytest.raises(Refusal, match="3 edges are open"):
        sink_under(broken)


def test_the_work_stops_when_told() -> None:
    with pytest.raises(Stopped):
        build_sink(shelf(), low_faces(shelf()), SinkChoice(), 0.3, name="s", goes_on=lambda share: False)


def test_a_negative_margin_draws_the_outline_in_and_a_positive_one_out() -> None:
    spans = [np.ptp(sink_under(wedge(), kind="block", margin_mm=m).vertices_mm[:, 1]) for m in (-2.0, 0.0, 2.0)]
    assert spans == pytest.approx([21.0, 25.0, 29.0], abs=0.01)


def test_the_same_job_gives_the_same_bytes() -> None:
    first, second = sink_under(wedge()), sink_under(wedge())
    assert first.vertices_mm.tobytes() == second.vertices_mm.tobytes()
    assert first.triangles.tobytes() == second.triangles.tobytes()


def test_the_outline_is_that_of_the_projected_triangles_as_shapely_joins_them() -> None:
    part = part_of(box(30, 30, 5, (0, 0, 20)) - box(10, 10, 30, (10, 10, 0)))
    faces = low_faces(part)
    joined = shapely.union_all([shapely.Polygon(c) for c in part.corners_mm[faces][:, :, :2]])
    outline = plan_outline(part, faces)
    assert outline.area == pytest.approx(30 * 30 - 10 * 10)
    assert outline.symmetric_difference(joined).area < 1e-6


def test_the_gate_welds_what_float32_would_tear() -> None:
    fine = to_manifold(np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1], [1e-9, 1e-9, 1]]) + 100.0,
                       np.array([[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 4], [1, 4, 3], [2, 3, 4]]))  # fmt: skip
    vertices, triangles, _ = gated(fine)
    assert closed(triangles)
    assert (vertices == vertices.astype(np.float32)).all()
    assert len(triangles) == 4


def test_the_preview_lies_one_gap_off_a_flat_and_a_sloped_patch() -> None:
    part = wedge(20.0)
    preview = TopPreview.of(part, low_faces(part))
    moved = preview.points_mm(0.3) - preview.start_mm
    assert np.linalg.norm(moved, axis=1) == pytest.approx(0.3, abs=1e-5)
    assert moved[:, 2] == pytest.approx(-0.3 * np.cos(np.radians(20)), abs=1e-5)
