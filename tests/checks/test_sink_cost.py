"""Cost of a sink and how its walls stand to the recoater, worked out by hand."""

from dataclasses import replace

import pytest

from core.checks.recoater import check_recoater, check_turned, parallel_share
from core.checks.sink_cost import check_sink_cost, sink_cost
from tests.checks.drawn_bodies import box, drawn_sink


def test_a_block_costs_its_volume_times_density_and_over_scan_rate() -> None:
    """20 x 10 x 30 mm = 6 cm³; at 7.9 g/cm³ 47.4 g; 960 x 0.11 x 0.04 = 4.224 mm³/s, so 1420 s or 24 min."""
    sink = drawn_sink(box((0, 0, 0), (20, 10, 30)))
    cost = sink_cost(sink, density_kg_m3=7900, speed_mm_s=960, hatch_mm=0.11, layer_mm=0.04, part_top_mm=40)
    assert cost.volume_mm3 == pytest.approx(6000) and cost.mass_g == pytest.approx(47.4)
    assert cost.scan_s == pytest.approx(1420.45, abs=0.01) and cost.extra_layers == 0
    finding = check_sink_cost(sink, cost)
    assert finding.level == "ok" and "6 cm³" in finding.text and "47.4 g" in finding.text and "24 min" in finding.text
    assert "layers" not in finding.text


def test_hatching_time_is_the_sum_of_area_over_speed_and_hatch_of_every_layer() -> None:
    sink = drawn_sink(box((0, 0, 0), (20, 10, 30)))
    by_layers = sum(20 * 10 / (960 * 0.11) for _ in range(round(30 / 0.04)))
    cost = sink_cost(sink, density_kg_m3=7900, speed_mm_s=960, hatch_mm=0.11, layer_mm=0.04)
    assert cost.scan_s == pytest.approx(by_layers)
    twice = sink_cost(sink, density_kg_m3=7900, speed_mm_s=960, hatch_mm=0.11, layer_mm=0.04, passes=2)
    assert twice.scan_s == pytest.approx(2 * by_layers)


def test_only_a_sink_taller_than_the_part_adds_layers() -> None:
    sink = drawn_sink(box((0, 0, 0), (20, 10, 30)))
    cost = sink_cost(sink, density_kg_m3=7900, speed_mm_s=960, hatch_mm=0.11, layer_mm=0.04, part_top_mm=29)
    assert cost.extra_layers == 25 and "25 more layers" in check_sink_cost(sink, cost).text


def test_walls_along_the_blade_get_a_note_and_turning_them_by_ten_degrees_cures_it() -> None:
    """A wall of 2 x 40 x 20 mm along Y: 1600 of 1680 mm² of its sides face a blade along Y."""
    wall = box((0, 0, 0), (2, 40, 20))
    share, middle = parallel_share(drawn_sink(wall))
    assert share == pytest.approx(1600 / 1680) and 0 < middle[1] < 40
    finding = check_recoater(drawn_sink(wall))
    assert finding.level == "note" and "5° to 15°" in finding.remedy and "95%" in finding.text
    assert parallel_share(drawn_sink(wall), blade_deg=0)[0] == pytest.approx(80 / 1680)
    assert check_recoater(drawn_sink(wall), blade_deg=0).level == "ok"
    assert check_recoater(drawn_sink(wall.rotate((0, 0, 10)))).level == "ok"
    assert check_recoater(drawn_sink(wall.rotate((0, 0, 4)))).level == "note"


def test_slanted_faces_are_no_walls() -> None:
    leaning = box((0, 0, 0), (2, 40, 20)).rotate((0, 30, 0))
    share, _ = parallel_share(drawn_sink(leaning))
    assert share == 0


def test_turned_walls_are_said_once_for_all_sinks() -> None:
    straight = drawn_sink(box((0, 0, 0), (2, 40, 20)))
    turned = [replace(straight, name=f"sink-0{k}", turned_deg=t) for k, t in ((1, 15.0), (2, -7.0), (3, 0.0))]
    assert check_turned([straight]) is None
    finding = check_turned([straight, *turned])
    assert finding is not None and finding.level == "note"
    assert "sink-01 and sink-02 were turned by up to 15°" in finding.text
