"""Findings on sinks made by hand."""

from dataclasses import replace

import manifold3d as m3d
import numpy as np
import pytest

from core.checks.all_checks import all_checks
from core.checks.clearance import check_clearance, check_gap_in_layers, check_sinks_apart
from core.checks.finding import Finding, forbids_export
from core.checks.powder_escape import check_powder_in_gap
from core.checks.self_support import low_area_mm2
from core.checks.standing import check_envelope, check_slender, check_solid
from core.part.part import Part
from core.part.place_on_plate import Plate
from core.refusal import Refusal
from core.sink.sink import Sink
from core.sink.sink_choice import SinkChoice
from core.sink.solid import to_arrays


def sink_of(solid: m3d.Manifold, name: str = "sink-01") -> Sink:
    vertices, triangles = to_arrays(solid)
    return Sink(
        name=name, patches=(1,), kind="block", vertices_mm=vertices, triangles=triangles, gap_mm=0.3,
        min_clearance_mm=0.301, nearest_mm=(0.0, 0.0, 1.0), gap_error_p99_um=1.0, gap_error_max_um=2.0,
        rim_gap_max_mm=0.4, covered_area_mm2=99.0, patch_area_mm2=100.0, volume_mm3=solid.volume(),
        watertight=True, on_plate=True, pieces=1,
    )  # fmt: skip


def block(x: float, y: float, z: float, at: tuple[float, float, float] = (0, 0, 0)) -> m3d.Manifold:
    return m3d.Manifold.cube([x, y, z]).translate(list(at))


def table() -> Part:
    vertices, triangles = to_arrays(block(10, 10, 5, (0, 0, 20)))
    return Part(name="table", file_format="stl", units="mm", vertices_mm=vertices, triangles=triangles)


def level(findings: tuple[Finding, ...] | list[Finding], check: str) -> str:
    return next(f.level for f in findings if f.check == check)


def test_a_sink_nearer_than_the_gap_stops_export() -> None:
    near = replace(sink_of(block(10, 10, 19)), min_clearance_mm=0.2999)
    assert check_clearance(near, 0.3).level == "stop"
    assert forbids_export((check_clearance(near, 0.3),))
    assert check_clearance(replace(near, min_clearance_mm=0.3), 0.3).level == "ok"


@pytest.mark.parametrize(("change", "word"), [({"watertight": False}, "watertight"), ({"pieces": 2}, "2 pieces"),
                                              ({"on_plate": False}, "plate")])  # fmt: skip
def test_a_faulty_solid_stops_export_and_says_why(change: dict[str, object], word: str) -> None:
    found = check_solid(replace(sink_of(block(10, 10, 19)), **change))  # type: ignore[arg-type]
    assert found.level == "stop"
    assert word in found.text
    assert found.remedy


def test_a_hanging_bar_is_measured_and_a_roof_at_45_degrees_is_not() -> None:
    # a beam 6 wide on two posts: its underside between the posts, 4 x 10 mm, hangs flat
    gate = block(8, 10, 20) - block(4, 10, 12, (2, 0, 0))
    assert low_area_mm2(sink_of(gate))[0] == pytest.approx(40.0)
    roof = m3d.CrossSection([[[2, 0], [6, 0], [6, 12], [4, 14], [2, 12]]]).extrude(12).rotate([90, 0, 0])
    tunnel = block(8, 10, 20) - roof.translate([0, 11, 0])
    assert low_area_mm2(sink_of(tunnel))[0] == 0.0


def test_a_part_larger_than_the_plate_is_a_stop_with_its_excess() -> None:
    findings = check_envelope(table(), (), Plate(size_mm=(12.0, 40.0), border_mm=2.0))
    assert findings[0].level == "stop"
    assert "1.00 mm" in findings[0].text  # 10 mm wide in 12 - 2 * 2 = 8 mm: one too many at either side
    assert "into the 2 mm border" in findings[0].text
    assert level(check_envelope(table(), (), Plate(height_mm=24.0)), "envelope") == "stop"
    assert level(check_envelope(table(), (), Plate()), "envelope") == "ok"


def test_part_and_sinks_each_keep_off_the_border_of_the_plate() -> None:
    """A plate of 20 mm centred under the part's 0 to 10 mm reaches from -5 to 15 mm."""
    plate = Plate(size_mm=(20.0, 20.0), border_mm=2.0)
    inside, in_border, past = (sink_of(block(10, 10, 19, (x, 0, 0)), f"at {x}") for x in (3.0, 4.0, 7.5))
    assert level(check_envelope(table(), (inside,), plate), "envelope") == "ok"
    (found,) = check_envelope(table(), (in_border,), plate)
    assert found.level == "stop" and "at 4.0 reaches 1.00 mm into the 2 mm border" in found.text
    assert found.at_mm is not None and found.at_mm[0] == 14.0
    assert level(check_envelope(table(), (in_border,), replace(plate, border_mm=0.0)), "envelope") == "ok"
    (found,) = check_envelope(table(), (past,), plate)
    assert "reaches 2.50 mm past the edge of the build plate" in found.text


def test_walls_fifteen_times_as_high_as_thick_are_noted() -> None:
    low, high = (
        replace(sink_of(block(10, 10, z)), choice=SinkChoice(kind="fins", fin_thickness_mm=1.0)) for z in (14.9, 15.1)
    )
    assert (check_slender(low).level, check_slender(high).level) == ("ok", "note")


def test_the_published_fused_gaps_are_noted_and_the_free_ones_are_not() -> None:
    # Celik et al. 2022, Materials 15:3765, 50 µm layers: 100, 125, 150 µm mainly fused, 250 and 300 µm came apart
    assert [check_gap_in_layers(g, 0.05).level for g in (0.1, 0.125, 0.15)] == ["note"] * 3
    assert [check_gap_in_layers(g, 0.05).level for g in (0.25, 0.3)] == ["ok"] * 2


def test_a_gap_of_few_grains_is_noted() -> None:
    # slots narrower than 3 to 6 D90 jam: common practice, no source
    assert check_powder_in_gap(0.2, 45.0).level == "note"
    assert check_powder_in_gap(0.3, 45.0).level == "ok"


def test_sinks_that_touch_are_noted_once() -> None:
    sinks = (sink_of(block(10, 10, 19), "a"), sink_of(block(10, 10, 19, (10.1, 0, 0)), "b"),
             sink_of(block(10, 10, 19, (30, 0, 0)), "c"))  # fmt: skip
    found = check_sinks_apart(sinks, 0.2)
    assert len(found) == 1
    assert "a and b are only 0.10 mm apart; below 0.2 mm they may grow together" in found[0].text
    assert "0.1 mm smaller" in found[0].remedy  # 0.05 mm off either side makes 0.2 mm; rounded up


def test_the_least_distance_between_sinks_is_set_by_the_caller() -> None:
    """Blocks 0.5 mm apart: fine by 0.2 and 0.49 mm, too near by 0.51 and 1 mm; and the remedy opens the gap."""
    sinks = (sink_of(block(10, 10, 19), "a"), sink_of(block(10, 10, 19, (10.5, 0, 0)), "b"))
    assert [len(check_sinks_apart(sinks, least)) for least in (0.2, 0.49, 0.51, 1.0)] == [0, 0, 1, 1]
    assert "0.50 mm apart; below 1 mm" in check_sinks_apart(sinks, 1.0)[0].text
    assert "0.3 mm smaller" in check_sinks_apart(sinks, 1.0)[0].remedy
    across = (sinks[0], sink_of(block(10, 10, 19, (9.0, 0, 0)), "c"))
    assert "touch or cut each other" in check_sinks_apart(across, 0.2)[0].text


def test_all_checks_put_stops_first() -> None:
    sink = replace(sink_of(block(9, 9, 19)), watertight=False)
    findings = all_checks(table(), (sink,), plate=Plate(), layer_mm=0.04, patches=())
    assert findings[0].level == "stop"
    order = ["stop", "note", "ok"]
    assert [order.index(f.level) for f in findings] == sorted(order.index(f.level) for f in findings)
    assert np.isfinite([x for f in findings if f.at_mm for x in f.at_mm]).all()


@pytest.mark.parametrize(
    "wrong",
    [{"kind": "tree"}, {"fin_pitch_mm": 1.0}, {"skin_mm": float("nan")}, {"roof_deg": 30.0}, {"margin_mm": 99.0}],
)
def test_sink_dimensions_that_cannot_be_built_are_refused(wrong: dict[str, object]) -> None:
    with pytest.raises(Refusal):
        SinkChoice(**wrong)  # type: ignore[arg-type]
